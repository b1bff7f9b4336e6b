//! A hunt without a cable in the real binary: every reading is typed.

use std::fs;

use libtest_mimic::Trial;

use crate::tty::Tty;
use crate::{SPEED, check, quit};

/// The tests of this file.
pub(crate) fn all() -> Vec<Trial> {
    trials![a_hunt_is_typed_from_the_display]
}

fn a_hunt_is_typed_from_the_display() {
    let folder = tempfile::tempdir().unwrap();
    let mut args = vec!["live", "--meter", "manual:", "--clock-speed", SPEED];
    args.extend(["--limit", "50mA", "--sleep-timeout", "150s", "--out"]);
    args.push("hunt.lull");
    let mut board = Tty::lullboard(&args, &[], folder.path());
    board.wait_for("type what the meter shows, then Enter");
    board.press_kept("1.46\r");
    board.press("l");
    board.wait_for("pull a fuse and mark it");
    board.wait_for("NEXT READING DUE");
    // Beyond any jack: milliampere, and those that follow are too.
    for _ in 0..4 {
        board.read_off("61.3");
        board.wait_for("NEXT READING DUE");
    }
    board.press("pE3\r");
    board.wait_for_row(&["pull E3", "not yet"]);
    board.wait_for("NEXT READING DUE");
    let is_judged = |row: &str| row.contains("pull E3") && row.contains("clears");
    for _ in 0..60 {
        board.read_off("9.8");
        board.wait_for("NEXT READING DUE");
        if board.screen().lines().any(is_judged) {
            break;
        }
    }
    board.wait_for_row(&["pull E3", "clears"]);
    let bytes = String::from_utf8_lossy(&board.bytes()).into_owned();
    let bells = bytes.matches('\u{7}').count();
    assert!(bells >= 8, "a due reading must sound: {bells}");
    quit(&mut board);
    check(folder.path());
    let file = fs::read_to_string(folder.path().join("hunt.lull")).unwrap();
    assert!(file.contains("\"a\":0.0613}"), "{file}");
    assert!(file.contains("\"a\":0.0098}"), "{file}");
}
