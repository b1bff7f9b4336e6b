//! One room for words: reasons, findings and verdicts as sentences, the same wherever they stand.
//!
//! Short: what, how sure, what to do. Nothing is decided here, and nobody reads a sentence to
//! decide.

mod contradiction;
mod now;
mod trial;
mod verdict;

pub use contradiction::contradiction;
pub use now::now;
pub use trial::trial;
pub use verdict::verdict;

use super::Judgement;
use super::remedy::Remedy;
use super::wait;
use super::watch::Watch;
use crate::reading::band::Band;
use crate::reading::quantity;

/// A remedy, as the end of a sentence.
#[must_use]
pub fn remedy(remedy: Remedy) -> String {
    match remedy {
        Remedy::Wait { for_s } => format!(
            "most of it the current's own unrest: wait {} more",
            wait::to_come(for_s)
        ),
        Remedy::Restless => "most of it the current's own unrest: watch it overnight".into(),
        Remedy::Zero { age_s } => format!(
            "most of it the clamp's zero, {} old: zero it with its jaws closed and empty, mark it, clamp on again",
            quantity::span(age_s)
        ),
        Remedy::BetterMeter => {
            "most of it the meter's percentage: a more accurate meter would tell".into()
        }
        Remedy::FinerMeter => {
            "most of it the meter's last places: a meter in series with finer places would tell"
                .into()
        }
        Remedy::FinerRange { drop_v } => format!(
            "most of it the meter's last places: the mA range would tell. Stay on the 10 A jack until the car is asleep, and bridge the meter before you change jacks: a common mA jack ({} ohm) drops {:.0} mV now, and its fuse blows when the car wakes",
            super::remedy::MA_JACK_OHM,
            drop_v * 1e3
        ),
    }
}

/// That an earlier edition of the rules said something else of the same record.
#[must_use]
pub fn other_rules(judgement: &Judgement) -> Option<String> {
    let then = judgement.by_other_rules.as_ref()?;
    let (rules, verdict) = (judgement.rules, judgement.verdict.word());
    Some(format!(
        "by rules {}: {}; by rules {rules}: {verdict}",
        then.rules, then.verdict
    ))
}

/// What the car draws in a day.
#[must_use]
pub fn day(day_ah: Band) -> String {
    let [best, low, high] = [day_ah.best, day_ah.low, day_ah.high];
    format!("in a day it draws {best:.2} Ah ({low:.2} to {high:.2})")
}

/// How much longer to watch for wakes that were never seen.
#[must_use]
pub fn watch(watch: Watch) -> String {
    let Watch {
        watched_s,
        needed_s,
        charge_as,
    } = watch;
    format!(
        "no wake in {}: watch {} more to be sure that none of {:.1} mAh comes often enough to matter",
        quantity::span(watched_s),
        wait::to_come(needed_s - watched_s),
        charge_as / 3.6
    )
}
