//! Runs one command of a page as a technician would, and ends what does not end by itself.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use rustix::process::{Pid, Signal, kill_process, test_kill_process};

use crate::page::on_one_line;
use crate::stand_in::StandIn;
use crate::tty::{PATIENCE, Tty};

/// What a command of the guide came to.
pub(crate) struct Ran {
    pub(crate) exit: u32,
    /// What it printed, or what the board showed; each port under the name that the page gives it.
    pub(crate) said: String,
}

/// Runs it in this folder, until it has printed `says` where it does not end by itself.
///
/// A command that is not known here fails: nothing is left out in silence.
pub(crate) fn run(command: &[String], says: &[String], folder: &Path) -> Ran {
    let words: Vec<&str> = command.iter().map(String::as_str).collect();
    match words.as_slice() {
        [_] => board(&[], "METER", "", folder),
        [_, "live", ..] | [_, "open", .., "--meter", _] => recorded_on_board(command, folder),
        [_, "rehearse", ..] => board(&command[1..], "receiving from", "y", folder),
        [_, "open", _] => board(&command[1..], "recorded session", "", folder),
        [_, "follow", _] => board(&command[1..], "end of the readings", "", folder),
        [_, "record", ..] => recorded(command, folder),
        [_, "meters", ..] => meters(command, says, folder),
        [_, "export", ..] => exported(command, folder),
        [_, "judge" | "check" | "standing" | "drop" | "settings", ..] => ended(command, folder),
        _ => panic!("nobody knows how to run {words:?}"),
    }
}

fn lullboard(args: &[String], folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_lullboard"));
    command.args(args).current_dir(folder).stdin(Stdio::null());
    command.env_clear().envs(variables(folder).iter().copied());
    command
}

/// A rehearsal records in the temporary folder.
pub(crate) fn variables(folder: &Path) -> [(&'static str, &str); 2] {
    [("LANG", "C.UTF-8"), ("TMPDIR", folder.to_str().unwrap())]
}

fn ended(command: &[String], folder: &Path) -> Ran {
    let Output {
        status,
        stdout,
        stderr,
    } = lullboard(&command[1..], folder).output().unwrap();
    let said = [stdout, stderr].concat();
    Ran {
        exit: status.code().unwrap().try_into().unwrap(),
        said: String::from_utf8(said).unwrap(),
    }
}

fn exported(command: &[String], folder: &Path) -> Ran {
    const OLD: &str = "what stood here before";
    let mut words = command.iter().skip_while(|word| *word != "--to");
    let to = words.nth(1).unwrap();
    let path = folder.join(to);
    let replaces = command.iter().any(|word| word == "--replace");
    assert_eq!(path.exists(), replaces, "{to} is there before");
    if replaces {
        fs::write(&path, OLD).unwrap();
    }
    let ran = ended(command, folder);
    let text = fs::read_to_string(&path).unwrap_or_else(|why| panic!("{to}: {why}: {}", ran.said));
    let begins = match to.rsplit('.').next().unwrap() {
        "html" => "<!doctype html>",
        "svg" => "<svg",
        "md" => "# ",
        "json" => "{",
        "csv" => "time",
        other => panic!("nobody knows what a file .{other} begins with"),
    };
    let first = text.lines().next().unwrap().to_lowercase();
    assert!(first.starts_with(begins), "{to} begins with '{first}'");
    ran
}

/// The command with every port replaced by a stand-in.
fn with_stand_ins(command: &[String]) -> (Vec<String>, Vec<StandIn>) {
    let mut words = command[1..].to_vec();
    let mut meters = Vec::new();
    for flag in 0..words.len() {
        if matches!(words[flag].as_str(), "--meter" | "--volts" | "--read") {
            let flags = if words[flag] == "--volts" {
                &[]
            } else {
                &command[1..]
            };
            let (uri, meter) = StandIn::of(&words[flag + 1], flags);
            words[flag + 1] = uri;
            meters.extend(meter);
        }
    }
    (words, meters)
}

/// `live`, or `open` with a meter: on the board until a reading is in its file, then ended as it is
/// ended by hand.
fn recorded_on_board(command: &[String], folder: &Path) -> Ran {
    let (words, meters) = with_stand_ins(command);
    let before = readings(folder);
    let args: Vec<&str> = words.iter().map(String::as_str).collect();
    let mut board = Tty::lullboard(&args, &variables(folder), folder);
    if meters.is_empty() && words.iter().any(|word| word == "manual:") {
        board.wait_for("reading");
        board.press("43m\r");
    }
    until(
        || runs(&board),
        || readings(folder) > before,
        || format!("no reading was recorded:\n{}", board.screen()),
    );
    quit(&mut board, "y")
}

fn board(args: &[String], wanted: &str, sure: &str, folder: &Path) -> Ran {
    let args: Vec<&str> = args.iter().map(String::as_str).collect();
    let mut board = Tty::lullboard(&args, &variables(folder), folder);
    board.wait_for(wanted);
    quit(&mut board, sure)
}

fn quit(board: &mut Tty, sure: &str) -> Ran {
    // While the terminal is asked for its ground no key is heard.
    let said = board.wait_until("the board", vt100::Screen::alternate_screen);
    board.press("q");
    if !sure.is_empty() {
        board.wait_for("QUIT?");
        board.press(sure);
    }
    let exit = board.wait_end();
    Ran { exit, said }
}

/// `record`: until a reading is in its file, then ended by Ctrl-C.
fn recorded(command: &[String], folder: &Path) -> Ran {
    let (words, _meters) = with_stand_ins(command);
    let before = readings(folder);
    let args: Vec<&str> = words.iter().map(String::as_str).collect();
    let mut record = Tty::lullboard(&args, &variables(folder), folder);
    until(
        || runs(&record),
        || readings(folder) > before,
        || format!("no reading was recorded:\n{}", record.screen()),
    );
    // As Ctrl-C, which a shell that runs the tests in its background has switched off.
    record.signal(Signal::TERM);
    let exit = record.wait_end();
    Ran {
        exit,
        said: record.screen(),
    }
}

/// `meters`: ports are replaced by stand-ins; what shows a meter until Ctrl-C is ended by it.
fn meters(command: &[String], says: &[String], folder: &Path) -> Ran {
    let words: Vec<&str> = command.iter().map(String::as_str).collect();
    match words.as_slice() {
        [_, _] => listened(command, "/dev/ttyUSB0", folder),
        [_, _, port] => listened(&command[..2], port, folder),
        [_, _, "--ask", query, port] => {
            let meter = StandIn::that_is_asked(port, query);
            let port = port.replace(port.trim_start_matches("tcp:"), &meter.place);
            let asked = [&command[..4], &[port]].concat();
            let mut ran = ended(&asked, folder);
            assert!(ran.said.contains("The answer of a"), "{}", ran.said);
            ran.said = ran.said.replace(&meter.place, &meter.named);
            ran
        }
        [_, _, "--read", _] => read(command, says, folder),
        _ => panic!("nobody knows how to run {words:?}"),
    }
}

/// The ports of this machine are left alone: they may have something on them.
fn listened(command: &[String], named: &str, folder: &Path) -> Ran {
    let meter = StandIn::that_speaks(named);
    let mut words = command.to_vec();
    words.push(meter.place.clone());
    let mut ran = ended(&words, folder);
    assert!(ran.said.contains("messages in a row"), "{}", ran.said);
    ran.said = ran.said.replace(&meter.place, named);
    ran
}

fn read(command: &[String], says: &[String], folder: &Path) -> Ran {
    let (words, meters) = with_stand_ins(command);
    let out = folder.join("read.txt");
    let mut read = lullboard(&words, folder);
    let mut child = read
        .stdout(fs::File::create(&out).unwrap())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let said = || {
        let text = fs::read_to_string(&out).unwrap();
        let name = |text: String, meter: &StandIn| text.replace(&meter.place, &meter.named);
        meters.iter().fold(text, name)
    };
    let holds = || {
        let said = said();
        let line = |wanted: &String| on_one_line(&said).contains(&on_one_line(wanted));
        said.contains(" A") && says.iter().all(line)
    };
    let why = || format!("{command:?} said only:\n{}", said());
    until(|| child.try_wait().unwrap().is_none(), holds, why);
    let pid = Pid::from_raw(child.id().try_into().unwrap()).unwrap();
    kill_process(pid, Signal::TERM).unwrap();
    // Ctrl-C is how the page ends it, and the system counts that as no code of the program's own.
    let ended_by_it = child.wait().unwrap().code().is_none_or(|code| code == 0);
    Ran {
        exit: u32::from(!ended_by_it),
        said: said(),
    }
}

/// How many readings stand in all session files here.
fn readings(folder: &Path) -> usize {
    let files = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path());
    let sessions = files.filter(|path: &PathBuf| path.extension().is_some_and(|it| it == "lull"));
    sessions
        .map(|path| {
            fs::read_to_string(path)
                .unwrap_or_default()
                .matches("\"a\":")
                .count()
        })
        .sum()
}

/// Waits for this while the program runs.
pub(crate) fn until(
    mut runs: impl FnMut() -> bool,
    holds: impl Fn() -> bool,
    why: impl Fn() -> String,
) {
    let began = Instant::now();
    while !holds() {
        assert!(runs() && began.elapsed() < PATIENCE, "{}", why());
        thread::sleep(Duration::from_millis(20));
    }
}

/// Whether it has not ended.
pub(crate) fn runs(program: &Tty) -> bool {
    test_kill_process(Pid::from_raw(program.id()).unwrap()).is_ok()
}
