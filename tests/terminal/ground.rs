//! What the terminal says of its ground: asked, answered, never answered, answered late.

use std::path::Path;
use std::time::Duration;

use libtest_mimic::Trial;

use crate::quit;
use crate::tty::Tty;

/// The tests of this file.
pub(crate) fn all() -> Vec<Trial> {
    trials![
        a_light_ground_that_is_answered_gets_its_colours,
        a_silent_terminal_gets_what_can_be_read_on_either_ground,
        an_answer_that_comes_late_is_not_typed
    ]
}

/// White, and what else a terminal says when it is asked (xterm, "Operating System Commands").
const WHITE: &str = "\x1b]11;rgb:ffff/ffff/ffff\x07";
const ATTRIBUTES: &str = "\x1b[?62c";

fn rehearse(folder: &Path) -> Tty {
    Tty::lullboard(&["rehearse", "--out", "hunt.lull"], &[], folder)
}

fn has(board: &Tty, code: &str) -> bool {
    String::from_utf8_lossy(&board.bytes()).contains(code)
}

fn a_light_ground_that_is_answered_gets_its_colours() {
    let folder = tempfile::tempdir().unwrap();
    let mut board = rehearse(folder.path());
    // Again and again until the board is there, since no test is quick enough on a busy machine; what is
    // too much is not typed, as below.
    while !board.is_on_board() {
        board.press(&format!("{WHITE}{ATTRIBUTES}"));
        std::thread::sleep(Duration::from_millis(10));
    }
    board.wait_for("CAUTION");
    // The caution is magenta on white, and bright yellow on black.
    assert!(has(&board, "\x1b]11;?"), "the terminal is asked");
    let bytes = String::from_utf8_lossy(&board.bytes()).into_owned();
    assert!(
        has(&board, "\x1b[35m") && !has(&board, "\x1b[93m"),
        "{bytes}"
    );
    assert!(!has(&board, "38;5;"));
    quit(&mut board);
}

fn a_silent_terminal_gets_what_can_be_read_on_either_ground() {
    let folder = tempfile::tempdir().unwrap();
    let mut board = rehearse(folder.path());
    board.wait_for("CAUTION");
    assert!(has(&board, "38;5;163"));
    assert!(!has(&board, "\x1b[93") && !has(&board, "\x1b[35"));
    quit(&mut board);
}

fn an_answer_that_comes_late_is_not_typed() {
    let folder = tempfile::tempdir().unwrap();
    let mut board = rehearse(folder.path());
    board.wait_for("CAUTION");
    board.press(&format!("{WHITE}{ATTRIBUTES}"));
    board.press("pE5");
    let screen = board.wait_for("PULL which fuse?");
    assert!(!screen.contains("REFIT"), "{screen}");
    board.wait_for("E5");
    board.press("\x1b");
    board.wait_gone("PULL which fuse?");
    quit(&mut board);
}
