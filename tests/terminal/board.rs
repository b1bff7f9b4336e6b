//! The board's keys, settings and second screen, and what a million readings do to the keys.

use std::fmt::Write as _;
use std::fs::{self, File, OpenOptions};
use std::io::Write as _;
use std::process::Command;

use libtest_mimic::Trial;
use rustix::process::Signal;

use crate::meter::Meter;
use crate::tty::Tty;
use crate::{EVERY, live, quit};

/// The tests of this file.
pub(crate) fn all() -> Vec<Trial> {
    trials![
        each_key_of_the_board_does_its_work,
        a_pull_that_nobody_marked_is_claimed_and_judged,
        a_second_screen_follows_through_a_crash_and_writes_nothing,
        a_bad_settings_file_is_named_with_its_line_and_a_good_one_is_in_force,
        no_key_is_lost_or_doubled_while_a_million_readings_come,
        a_long_record_shows_progress_keeps_what_is_pressed_and_stops,
    ]
}

fn each_key_of_the_board_does_its_work() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 0.169);
    let mut board = live(&meter, folder.path());
    board.wait_for("receiving from");
    for (keys, shows) in [
        ("l", "sleep time-out runs in"),
        ("g", " linear "),
        ("c", "cursor 0:"),
        ("\x1b[D", "cursor 0:"),
        ("[", "lock"),
        ("\x1b[H", " linear "),
        ("t", ":00"),
        ("k", "MARKS"),
        ("k", "lock"),
        ("w", "STEPS THAT NOBODY MARKED"),
        ("w", "lock"),
        ("?", "KEYS"),
        ("?", "WORDS"),
        ("?", "CAUTIONS"),
        ("?", "lock"),
        ("j", "CARD: this job"),
        ("j", "lock"),
        ("b", "Sounds off."),
        ("y", "on the clipboard"),
        ("M", "Mouse on"),
        ("M", "Mouse off"),
        ("f", "back to the board"),
    ] {
        board.press(keys);
        board.wait_for(shows);
    }
    board.press("f");
    board.wait_gone("back to the board");
    // Two zooms out and one in.
    board.press("--+");
    board.press("T");
    quit(&mut board);
    let bytes = String::from_utf8_lossy(&board.bytes()).into_owned();
    // "verdict: " in base64, wherever it stands in the text: the clipboard sequence is whole.
    let copied = bytes.split("\x1b]52;c;").nth(1).unwrap();
    let copied = copied.split('\x07').next().unwrap();
    assert!(copied.starts_with("dmVyZGljdDog"), "{copied}");
    let (on, off) = (
        bytes.find("\x1b[?1000h").unwrap(),
        bytes.rfind("\x1b[?1000l").unwrap(),
    );
    assert!(on < off);
    board.expect_handed_back();
}

fn a_pull_that_nobody_marked_is_claimed_and_judged() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 2.2);
    let mut board = live(&meter, folder.path());
    board.wait_for("AWAKE");
    board.press("l");
    meter.show(0.213);
    board.wait_for("SETTLED");
    // Until then the car may only have fallen asleep late.
    board.wait_for("SETTLED  for 2 min");
    meter.show(0.024);
    board.press("w");
    board.wait_for("a fall of");
    board.press("\r");
    board.wait_for("WHAT WAS IT");
    board.press("E13\r");
    board.press("w");
    board.wait_for_row(&["pull E13", "clears", "at once"]);
    quit(&mut board);
    let file = fs::read_to_string(folder.path().join("hunt.lull")).unwrap();
    let mark = file.lines().find(|line| line.contains("\"pull\"")).unwrap();
    assert!(mark.contains("\"at\":"), "{mark}");
}

fn a_second_screen_follows_through_a_crash_and_writes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 0.186);
    let mut board = live(&meter, folder.path());
    board.wait_for("186");
    let mut second = Tty::lullboard(&["follow", "hunt.lull"], &[], folder.path());
    second.wait_for("hunt.lull, read-only");
    second.wait_for("186");
    meter.show(1.314);
    second.wait_for("1.31");
    board.press("l");
    second.wait_for("SETTLED");
    for key in ["l", "p", "\x7f"] {
        second.press(key);
        second.wait_for("Read-only");
        second.press("\x1b");
        second.wait_gone("Read-only");
    }

    // The recording crashes in the middle of a line.
    board.signal(Signal::KILL);
    board.wait_end();
    second.wait_for("no data for");
    let path = folder.path().join("hunt.lull");
    let crashed = fs::read(&path).unwrap();
    let torn = [crashed.as_slice(), b"{\"t\":9999"].concat();
    fs::write(&path, &torn).unwrap();

    meter.show(0.517);
    let uri = meter.uri();
    let mut again = Tty::lullboard(&["open", "hunt.lull", "--meter", &uri], &[], folder.path());
    again.wait_for("517");
    second.wait_for("517");
    second.wait_gone("no data for");
    quit(&mut again);
    second.wait_for("end of the readings");
    second.press("q");
    assert_eq!(second.wait_end(), 0);
    second.expect_handed_back();

    let file = fs::read(&path).unwrap();
    assert!(
        file.starts_with(&torn),
        "what stood there must stand there still"
    );
    let text = String::from_utf8(file).unwrap();
    assert_eq!(
        text.matches("\"did\":").count(),
        1,
        "only the one mark of the board"
    );
}

fn a_bad_settings_file_is_named_with_its_line_and_a_good_one_is_in_force() {
    let folder = tempfile::tempdir().unwrap();
    let write = |text: &str| fs::write(folder.path().join("mine.toml"), text).unwrap();
    let start = |args: &[&str]| {
        let mut all = vec!["rehearse", "--out", "hunt.lull", "--settings", "mine.toml"];
        all.extend(args);
        Tty::lullboard(&all, &[], folder.path())
    };
    write("theme = \"light\"\n[keys]\nnote = [\"p\"]\n");
    let mut refused = start(&[]);
    assert_eq!(refused.wait_end(), 1);
    let said = refused.wait_for("mine.toml: line 3: the key p means both");
    assert!(!folder.path().join("hunt.lull").exists(), "{said}");

    write("glyphs = \"ascii\"\ntheme = \"none\"\n[keys]\nlock = [\"Q\"]\n");
    let mut board = start(&[]);
    board.wait_for("Q lock");
    board.press("Q");
    board.wait_for("sleep time-out runs in");
    quit(&mut board);
    assert!(String::from_utf8(board.bytes()).unwrap().is_ascii());

    let home = folder.path().to_str().unwrap();
    let mut settings = Tty::lullboard(&["settings"], &[("XDG_CONFIG_HOME", home)], folder.path());
    settings.wait_for("redraw = [\"Ctrl-l\"]");
    assert_eq!(settings.wait_end(), 0);
    let bytes = String::from_utf8(settings.bytes()).unwrap();
    assert!(bytes.contains("lullboard/settings.toml"), "{bytes}");
}

fn no_key_is_lost_or_doubled_while_a_million_readings_come() {
    const READINGS: usize = 1_000_000;
    let folder = tempfile::tempdir().unwrap();
    let mut csv = String::from("time_s,current_a\n");
    for n in 0..READINGS {
        let last = n % 7;
        writeln!(csv, "{}.{},0.05{last}", n / 10, n % 10).unwrap();
    }
    fs::write(folder.path().join("long.csv"), csv).unwrap();
    let mut args = vec!["live", "--meter", "replay:long.csv?speed=10000"];
    args.extend(["--out", "hunt.lull"]);
    let mut board = Tty::lullboard(&args, &[], folder.path());
    board.wait_for("receiving from");
    // Pressed in a row, as fast as a terminal takes them, in a few bursts over the whole flood.
    let mut typed = Vec::new();
    for burst in 0..5 {
        for n in 0..20 {
            let name = format!("slot {burst}{n:02}");
            board.press(&format!("p{name}\r"));
            typed.push(name);
        }
        board.press("f");
        board.wait_for("back to the board");
        board.press("f");
        board.wait_gone("back to the board");
    }
    board.wait_for("end of the readings");
    quit(&mut board);
    let file = fs::read_to_string(folder.path().join("hunt.lull")).unwrap();
    let marked: Vec<&str> = file
        .lines()
        .filter_map(|line| line.split_once("\"what\":[\"")?.1.split('"').next())
        .collect();
    assert_eq!(marked, typed);
    assert!(file.lines().count() > READINGS);

    let mut open = Tty::lullboard(&["open", "hunt.lull"], &[], folder.path());
    open.wait_for("recorded session");
    open.press("ehunt.csv\r");
    open.wait_for("Exported to hunt.csv");
    open.press("q");
    assert_eq!(open.wait_end(), 0);
}

fn a_long_record_shows_progress_keeps_what_is_pressed_and_stops() {
    let folder = tempfile::tempdir().unwrap();
    let record = folder.path().join("long.lull");
    let made = Command::new("mkfifo").arg(&record).status().unwrap();
    assert!(made.success());
    let write = |rest: &mut File, t_s: u32| writeln!(rest, "{{\"t\":{t_s}.000,\"a\":0.012}}");
    let open = || {
        let board = Tty::lullboard(&["open", "long.lull"], &[], folder.path());
        let mut rest = OpenOptions::new().write(true).open(&record).unwrap();
        let header = "{\"lullboard\":1,\"started\":\"2026-01-10T08:00:00.000+00:00\",\"card\":{}}";
        writeln!(rest, "{header}").unwrap();
        // However quick the program is, what has not come yet it cannot have read.
        let mut t_s = 0;
        while !board.screen().contains("reading long.lull") {
            for _ in 0..1_000 {
                t_s += 1;
                write(&mut rest, t_s).unwrap();
            }
        }
        (board, rest, t_s)
    };
    let (mut kept, rest, _) = open();
    kept.press("?");
    drop(rest);
    kept.wait_for("KEYS");
    kept.press("\x1b");
    kept.wait_gone("KEYS");
    kept.press("q");
    assert_eq!(kept.wait_end(), 0);

    let (mut stopped, mut rest, _) = open();
    stopped.press("q");
    // Whatever comes: thousands of broken lines hold it up no longer than readings.
    while writeln!(rest, "{{\"note\":\"\"}}").is_ok() {}
    assert_eq!(stopped.wait_end(), 0);
    stopped.expect_handed_back();
}
