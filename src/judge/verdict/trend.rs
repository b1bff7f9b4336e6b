//! A settled level that still moves: a clamp whose zero drifts, or a car that is still falling.
//!
//! A level settles in minutes; a slope too slow to see in them may over hours be the whole verdict.

use crate::judge::rules::EDGE_S;
use crate::judge::stay::Basis;
use crate::judge::stay::shown::Shown;

/// A slope is taken over the newest hour of settled time, and over no less than a quarter of it;
/// nobody waits longer for a fall that has nearly ended (common practice, no source).
const HOUR_S: f64 = 3600.0;

/// How a level moves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Trend {
    /// In ampere an hour.
    pub a_per_h: f64,
    /// Whether a clamp measures, whose zero may move by itself.
    pub is_clamp: bool,
    /// What the car would draw if all of it were the clamp's zero, in ampere.
    pub undrifted_a: f64,
    /// Where it goes within the hour, in ampere.
    pub soon_a: f64,
}

/// The slope of the level at rest, beyond what the card says of the clamp; `None` where it stands.
pub(super) fn trend(basis: &Basis<'_>, shown: &Shown) -> Option<Trend> {
    let session = basis.session;
    let from = shown
        .fell
        .plus_secs(EDGE_S)
        .max(shown.until.plus_secs(-HOUR_S));
    if shown.until.secs_since(from) < HOUR_S / 4.0 {
        return None;
    }
    let a_per_h = shown.slope_a_per_s(basis, from, shown.until)? * HOUR_S;
    if a_per_h.abs() <= session.card().cable_drift_a_per_h() {
        return None;
    }
    let zeroed = session.zeroed_by(shown.until);
    let is_clamp = zeroed.is_some()
        || session.card().drift_a_per_h.is_some()
        || session.card().clamp_mv_per_a.is_some();
    let hours = shown.until.secs_since(zeroed.unwrap_or_default()) / HOUR_S;
    Some(Trend {
        a_per_h,
        is_clamp,
        undrifted_a: shown.level.a - a_per_h * hours,
        soon_a: shown.level.a + a_per_h,
    })
}
