//! What the terminal says of its ground: asked, answered, never answered, answered late.

use std::cell::Cell;
use std::path::Path;
use std::time::Duration;

use libtest_mimic::Trial;
use vt100::Color;

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

/// The colour of the first letter of CAUTION, once it is there.
fn of_caution(board: &Tty) -> Color {
    let colour = Cell::new(Color::Default);
    board.wait_until("a caution", |screen| {
        let (_, columns) = screen.size();
        let found = screen
            .rows(0, columns.get())
            .position(|row| row.starts_with("CAUTION"));
        let row = found.and_then(|row| u16::try_from(row).ok());
        let cell = row.and_then(|row| screen.cell(row, 0));
        cell.inspect(|cell| colour.set(cell.fgcolor())).is_some()
    });
    colour.get()
}

fn a_light_ground_that_is_answered_gets_its_colours() {
    // On a busy machine an answer may come too late: then it is asked again, by another run.
    let answered = (0..10).any(|_| {
        let folder = tempfile::tempdir().unwrap();
        let mut board = rehearse(folder.path());
        let asked = b"\x1b]11;?";
        while !board.bytes().windows(asked.len()).any(|part| part == asked) {
            std::thread::sleep(Duration::from_millis(5));
        }
        board.press(&format!("{WHITE}{ATTRIBUTES}"));
        let colour = of_caution(&board);
        quit(&mut board);
        // Magenta on white, bright yellow on black.
        colour == Color::Idx(5)
    });
    assert!(answered, "no answer was ever taken");
}

fn a_silent_terminal_gets_what_can_be_read_on_either_ground() {
    let folder = tempfile::tempdir().unwrap();
    let mut board = rehearse(folder.path());
    assert_eq!(of_caution(&board), Color::Idx(163));
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
