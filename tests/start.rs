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
    assert_eq!(record.header.card.limit_a, Some(0.05));
    assert_eq!(record.header.meter.uri, "manual:");

    let mut card = Tty::lullboard(&[], &[], folder.path());
    card.wait_for("EARLIER SESSIONS");
    go_to(&mut card, ".lull");
    card.press("\r");
    card.wait_for("AWAKE");
    card.press("q");
    assert_eq!(card.wait_end(), 0);
}

/// The row that is typed on, and what stands under its cursor.
fn typed_row(screen: &vt100::Screen) -> Option<(String, String)> {
    let (rows, columns) = screen.size();
    let (rows, columns) = (rows.get(), columns.get());
    (0..rows).find_map(|row| {
        let mut cells = (0..columns).filter_map(|column| screen.cell(row, column));
        let under = cells.find(|cell| cell.inverse())?.contents().to_owned();
        let text = screen.rows(0, columns).nth(usize::from(row))?;
        let (_, typed) = text.split_once("> ")?;
        // At a prompt its frame stands behind it.
        let typed = typed.split('\u{2502}').next()?.trim_end();
        Some((typed.to_owned(), under))
    })
}

/// Waits until this is typed, this character under its cursor.
fn shows(tty: &Tty, text: &str, under: &str) {
    tty.wait_until(
        &format!("{text:?} with {under:?} under the cursor"),
        |screen| typed_row(screen).is_some_and(|(typed, cell)| typed == text && cell == under),
    );
}

#[test]
fn a_field_of_the_card_is_edited_where_its_cursor_stands() {
    let folder = tempfile::tempdir().unwrap();
    let mut card = Tty::lullboard(&[], &[], folder.path());
    card.resize(80, 24);
    card.wait_for("METER");
    go_to(&mut card, "complaint");
    card.press("\rdead on Monday");
    shows(&card, "dead on Monday_", "_");
    // Home, four to the right; then the end, a word back; then the beginning, Delete.
    card.press("\x1b[H\x1b[C\x1b[C\x1b[C\x1b[C, t\u{fc}re \u{8eca}");
    shows(&card, "dead, t\u{fc}re \u{8eca} on Monday", " ");
    card.press("\x05\x17Friday\x01\x1b[3~D");
    shows(&card, "Dead, t\u{fc}re \u{8eca} on Friday", "e");
    // A text longer than its row scrolls with the cursor.
    card.press(&format!("\x05{}", " and again".repeat(8)));
    let cut = format!("\u{2026}{}_", " and again".repeat(8).get(4..).unwrap());
    shows(&card, &cut, "_");
    card.press("\x01");
    card.wait_until("the beginning of the text", |screen| {
        typed_row(screen).is_some_and(|(typed, under)| {
            typed.starts_with("Dead") && typed.ends_with('\u{2026}') && under == "D"
        })
    });
    card.press("\r");
    card.wait_for("> flat after");
    card.wait_for_row(&["complaint", "Dead, t\u{fc}re \u{8eca} on Friday and again"]);
}

#[test]
fn a_prompt_is_edited_where_its_cursor_stands() {
    let folder = tempfile::tempdir().unwrap();
    let args = ["live", "--meter", "manual:", "--out", "hunt.lull"];
    let mut board = Tty::lullboard(&args, &[], folder.path());
    board.resize(80, 24);
    board.wait_for("NOT READ");
    board.press("p");
    board.wait_for("PULL which fuse?");
    board.press("E14+L6");
    board.wait_for("Enter records: pull E14+L6, now");
    board.press("\x1b[D\x1b[D\x1b[D\x1b[D\x7f2");
    shows(&board, "E24+L6", "4");
    board.press("\x1b[3~\x1b[F0 and more\x17\x17\x7f");
    shows(&board, "E2+L60_", "_");
    board.press("\r");
    board.wait_for_row(&["pull E2+L60"]);
    board.press("q");
    board.wait_for("QUIT?");
    board.press("y");
    assert_eq!(board.wait_end(), 0);
    let file = fs::read_to_string(folder.path().join("hunt.lull")).unwrap();
    assert!(file.contains("\"what\":[\"E2\",\"L60\"]"), "{file}");
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
