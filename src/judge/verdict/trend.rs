//! A settled level that still moves: a clamp whose zero drifts, or a car that is still falling.
//!
//! The flatness test lets a slow slope pass; over hours it may be the whole verdict.

use crate::judge::finding::Verdict;
use crate::judge::phase::Settling;
use crate::judge::uncertainty::Estimate;
use crate::reading::number::f64_from_usize;
use crate::reading::{Elapsed, quantity};
use crate::session::mark::Did;
use crate::session::{Placed, Session};

/// A slope is taken over so much of the newest settled time, and over no less than this.
const WINDOW_S: f64 = 3600.0;
const WINDOW_MIN_S: f64 = 900.0;
/// A step is over after this long.
const PAST_STEP_S: f64 = 2.0;
/// In so many pieces: their means scatter by the noise and by its slow part.
const PIECES: usize = 15;
/// A slope below so many of its standard errors is none (with 13 degrees of freedom once in a
/// thousand times).
const SURE: f64 = 4.2;
const PER_HOUR: f64 = 3600.0;
/// Nobody waits longer for a fall that has nearly ended (common practice, no source).
const FALL_H: f64 = 1.0;

/// What a slope does to a verdict, and why.
pub(super) fn trend(
    session: &Session,
    last: &Settling,
    level: &Estimate,
    said: Verdict,
    limit_a: f64,
) -> Option<(Verdict, String)> {
    let from = smooth_from(session, last);
    let slope_a_per_h = slope(session, from, last.to)?;
    let stated_a_per_h = session.card().cable_drift_a_per_h();
    if slope_a_per_h.abs() <= stated_a_per_h {
        return None;
    }
    let per_hour = quantity::current(slope_a_per_h.abs());
    let falls = slope_a_per_h < 0.0;
    let soon_below = level.a + slope_a_per_h * FALL_H < limit_a;
    if said == Verdict::Above && falls && soon_below {
        let why = format!("still falling, by {per_hour} an hour: wait on");
        return Some((Verdict::NotSettled, why));
    }
    // If all of it were the clamp's zero, the car would draw this.
    let mut zeroed = session.marks();
    let zeroed = zeroed.rfind(|placed| placed.mark.did == Did::Zero && placed.at() <= last.to);
    let is_clamp = zeroed.is_some()
        || session.card().drift_a_per_h.is_some()
        || session.card().clamp_mv_per_a.is_some();
    let zeroed = zeroed.map_or(Elapsed::ZERO, Placed::at);
    let hours = last.to.secs_since(zeroed) / PER_HOUR;
    let undrifted_a = level.a - slope_a_per_h * hours;
    let crosses = match said {
        Verdict::Above => undrifted_a < limit_a,
        Verdict::Below => is_clamp && undrifted_a > limit_a,
        Verdict::CannotTell => true,
        Verdict::NotSettled => false,
    };
    crosses.then(|| {
        let way = if falls { "falls" } else { "rises" };
        let than = if stated_a_per_h > 0.0 {
            "more than the stated drift"
        } else {
            "which a clamp's zero may do too"
        };
        (
            Verdict::CannotTell,
            format!("{way} by {per_hour} an hour, {than}: zero the clamp again, or watch until it stands"),
        )
    })
}

/// Since when nothing but slopes moved the level: no step, mark or hole, and no further back than
/// a slope is taken over.
fn smooth_from(session: &Session, last: &Settling) -> Elapsed {
    let signal = session.signal();
    let steps = signal.changes().iter().filter(|change| !change.ramp);
    let steps = steps.map(|change| change.t);
    let marks = session
        .marks()
        .filter(|placed| placed.mark.did != Did::Note);
    let holes = signal.gaps().iter().map(|gap| gap.to);
    let earlier = steps.chain(marks.map(Placed::at)).chain(holes);
    let newest = earlier.filter(|t| *t <= last.data_from).max();
    let oldest = last.to.plus_secs(-WINDOW_S);
    newest.map_or(oldest, |t| t.plus_secs(PAST_STEP_S).max(oldest))
}

/// The slope in ampere an hour; `None` where it is too short or noise may have made it.
fn slope(session: &Session, from: Elapsed, to: Elapsed) -> Option<f64> {
    let span_s = to.secs_since(from);
    if span_s < WINDOW_MIN_S {
        return None;
    }
    let piece_s = span_s / f64_from_usize(PIECES);
    let track = session.signal().track();
    let points: Option<Vec<(f64, f64)>> = (0..PIECES)
        .map(|i| {
            let start = from.plus_secs(piece_s * f64_from_usize(i));
            let blocks = track.between(start, start.plus_secs(piece_s)).iter();
            let used = blocks.filter(|block| block.count > 0);
            let (sum_a, n) = used.fold((0.0, 0usize), |(sum_a, n), block| {
                (sum_a + f64::from(block.mean_a), n + 1)
            });
            (n > 0).then(|| (f64_from_usize(i), sum_a / f64_from_usize(n)))
        })
        .collect();
    let (slope, se) = fitted(&points?);
    (slope.abs() > SURE * se).then_some(slope / piece_s * PER_HOUR)
}

/// Least-squares slope of the points and its standard error.
fn fitted(points: &[(f64, f64)]) -> (f64, f64) {
    let n = f64_from_usize(points.len());
    let (mx, my) = points
        .iter()
        .fold((0.0, 0.0), |(x, y), p| (x + p.0 / n, y + p.1 / n));
    let (xx, xy) = points.iter().fold((0.0, 0.0), |(xx, xy), p| {
        (xx + (p.0 - mx).powi(2), xy + (p.0 - mx) * (p.1 - my))
    });
    let slope = xy / xx;
    let left = points
        .iter()
        .map(|p| (p.1 - my - slope * (p.0 - mx)).powi(2))
        .sum::<f64>();
    (slope, (left / (n - 2.0) / xx).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: worked by hand: 0, 2, 1, 3 at 0 to 3 have slope 0.8, residuals -0.3, 0.9, -0.9, 0.3.
    #[test]
    fn a_slope_and_its_error() {
        let (slope, se) = fitted(&[(0.0, 0.0), (1.0, 2.0), (2.0, 1.0), (3.0, 3.0)]);
        assert!((slope - 0.8).abs() < 1e-12);
        assert!((se - (1.8f64 / 2.0 / 5.0).sqrt()).abs() < 1e-12);
    }
}
