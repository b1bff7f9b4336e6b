//! The program is stopped, sent on and told to end by others than its keys.

use std::fs;
use std::time::Duration;

use libtest_mimic::Trial;
use rustix::process::Signal;

use crate::meter::Meter;
use crate::{EVERY, check, live, quit};

/// The tests of this file.
pub(crate) fn all() -> Vec<Trial> {
    trials![
        a_stop_from_outside_leaves_the_screen_and_a_gap,
        a_stop_that_nobody_can_refuse_leaves_a_gap_and_the_screen_is_taken_anew,
        what_would_kill_it_leaves_screen_and_session_in_order,
        a_terminal_that_takes_no_output_does_not_keep_the_program,
    ]
}

fn gap_in(folder: &std::path::Path) {
    let file = fs::read_to_string(folder.join("hunt.lull")).unwrap();
    assert!(file.contains("the program was stopped"), "{file}");
}

fn a_stop_from_outside_leaves_the_screen_and_a_gap() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 0.191);
    let mut board = live(&meter, folder.path());
    board.wait_for("receiving from");
    board.signal(Signal::TSTP);
    board.expect_handed_back();
    board.go_on();
    board.wait_for("receiving from");
    quit(&mut board);
    gap_in(folder.path());
}

fn a_stop_that_nobody_can_refuse_leaves_a_gap_and_the_screen_is_taken_anew() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 0.191);
    let mut board = live(&meter, folder.path());
    board.wait_for("receiving from");
    board.signal(Signal::STOP);
    // Less than a second is no stop.
    std::thread::sleep(Duration::from_millis(1500));
    board.signal(Signal::CONT);
    let file = folder.path().join("hunt.lull");
    board.wait_until("a gap", |_| {
        fs::read_to_string(&file)
            .unwrap()
            .contains("the program was stopped")
    });
    assert!(board.is_on_board());
    quit(&mut board);
    gap_in(folder.path());
}

fn what_would_kill_it_leaves_screen_and_session_in_order() {
    for signal in [Signal::QUIT, Signal::ABORT] {
        let folder = tempfile::tempdir().unwrap();
        let meter = Meter::at(folder.path(), EVERY, 0.191);
        let mut board = live(&meter, folder.path());
        board.wait_for("receiving from");
        board.signal(signal);
        assert_eq!(board.wait_end(), 0);
        board.expect_handed_back();
        check(folder.path());
    }
}

/// Nobody reads at the far end of the terminal: what is drawn there waits, and with it the loop.
fn a_terminal_that_takes_no_output_does_not_keep_the_program() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 0.191);
    let mut board = live(&meter, folder.path());
    board.wait_for("receiving from");
    let file = folder.path().join("hunt.lull");
    let program = rustix::process::Pid::from_raw(board.id()).unwrap();
    board.unread(|keys| {
        // Each set of colours is a whole screen.
        for _ in 0..60 {
            keys.write_all(b"T").unwrap();
            keys.flush().unwrap();
            std::thread::sleep(Duration::from_millis(60));
        }
        rustix::process::kill_process(program, Signal::TERM).unwrap();
        let sealed = || fs::read_to_string(&file).unwrap().contains("\"seal\"");
        for _ in 0..100 {
            if sealed() {
                return;
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        panic!("the session is not sealed");
    });
    board.wait_end();
    check(folder.path());
}
