//! How well the car was watched: holes in the record, and readings too seldom to judge by.

use crate::reading::number::f64_from_u64;
use crate::reading::{Elapsed, quantity};
use crate::session::Session;

/// A hole below this share of the watch, or this long, is not worth a word.
const HOLE_SHARE: f64 = 0.05;
const HOLE_MIN_S: f64 = 120.0;
/// A level needs a reading at least so often: wakes and stages of the sleep last about as long
/// (common practice, no source).
const SELDOM_S: f64 = 60.0;
/// Fewer readings tell no interval.
const READINGS_MIN: u64 = 3;

/// The time without readings, as the end of a sentence; `None` where there is little.
pub(super) fn holes(session: &Session, end: Elapsed) -> Option<String> {
    let start = session.signal().first_t()?;
    let blind_s: f64 = session
        .signal()
        .gaps()
        .iter()
        .map(|gap| gap.to.secs_since(gap.from))
        .sum();
    let whole_s = end.secs_since(start);
    (blind_s >= HOLE_MIN_S.max(HOLE_SHARE * whole_s)).then(|| {
        format!(
            "no readings for {} of {}",
            quantity::span(blind_s),
            quantity::span(whole_s)
        )
    })
}

/// Why the readings are too seldom; `None` where they are not.
pub(super) fn seldom(session: &Session) -> Option<String> {
    let (first, last) = (session.signal().first_t()?, session.signal().last_t()?);
    let readings = session.readings();
    if readings < READINGS_MIN {
        return None;
    }
    let gaps = session.signal().gaps().iter();
    let blind_s: f64 = gaps.map(|gap| gap.to.secs_since(gap.from)).sum();
    let usual_s = (last.secs_since(first) - blind_s) / f64_from_u64(readings - 1);
    (usual_s > SELDOM_S).then(|| {
        format!(
            "a reading every {} is too seldom: what comes and goes between is not seen; at least one every {}",
            quantity::span(usual_s),
            quantity::span(SELDOM_S)
        )
    })
}
