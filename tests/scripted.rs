//! The whole job by lines of text, for a script or a screen reader: the built program is told what was
//! done and answers each line.

#![cfg(unix)]
#![expect(
    clippy::unwrap_used,
    reason = "the helpers of a test may fail as loudly as the test itself"
)]

use std::fs::{self, OpenOptions};
use std::io::{BufRead, BufReader, Read, Write};
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Stdio};

use rustix::process::{Pid, Signal, kill_process};

/// `lullboard record` and what it said so far.
struct Record {
    child: Child,
    lines: BufReader<ChildStdout>,
    said: String,
}

impl Record {
    fn start(folder: &Path, args: &[&str]) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_lullboard"))
            .args(["record", "--out", "hunt.lull"])
            .args(args)
            .current_dir(folder)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let lines = BufReader::new(child.stdout.take().unwrap());
        Self {
            child,
            lines,
            said: String::new(),
        }
    }

    fn write(&mut self, text: &str) {
        let input = self.child.stdin.as_mut().unwrap();
        input.write_all(text.as_bytes()).unwrap();
        input.flush().unwrap();
    }

    /// Waits until a line has said this.
    fn wait_for(&mut self, words: &str) {
        while !self.said.contains(words) {
            let read = self.lines.read_line(&mut self.said).unwrap();
            assert!(read > 0, "never said '{words}': {}", self.said);
        }
    }

    /// Ends it by a signal; how it ended.
    fn end(mut self) -> Option<i32> {
        let pid = i32::try_from(self.child.id()).unwrap();
        kill_process(Pid::from_raw(pid).unwrap(), Signal::TERM).unwrap();
        self.lines.read_to_string(&mut self.said).unwrap();
        self.child.wait().unwrap().code()
    }
}

fn marks(folder: &Path) -> Vec<String> {
    let csv = Command::new(env!("CARGO_BIN_EXE_lullboard"))
        .args(["export", "hunt.lull", "--to", "hunt.csv"])
        .current_dir(folder)
        .output()
        .unwrap();
    assert!(csv.status.success(), "{csv:?}");
    let text = fs::read_to_string(folder.join("hunt.csv")).unwrap();
    let mut rows = text.lines().map(|row| row.split(','));
    let mut names = rows.next().unwrap();
    let column = names.position(|name| name == "mark").unwrap();
    let cells = rows.filter_map(|mut row| row.nth(column));
    cells
        .filter(|mark| !mark.is_empty())
        .map(ToOwned::to_owned)
        .collect()
}

#[test]
fn a_hunt_is_marked_by_lines_whose_end_does_not_end_the_record() {
    let folder = tempfile::tempdir().unwrap();
    let meter = "rehearsal:steady-draw?speed=200";
    let mut record = Record::start(folder.path(), &["--meter", meter]);
    record.write("lock\n");
    record.wait_for("recorded: lock");
    record.wait_for("settled");
    record.write("open the bonnet\nnow\npull E99\n");
    record.wait_for("'open' is no mark: expected lock");
    record.wait_for("the limit of");
    record.wait_for("not recorded: E99 is not on the map");
    // The lid prints it all the same.
    record.write("pull E99\n");
    record.wait_for("recorded: pull E99");
    drop(record.child.stdin.take());
    record.wait_for("pull E99: ");
    assert_eq!(record.end(), Some(0));
    assert_eq!(marks(folder.path()), ["lock", "pull E99"]);
}

#[test]
fn marks_come_through_a_fifo_while_the_meter_is_the_pipe() {
    let folder = tempfile::tempdir().unwrap();
    let fifo = folder.path().join("marks");
    assert!(
        Command::new("mkfifo")
            .arg(&fifo)
            .status()
            .unwrap()
            .success()
    );
    let mut record = Record::start(folder.path(), &["--meter", "pipe:-", "--marks", "marks"]);
    record.write("0.0231 A\n");
    // Each writer lets it go again.
    for mark in ["lock", "pull D4", "note the boot lamp is out"] {
        let mut writer = OpenOptions::new().write(true).open(&fifo).unwrap();
        writer.write_all(format!("{mark}\n").as_bytes()).unwrap();
        drop(writer);
        record.wait_for(&format!("recorded: {mark}"));
    }
    assert_eq!(record.end(), Some(0));
}

#[test]
fn a_display_is_read_out_line_by_line() {
    let folder = tempfile::tempdir().unwrap();
    let mut record = Record::start(folder.path(), &["--meter", "manual:", "--marks", "-"]);
    record.write("read 43.1m\nread soon\n");
    record.wait_for("recorded: the reading");
    record.wait_for("not recorded: 'soon' is not a current");
    assert_eq!(record.end(), Some(0));
    let file = fs::read_to_string(folder.path().join("hunt.lull")).unwrap();
    assert!(file.contains("0.0431"), "{file}");
}
