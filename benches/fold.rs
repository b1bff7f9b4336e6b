//! How fast the one fold is however long the record, and what it costs in memory:
//! `cargo bench --bench fold [-- DECADES]` plays 10^4 to 10^8 readings, or to so many decades.
//!
//! Time is what this thread had of a core where the system tells it (Linux), else the wall's: others
//! may be at work on the machine. A sleeping car at ten readings a second that wakes for half a minute every ten minutes; an hour
//! of it is drawn once and played again and again, so that no time goes into drawing.

#![expect(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a measuring program that prints a table and has a stopwatch"
)]

#[path = "measured/stopwatch.rs"]
mod stopwatch;

use allocation_counter::measure;
use lullboard::judge::live;
use lullboard::reading::number::{f64_from_u64, f64_from_usize, round_to_i64};
use lullboard::reading::{Amps, Elapsed, Measured};
use lullboard::session::Session;
use lullboard::session::card::Card;
use lullboard::session::entry::{Entry, Fact, Header, MeterCard};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use stopwatch::Stopwatch;

const SEED: u64 = 6_400_000;
const EVERY_MS: i64 = 100;
const HOUR_MS: i64 = 3_600_000;
const WAKE_EVERY_S: i64 = 600;
const WAKE_S: i64 = 30;

const DECADES: std::ops::RangeInclusive<u32> = 4..=8;
/// A longer record is no car's, and its judging takes a gigabyte.
const JUDGED_UP_TO: usize = 10_000_000;

fn main() {
    let last = std::env::args().skip(1).find_map(|arg| arg.parse().ok());
    let mut hour = one_hour();
    println!(
        "| readings | million readings/s of the last of them | allocations | bytes kept a reading | judged, ms |"
    );
    println!("| --- | --- | --- | --- | --- |");
    let mut session = Session::new(Header {
        started: chrono::DateTime::UNIX_EPOCH.fixed_offset(),
        card: Card::default(),
        meter: MeterCard::default(),
    });
    let mut played = 0;
    for decade in *DECADES.start()..=last.unwrap_or(*DECADES.end()) {
        let (from, until) = (played, 10_usize.pow(decade));
        let stopwatch = Stopwatch::start();
        let spent = measure(|| {
            while played < until {
                play(&mut session, &mut hour, played);
                played += 1;
            }
        });
        let seconds = stopwatch.seconds();
        let readings = f64_from_usize(until - from);
        let kept = f64_from_u64(u64::try_from(spent.bytes_current).unwrap_or(0));
        let judged = if until <= JUDGED_UP_TO {
            let stopwatch = Stopwatch::start();
            let judgement = live(&session);
            assert!(judgement.readings > 0);
            format!("{:.1}", stopwatch.seconds() * 1e3)
        } else {
            "-".to_owned()
        };
        println!(
            "| 10^{decade} | {:.1} | {} | {:.1} | {judged} |",
            readings / seconds / 1e6,
            spent.count_total,
            kept / readings
        );
    }
}

fn one_hour() -> Vec<Entry> {
    let mut rng = ChaCha8Rng::seed_from_u64(SEED);
    let mut reading = |t_ms: i64| {
        let noise: f64 = StandardNormal.sample(&mut rng);
        let awake = t_ms / 1000 % WAKE_EVERY_S < WAKE_S;
        let level_a = if awake { 0.8 } else { 0.03 };
        let tenths_ma = round_to_i64((level_a + 0.001 * noise) * 1e4);
        Amps::new(tenths_ma, 4).map(|amps| Entry {
            t: Elapsed::from_ms(t_ms),
            fact: Fact::Reading(Measured::Amps(amps)),
        })
    };
    let moments = (0..HOUR_MS / EVERY_MS).map(|i| i * EVERY_MS);
    moments.filter_map(&mut reading).collect()
}

/// As a file is read: from entries that lie in memory. The next hour is the same one, later.
fn play(session: &mut Session, hour: &mut [Entry], n: usize) {
    let at = n % hour.len();
    if let Some(entry) = hour.get_mut(at) {
        session.apply(entry);
        entry.t = Elapsed::from_ms(entry.t.ms() + HOUR_MS);
    }
}
