//! What one second on the board costs, with much or little behind it.
//!
//! `cargo bench --bench second` prints the table that stands in benches/README.md: the judgement of
//! a session as the board asks for it, and of a whole record, in milliseconds of one thread.

#![expect(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a measuring program that prints a table"
)]

#[path = "measured/stopwatch.rs"]
mod stopwatch;

use lullboard::judge::memory::Memory;
use lullboard::judge::{again, judge};
use lullboard::reading::{Amps, Elapsed, Measured};
use lullboard::session::Session;
use lullboard::session::card::Card;
use lullboard::session::entry::{Entry, Fact, Header, MeterCard};
use lullboard::session::mark::{MarkId, parse_mark};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use stopwatch::Stopwatch;

/// Two minutes a deed, and as long until the next.
const DEED_S: u32 = 120;

/// Each is pulled as often as there are deeds for it; a long day tries no more.
const FUSES: u32 = 60;

fn main() {
    println!("| behind it | blocks | a second on the board, ms | a whole judgement, ms |");
    println!("| --- | --- | --- | --- |");
    if let Some(trials) = std::env::args().skip(1).find_map(|arg| arg.parse().ok()) {
        return row(&format!("{trials} trials"), session(trials, 0));
    }
    for trials in [0, 50, 200, 800] {
        row(&format!("{trials} trials"), session(trials, 0));
    }
    row("10,000 wakes", session(0, 10_000));
    println!();
    println!("| a whole record of | blocks | ms | ms a trial |");
    println!("| --- | --- | --- | --- |");
    for trials in [1000, 4000, 16_000] {
        let session = session(trials, 0);
        let whole_ms = milliseconds(3, || std::hint::black_box(judge(&session)));
        let blocks = session.signal().track().blocks().len();
        let each_ms = whole_ms / f64::from(trials);
        println!("| {trials} trials | {blocks} | {whole_ms:.0} | {each_ms:.3} |");
    }
}

fn row(name: &str, mut session: Session) {
    let mut memory = Memory::default();
    let second = milliseconds(300, || {
        let last = session.signal().last_t().unwrap_or_default();
        read(&mut session, last.plus_secs(1.0), 0.21);
        std::hint::black_box(again(&session, &mut memory))
    });
    let whole = milliseconds(3, || std::hint::black_box(judge(&session)));
    let blocks = session.signal().track().blocks().len();
    println!("| {name} | {blocks} | {second:.2} | {whole:.2} |");
}

fn read(session: &mut Session, t: Elapsed, a: f64) {
    session.apply(&Entry {
        t,
        fact: Fact::Reading(Measured::Amps(Amps::rounded(a, 4))),
    });
}

fn milliseconds<T>(times: u32, mut run: impl FnMut() -> T) -> f64 {
    run();
    let stopwatch = Stopwatch::start();
    for _ in 0..times {
        run();
    }
    stopwatch.seconds() * 1e3 / f64::from(times)
}

/// A car asleep at 210 mA, with pulls that change nothing and refits, or with wakes once a minute.
fn session(trials: u32, wakes: u32) -> Session {
    let mut rng = ChaCha8Rng::seed_from_u64(8_800_000);
    let card = Card {
        asleep_at_start: Some(true),
        ..Card::default()
    };
    let started = chrono::DateTime::UNIX_EPOCH.fixed_offset();
    let mut session = Session::new(Header {
        started,
        card,
        meter: MeterCard::default(),
    });
    let end_s = 600 + trials * DEED_S + wakes * 60;
    for t_s in 0..end_s {
        let since = t_s.saturating_sub(600);
        if t_s >= 600 && since.is_multiple_of(DEED_S) && since / DEED_S < trials {
            let deed = since / DEED_S;
            let verb = if deed.is_multiple_of(2) {
                "pull"
            } else {
                "refit"
            };
            let label = format!("{verb} E{}", 1 + deed / 2 % FUSES);
            if let Ok(mark) = parse_mark(MarkId(deed + 1), &label) {
                session.apply(&Entry {
                    t: Elapsed::from_secs(f64::from(t_s)),
                    fact: Fact::Mark(Box::new(mark)),
                });
            }
        }
        let wakes_now = wakes > 0 && t_s >= 600 && t_s % 60 < 12;
        let a = 0.21 + if wakes_now { 0.64 } else { 0.0 } + rng.random_range(-0.001..0.001);
        read(&mut session, Elapsed::from_secs(f64::from(t_s) + 0.3), a);
    }
    session
}
