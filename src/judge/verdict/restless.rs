//! A car that never gets steady: chatter on the bus keeps it up, and no level ever settles.

use super::against_limit;
use crate::judge::finding::Verdict;
use crate::judge::limit;
use crate::judge::phase::Walk;
use crate::judge::uncertainty::{self, Estimate};
use crate::reading::number::{f64_from_i64, f64_from_usize, round_to_i64};
use crate::reading::quantity;
use crate::session::Session;

/// Long past the time-out: this many of them.
const TIMEOUTS: f64 = 2.0;
/// No further back than this: what is asked for every second has to cost the same after a week.
const WATCHED_MAX_S: f64 = 12.0 * 3600.0;
/// The lowest of means over so long counts: a single reading may be a slip.
const PIECE_S: f64 = 5.0;
/// ... and so many of them have to have evidence.
const EVIDENCE: f64 = 0.9;

/// Why a car that has not settled is above the limit all the same.
pub(super) fn restless(session: &Session, walk: &Walk, limit_a: f64) -> Option<String> {
    let end = session.signal().last_t()?;
    let left = walk.left_since.filter(|_| !walk.is_unlocked)?;
    // What is done to the car begins its watch anew.
    let mut touched = session.marks().filter(|placed| placed.mark.did.is_tried());
    let touched = touched
        .next_back()
        .map_or(left, |placed| placed.at().max(left));
    let timeout_s = limit::timeout(session.card()).value;
    if end.secs_since(touched) < TIMEOUTS * timeout_s {
        return None;
    }
    let from = touched.max(end.plus_secs(-WATCHED_MAX_S));
    let pieces = round_to_i64((end.secs_since(from) / PIECE_S).floor());
    let whole = uncertainty::estimate(session, from, end)?;
    let track = session.signal().track();
    let means_a = (0..pieces).filter_map(|i| {
        let start = from.plus_secs(PIECE_S * f64_from_i64(i));
        let blocks = track.between(start, start.plus_secs(PIECE_S)).iter();
        let used = blocks.filter(|block| block.count > 0);
        let (sum_a, n) = used.fold((0.0, 0usize), |(sum_a, n), block| {
            (sum_a + f64::from(block.mean_a), n + 1)
        });
        (n > 0).then(|| sum_a / f64_from_usize(n))
    });
    let (lowest_a, seen) = means_a.fold((f64::INFINITY, 0i64), |(lowest_a, seen), mean_a| {
        (lowest_a.min(mean_a), seen + 1)
    });
    let lowest = Estimate {
        a: lowest_a,
        ..whole
    };
    let above = against_limit(&lowest, limit_a) == Verdict::Above;
    (above && f64_from_i64(seen) >= EVIDENCE * f64_from_i64(pieces)).then(|| {
        format!(
            "never under {} in {}, does not sleep",
            quantity::current(lowest_a),
            quantity::span(end.secs_since(from))
        )
    })
}
