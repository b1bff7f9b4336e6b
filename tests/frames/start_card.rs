//! The start card on a small screen: longer than it, so it scrolls; what is wrong is never cut.

use lullboard::desk::Start;
use lullboard::desk::message::Key;
use lullboard::desk::start::place::Place;
use lullboard::desk::start::{Check, Chosen, Slot};
use lullboard::screen::{Picture, Theme};
use lullboard::session::card::FIELDS;
use ratatui::layout::Rect;

use crate::bench::text;

const WRONG: &str = "this is said in so many words that no single row of a usual terminal could ever \
    hold all of them, and yet the last one has to be read: unit";

fn start() -> Start {
    let check: Check = Box::new(|slot, _| match slot {
        Slot::Meter => Ok(()),
        Slot::Field(_) => Err(WRONG.into()),
    });
    let places = vec![Place::ready("read by eye, values typed", "manual:")];
    Start::new(places, Vec::new(), Vec::new(), check)
}

fn shoot(start: &Start, columns: u16, rows: u16) -> String {
    let mut picture = Picture::blank(Rect::new(0, 0, columns, rows));
    picture.show_start(start, &Theme::none(true));
    text(picture.cells())
}

#[test]
fn every_field_is_reached_and_the_job_s_own_five_are_among_them() {
    let mut start = start();
    let mut seen = String::new();
    let of = format!(" of {}", start.rows().count());
    for _ in start.rows() {
        let frame = shoot(&start, 80, 24);
        assert_eq!(frame.lines().count(), 24);
        let here = frame.lines().find(|row| row.starts_with("> ")).unwrap();
        seen.push_str(here);
        seen.push('\n');
        assert!(frame.contains(&of), "{frame}");
        let _ = start.key(Key::Down);
    }
    for key in ["workshop", "customer", "vin", "work", "hours"] {
        let field = FIELDS.iter().find(|field| field.key == key).unwrap();
        assert!(
            seen.contains(&format!("> {}", field.label)),
            "{key}:\n{seen}"
        );
    }
}

/// What the powertrain calls for stands under its row as soon as it is typed.
#[test]
fn what_is_typed_brings_its_cautions() {
    let places = vec![Place::ready("read by eye, values typed", "manual:")];
    let mut start = Start::new(places, Vec::new(), Vec::new(), Box::new(|_, _| Ok(())));
    while !shoot(&start, 80, 24).contains("> powertrain") {
        let _ = start.key(Key::Down);
    }
    assert!(!shoot(&start, 80, 24).contains("CAUTION:"));
    let typed = std::iter::once(Key::Enter).chain("hybrid".chars().map(Key::Char));
    for key in typed.chain([Key::Enter]) {
        let _ = start.key(key);
    }
    while !shoot(&start, 80, 24).contains("> powertrain") {
        let _ = start.key(Key::Up);
    }
    let frame = shoot(&start, 80, 24);
    let said: Vec<&str> = frame.split_whitespace().collect();
    let said = said.join(" ");
    assert!(
        said.contains("CAUTION: the service plug is for licensed hands alone"),
        "{frame}"
    );
    assert!(said.contains("the maker's shut-down procedure)"), "{frame}");
    assert_eq!(frame.lines().count(), 24);
}

#[test]
fn what_is_wrong_is_never_cut() {
    let mut start = start();
    let _ = start.key(Key::Down);
    let _ = start.key(Key::Down);
    for key in [Key::Enter, Key::Char('x'), Key::Enter] {
        assert_eq!(start.key(key), Chosen::Stays);
    }
    for (columns, rows) in [(80, 24), (120, 40)] {
        let frame = shoot(&start, columns, rows);
        let words = frame.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains(WRONG), "{frame}");
    }
    let _ = start.key(Key::Esc);
    start.refuse(WRONG.into());
    let words = shoot(&start, 80, 24);
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains(WRONG), "{words}");
}

#[test]
fn the_way_without_a_cable_says_how_it_works() {
    let frame = shoot(&start(), 80, 24);
    for said in [
        "type what the display shows",
        "a bell",
        "a wake between two",
    ] {
        assert!(
            frame
                .split_whitespace()
                .collect::<Vec<_>>()
                .join(" ")
                .contains(said),
            "{frame}"
        );
    }
}
