//! The start card of the real binary: no command, a terminal, and from there to a session.

#![cfg(unix)]
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "the helpers of a test may fail as loudly as the test itself"
)]
#![expect(
    clippy::disallowed_methods,
    reason = "tests own their threads and deadlines"
)]
#![allow(
    dead_code,
    reason = "this file needs a part of what it shares with another"
)]

#[path = "terminal/tty.rs"]
mod tty;

use std::fs;

use lullboard::journal::import::ImportOptions;
use lullboard::shell::files::session_file;
use tty::Tty;

/// Moves the cursor down to the row that holds this.
fn go_to(card: &mut Tty, wanted: &str) {
    for _ in 0..80 {
        let screen = card.screen();
        let row = screen.lines().find(|row| row.starts_with("> "));
        let row = row.unwrap_or_default().to_owned();
        if row.contains(wanted) {
            return;
        }
        card.press("\x1b[B");
        card.wait_until("the cursor elsewhere", |screen| {
            screen
                .contents()
                .lines()
                .any(|other| other.starts_with("> ") && other != row)
        });
    }
    panic!("no row {wanted:?}:\n{}", card.screen());
}

#[test]
fn a_session_begins_from_the_card() {
    let folder = tempfile::tempdir().unwrap();
    let mut card = Tty::lullboard(&[], &[], folder.path());
    card.wait_for("METER");
    go_to(&mut card, "begin to record");
    card.press("\r");
    card.wait_for("Choose a meter first");

    card.press("\x1b[H");
    go_to(&mut card, "read by eye");
    card.press("\r");
    card.wait_for("[x] read by eye");
    go_to(&mut card, "limit");
    card.press("\r50\r");
    card.wait_for("not a limit");
    card.press("mA\r");
    card.wait_for("> sleep time-out");

    go_to(&mut card, "begin to record");
    card.press("\r");
    card.wait_for("Read the cautions");
    while card.screen().lines().any(|row| row.starts_with("> [ ]")) {
        let before = card.screen();
        card.press("\r");
        card.wait_until("a confirmed caution", |screen| screen.contents() != before);
    }
    card.wait_for("> [ begin to record ]");
    card.press("\r");
    card.wait_for("limit 50 mA (card)");
    card.press("52m\r");
    card.wait_for("AWAKE");
    card.press("q");
    card.wait_for("QUIT?");
    card.press("y");
    assert_eq!(card.wait_end(), 0, "{}", card.screen());
    card.expect_handed_back();

    let session = fs::read_dir(folder.path())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .find(|path| path.extension().is_some_and(|ending| ending == "lull"))
        .unwrap();
    let record = session_file::read_any(&session, &ImportOptions::default()).unwrap();
    assert_eq!(record.header().card.limit_a, Some(0.05));
    assert_eq!(record.header().meter.uri, "manual:");

    let mut card = Tty::lullboard(&[], &[], folder.path());
    card.wait_for("EARLIER SESSIONS");
    go_to(&mut card, ".lull");
    card.press("\r");
    card.wait_for("AWAKE");
    card.press("q");
    assert_eq!(card.wait_end(), 0);
}

#[test]
fn a_terminated_card_hands_the_terminal_back() {
    let folder = tempfile::tempdir().unwrap();
    let mut card = Tty::lullboard(&[], &[], folder.path());
    card.wait_for("METER");
    card.signal(rustix::process::Signal::TERM);
    assert_eq!(card.wait_end(), 0);
    card.expect_handed_back();
}

#[test]
fn what_cannot_be_opened_is_told_on_the_card() {
    let folder = tempfile::tempdir().unwrap();
    let mut card = Tty::lullboard(&[], &[], folder.path());
    card.wait_for("METER");
    go_to(&mut card, "another, or");
    card.press("\r/dev/there-is-none\r");
    card.wait_for("[x] another");
    go_to(&mut card, "begin to record");
    while !card.screen().contains("there is no port") {
        let before = card.screen();
        card.press("\r");
        card.wait_until("an answer", |screen| screen.contents() != before);
    }
    card.press("q");
    assert_eq!(card.wait_end(), 0);
    assert!(fs::read_dir(folder.path()).unwrap().next().is_none());
}
