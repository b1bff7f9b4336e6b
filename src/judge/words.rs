//! One room for words: what a judgement holds as sentences, the same wherever they stand.
//!
//! Short: what, how sure, what to do. Nothing is decided here, and nobody reads a sentence to
//! decide.

pub mod awaited;
pub mod by_eye;
mod by_hand;
pub mod cause;
mod contradiction;
pub mod customer;
pub mod draw;
pub mod headline;
pub mod ledger;
pub mod meter;
mod now;
pub mod pattern;
mod plan;
pub mod stop;
pub mod sweep;
pub mod ticks;
mod trial;
mod tried;
mod verdict;
pub mod volts;
pub mod wake;

pub use verdict::{NO_ACCURACY, with_out};

use super::Judgement;
use super::remedy::Remedy;
use super::wait;
use crate::reading::quantity;
use crate::session::mark::Did;

/// The limit, where its figure stands elsewhere.
pub const THE_LIMIT: &str = "the limit";

/// What is said of whatever let others sleep once it was out.
pub const KEPT_AWAKE: &str = "kept others awake; the fault may sit elsewhere on the network";

/// A deed and what it was done to: `pull E8+D12`.
pub fn said_of(did: Did, what: &[String]) -> String {
    format!("{did} {}", what.join("+"))
}

/// What there is of these, with `between` between them.
fn join<const N: usize>(words: [Option<String>; N], between: &str) -> String {
    let words: Vec<String> = words.into_iter().flatten().collect();
    words.join(between)
}

/// The charge of a wake.
fn charge(charge_as: f64) -> String {
    format!("{:.1} mAh", charge_as / 3.6)
}

/// How many wakes.
pub fn counted(wakes: usize) -> String {
    match wakes {
        0 => "no wake".into(),
        1 => "one wake".into(),
        more => format!("{more} wakes"),
    }
}

/// What most of a U is, and what would make it smaller: the end of a sentence.
fn remedy(remedy: Remedy) -> String {
    match remedy {
        Remedy::Wait { for_s } => format!(
            "mostly the current's own unrest; wait {} more",
            wait::to_come(for_s)
        ),
        Remedy::Restless => "mostly the current's own unrest; watch it overnight".into(),
        Remedy::Zero { age_s } => format!(
            "mostly the clamp's zero, {} old; zero it with its jaws closed and empty, mark it, clamp on again",
            quantity::span(age_s)
        ),
        Remedy::BetterMeter => {
            "mostly the meter's percentage; a more accurate meter would tell".into()
        }
        Remedy::FinerMeter => {
            "mostly the meter's last places; a meter in series with finer places would tell".into()
        }
        Remedy::FinerRange { drop_v } => format!(
            "mostly the meter's last places; the mA range would tell. Stay on the 10 A jack until the car is asleep, and bridge the meter before you change jacks: a common mA jack ({} ohm) drops {:.0} mV now, and its fuse blows when the car wakes",
            super::rules::MA_JACK_OHM,
            drop_v * 1e3
        ),
    }
}

/// That an earlier edition of the rules said something else of the same record.
pub fn other_rules(judgement: &Judgement) -> Option<String> {
    let then = judgement.by_other_rules.as_ref()?;
    let (rules, verdict) = (judgement.rules, judgement.verdict.word());
    Some(format!(
        "by rules {}: {}; by rules {rules}: {verdict}",
        then.rules, then.verdict
    ))
}

/// What was judged, and by what.
pub fn record(judgement: &Judgement) -> String {
    format!(
        "{} readings over {}, judged by rules {}",
        judgement.readings,
        quantity::span(judgement.span_s),
        judgement.rules
    )
}

/// Readings that were not judged.
pub fn left_out(judgement: &Judgement) -> Option<String> {
    let readings = match judgement.left_out {
        0 => return None,
        1 => "1 reading".to_owned(),
        n => format!("{n} readings"),
    };
    Some(format!(
        "{readings} left out: their time runs backwards or leaps"
    ))
}
