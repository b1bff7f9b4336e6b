//! Readings that no parked car gives: what is wrong is the connection or the meter, not the car.

use crate::judge::finding::Verdict;
use crate::judge::phase::Settling;
use crate::judge::uncertainty::Estimate;
use crate::reading::{number, quantity};
use crate::session::Session;

/// No car with its battery connected draws less: the modules that keep their memory take 2 to
/// 4 mA together (common practice, no source; single modules 0.1 to 4.75 mA, trade table 1.3).
pub const CURRENT_MIN_A: f64 = 0.001;

/// No parked car draws as much for long, and the fuse of a common 10 A range would not stand it
/// (common practice, no source).
const PARKED_MAX_A: f64 = 10.0;

/// A display that has not moved for so long, with so many readings ...
const FROZEN_S: f64 = 600.0;
const FROZEN_READINGS: u64 = 200;
/// ... although it could: its place is this small a share of the level, and finer than a car's
/// own unrest, which is some tenths of a milliampere (common practice, no source).
const FINE_SHARE: f64 = 0.005;
const FINE_A: f64 = 0.0002;

/// What a dead meter and a sleeping car have in common is told apart by this.
const KNOWN_LOAD: &str =
    "check the meter's fuse and leads, then show it a known load (a 5 W lamp adds about 0.4 A)";

/// Why a level is no parked car's, for a verdict of `said` on it.
pub(super) fn odd(
    session: &Session,
    last: &Settling,
    level: &Estimate,
    said: Verdict,
) -> Option<String> {
    if level.a == 0.0 && level.spread_a == 0.0 {
        return Some("exactly zero without any noise: check the meter's fuse and leads".into());
    }
    if level.a + 2.0 * level.u_a() < 0.0 {
        return Some(
            "the current is negative: turn the clamp or the leads, or take the charger off".into(),
        );
    }
    if let Some(unit) = unit(level.a) {
        return Some(unit);
    }
    if let Some(frozen) = frozen(session, last, level) {
        return Some(frozen);
    }
    let shown = quantity::current(level.a);
    if level.a.abs() < CURRENT_MIN_A {
        return Some(format!(
            "no current at all? {shown}, and a car with its battery connected always draws more: {KNOWN_LOAD}"
        ));
    }
    let u_a = level.level().u_a;
    (said == Verdict::Below && level.a <= u_a).then(|| {
        let u = quantity::current(u_a);
        format!("no current at all? {shown} is within U {u} of zero: {KNOWN_LOAD}")
    })
}

/// Why a level is another unit's.
pub(super) fn unit(level_a: f64) -> Option<String> {
    let a = number::round_to_i64(level_a);
    (level_a > PARKED_MAX_A)
        .then(|| format!("{a} A parked? A log in milliampere is read with --unit mA"))
}

/// A display on hold repeats itself to the last place; a coarse one does so honestly.
fn frozen(session: &Session, last: &Settling, level: &Estimate) -> Option<String> {
    let stood_s = last.to.secs_since(last.data_from);
    let place_a = session.signal().resolution_a();
    let could_move = place_a <= FINE_A && place_a <= FINE_SHARE * level.a;
    if !could_move || level.spread_a > 0.0 || stood_s < FROZEN_S {
        return None;
    }
    let newest = last.data_from.max(last.to.plus_secs(-FROZEN_S));
    let blocks = session.signal().track().between(newest, last.to).iter();
    let readings: u64 = blocks.map(|block| u64::from(block.count)).sum();
    (readings >= FROZEN_READINGS).then(|| {
        format!(
            "not one digit has moved for {}: is the meter on HOLD?",
            quantity::span(stood_s)
        )
    })
}
