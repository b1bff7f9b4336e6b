//! What a frame of 200 by 60 costs, with an hour or a week behind it: `cargo bench --bench frame`.
//!
//! Built is the scene out of the model; drawn is that with its cells, on an empty screen. The next is one
//! reading more a quarter of a second later: judged, built, and drawn over what stands. Allocations of one
//! frame built.

#![expect(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a measuring program that prints a table and has a stopwatch"
)]

#[path = "measured/stopwatch.rs"]
mod stopwatch;

use allocation_counter::measure;
use lullboard::desk::{Event, Key, Message, Model, Options};
use lullboard::fuse::map::Circuit;
use lullboard::reading::{Amps, Elapsed, Measured};
use lullboard::screen::{Picture, Scene, Theme};
use lullboard::session::Session;
use lullboard::session::card::Card;
use lullboard::session::entry::{Entry, Fact, Header, MeterCard};
use lullboard::session::mark::{MarkId, parse_mark};
use stopwatch::Stopwatch;

const SIZE: (u16, u16) = (200, 60);
const FRAMES: u32 = 300;
const HOUR_S: u32 = 3600;

fn main() {
    println!("| behind it | built, ms | and drawn, ms | the next, ms | allocations | bytes |");
    println!("| --- | --- | --- | --- | --- | --- |");
    row("an hour", model(HOUR_S, 0, 0));
    row("a day", model(24 * HOUR_S, 0, 0));
    row("a week", model(168 * HOUR_S, 0, 0));
    row("a week, 60 fuses tried", model(168 * HOUR_S, 60, 0));
    row(
        "a week, 60 of 300 fuses tried",
        model(168 * HOUR_S, 60, 300),
    );
    let mut open = model(168 * HOUR_S, 60, 300);
    let t = open.session().last_t();
    let event = Event::Key(Key::Char('x'));
    let _ = open.update(Message { t, event });
    row("the same, the fuse map open", open);
}

fn row(name: &str, mut model: Model) {
    let (columns, rows) = SIZE;
    let scene = || std::hint::black_box(Scene::of(&model, columns, rows));
    let built_ms = milliseconds(|| drop(scene()));
    let theme = Theme::dark(true);
    let drawn_ms = milliseconds(|| {
        let mut picture = Picture::default();
        assert!(!picture.show(scene(), theme).is_empty());
    });
    let spent = measure(|| drop(scene()));
    let (count, bytes) = (spent.count_total, spent.bytes_total);
    let mut picture = Picture::default();
    let mut t = model.session().last_t();
    let next_ms = milliseconds(|| {
        t = t.plus_secs(0.25);
        let fact = Fact::Reading(Measured::Amps(Amps::rounded(0.21, 4)));
        let event = Event::Appended(vec![Entry { t, fact }]);
        let _ = model.update(Message { t, event });
        picture.show(Scene::of(&model, columns, rows), theme);
    });
    println!("| {name} | {built_ms:.2} | {drawn_ms:.2} | {next_ms:.2} | {count} | {bytes} |");
}

fn milliseconds(mut run: impl FnMut()) -> f64 {
    run();
    let stopwatch = Stopwatch::start();
    for _ in 0..FRAMES {
        run();
    }
    stopwatch.seconds() * 1e3 / f64::from(FRAMES)
}

/// One reading a second: the plot keeps seconds, however many readings are in one. The car wakes every
/// ten minutes; the fuses are pulled and put back at the end.
fn model(for_s: u32, tried: u32, fuses: u32) -> Model {
    let circuit = |n: u32| Circuit {
        label: format!("F{n}"),
        in_box: String::new(),
        position: format!("{n}"),
        rating_a: Some(10.0),
        style: None,
        feeds: vec![format!("the part behind fuse {n}")],
        weight: None,
    };
    let card = Card {
        asleep_at_start: Some(true),
        fuses: (fuses > 0).then(|| (1..=fuses).map(circuit).collect()),
        ..Card::default()
    };
    let mut session = Session::new(Header {
        started: chrono::DateTime::UNIX_EPOCH.fixed_offset(),
        card,
        meter: MeterCard::default(),
    });
    let deeds_from_s = for_s.saturating_sub(tried * 240);
    for t_s in 0..for_s {
        let since = t_s.saturating_sub(deeds_from_s);
        if t_s > deeds_from_s && since.is_multiple_of(120) {
            let deed = since / 120 - 1;
            let verb = if deed.is_multiple_of(2) {
                "pull"
            } else {
                "refit"
            };
            if let Ok(mark) = parse_mark(MarkId(deed + 1), &format!("{verb} F{}", 1 + deed / 2)) {
                apply(&mut session, t_s, Fact::Mark(Box::new(mark)));
            }
        }
        let awake = t_s < deeds_from_s && t_s % 600 < 30;
        let a = if awake { 0.8 } else { 0.21 } + 0.0001 * f64::from(t_s % 7);
        apply(
            &mut session,
            t_s,
            Fact::Reading(Measured::Amps(Amps::rounded(a, 4))),
        );
    }
    let mut model = Model::with(session, Options::default());
    model.recalled();
    model
}

fn apply(session: &mut Session, t_s: u32, fact: Fact) {
    let t = Elapsed::from_secs(f64::from(t_s));
    session.apply(&Entry { t, fact });
}
