//! The session file is taken from under the board: a banner says so, and one key goes on in another.

use std::fs;

use libtest_mimic::Trial;

use crate::meter::Meter;
use crate::tty::Tty;
use crate::{EVERY, live, quit};

/// The tests of this file.
pub(crate) fn all() -> Vec<Trial> {
    trials![a_deleted_file_is_told_and_one_key_goes_on_in_another]
}

fn a_deleted_file_is_told_and_one_key_goes_on_in_another() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 0.186);
    let mut board = live(&meter, folder.path());
    board.wait_for("186");
    board.press("pD5\r");
    board.wait_for("out: D5");
    fs::remove_file(folder.path().join("hunt.lull")).unwrap();
    board.wait_for("NOT SAVED since");
    board.wait_for("was deleted, moved or");
    board.press("q");
    board.wait_for("is written to a new file");
    board.press("nG");
    board.wait_for("Recording goes on in hunt_2.lull");
    board.wait_gone("NOT SAVED since");
    board.press("rD5\r");
    board.wait_gone("out: D5");
    quit(&mut board);
    board.wait_for("lullboard open hunt_2.lull");
    let text = fs::read_to_string(folder.path().join("hunt_2.lull")).unwrap();
    for mark in ["\"pull\"", "\"refit\"", "\"seal\""] {
        assert!(text.contains(mark), "{mark}");
    }
    let mut check = Tty::lullboard(&["check", "hunt_2.lull"], &[], folder.path());
    assert_eq!(check.wait_end(), 0, "{}", check.screen());
}
