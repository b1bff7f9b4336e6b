//! A recording without a screen: readings go in at one end, lines come out at the other.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, ChildStdout, Command, Output, Stdio};

/// `lullboard record` with its meter in our hand.
pub(crate) struct Recorder {
    child: Child,
    meter: Option<ChildStdin>,
    lines: BufReader<ChildStdout>,
    said: String,
}

impl Recorder {
    /// Records into `hunt.lull` in this folder.
    pub(crate) fn begin(folder: &Path) -> Self {
        Self::with(folder, Command::new(env!("CARGO_BIN_EXE_lullboard")))
    }

    /// The same by a command that has its own idea of the system.
    pub(crate) fn with(folder: &Path, mut command: Command) -> Self {
        let mut child = command
            .args(["record", "--meter", "pipe:-", "--out", "hunt.lull"])
            .current_dir(folder)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let meter = child.stdin.take();
        let lines = BufReader::new(child.stdout.take().unwrap());
        let said = String::new();
        Self {
            child,
            meter,
            lines,
            said,
        }
    }

    /// The meter shows these, in milliampere, and each of them is in the file before this returns.
    pub(crate) fn read(&mut self, file: &Path, readings_ma: std::ops::Range<u32>) {
        for ma in readings_ma {
            self.show(ma);
            while !holds(file, ma) {
                std::thread::yield_now();
                assert!(self.child.try_wait().unwrap().is_none(), "{}", self.said);
            }
        }
    }

    /// The meter shows this.
    pub(crate) fn show(&mut self, ma: u32) {
        let meter = self.meter.as_mut().unwrap();
        meter.write_all(format!("{ma} mA\n").as_bytes()).unwrap();
        meter.flush().unwrap();
    }

    /// Waits for a line that says this.
    pub(crate) fn wait_for(&mut self, words: &str) {
        while !self.said.contains(words) {
            let read = self.lines.read_line(&mut self.said).unwrap();
            assert!(read > 0, "never said '{words}': {}", self.said);
        }
    }

    /// These words were said so many times by now.
    pub(crate) fn expect_told(&self, words: &str, times: usize) {
        assert_eq!(self.said.matches(words).count(), times, "{}", self.said);
    }

    /// Ends it as no program can prevent.
    pub(crate) fn kill(&mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }

    /// The meter's record is over; all that was said, and how it ended.
    pub(crate) fn end(mut self) -> (String, i32) {
        drop(self.meter.take());
        self.lines.read_to_string(&mut self.said).unwrap();
        let code = self.child.wait().unwrap().code();
        (self.said, code.unwrap_or(-1))
    }
}

/// Whether a file holds this reading.
pub(crate) fn holds(file: &Path, ma: u32) -> bool {
    let text = fs::read_to_string(file).unwrap_or_default();
    text.contains(&format!("\"a\":{}}}", ampere(ma)))
}

fn ampere(ma: u32) -> String {
    format!("{}.{:03}", ma / 1000, ma % 1000)
}

/// Runs the program in this folder.
pub(crate) fn lullboard(folder: &Path, args: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_lullboard"));
    command.args(args).current_dir(folder).output().unwrap()
}

/// The file is whole, its seal included.
pub(crate) fn expect_whole(folder: &Path, name: &str) {
    let check = lullboard(folder, &["check", name]);
    assert_eq!(check.status.code(), Some(0), "{check:?}");
}

/// The program with files of at most so many blocks of 512 bytes.
pub(crate) fn with_small_files(blocks: u32) -> Command {
    let mut command = Command::new("sh");
    let program = env!("CARGO_BIN_EXE_lullboard");
    let limited = format!("ulimit -f {blocks}; exec \"{program}\" \"$@\"");
    command.args(["-c", &limited, "sh"]);
    command
}
