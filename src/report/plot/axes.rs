//! The two axes with their labels, and the limit across them.

use super::{Curve, LABEL_HIGH, Limit, Map, Ruled, text_width};
use crate::chart::Window;
use crate::chart::currents::Currents;
use crate::chart::ticks::{round, span_label, step_s};
use crate::reading::{Elapsed, number, quantity};
use crate::report::case::Case;

/// Labels of time on the whole axis, at most.
const TICKS: f64 = 9.0;

const fn ruled(at: f64, label: String, below: Option<String>) -> Ruled {
    Ruled { at, label, below }
}

pub(super) fn currents(map: &Map) -> Vec<Ruled> {
    let ticks = map.currents.ticks().into_iter();
    ticks
        .map(|(height, label)| ruled(map.at_height(height), label, None))
        .collect()
}

/// The limit's words stand where the curves cross them least.
pub(super) fn limit(case: &Case, map: &Map, curves: &[Curve]) -> Limit {
    let limit = case.judgement.limit;
    let label = format!(
        "limit {} ({})",
        quantity::amount(limit.value),
        limit.from.word()
    );
    let (y, width) = (map.y(limit.value), text_width(&label));
    let room = (map.field.width - width - 14.0).max(0.0);
    let crossed = |x: &f64| -> usize {
        curves
            .iter()
            .map(|curve| curve.crosses(*x, *x + width, y - LABEL_HIGH, y))
            .sum()
    };
    let places = (0..=8).map(|eighths| map.field.left + 7.0 + room * f64::from(eighths) / 8.0);
    let x = places.min_by_key(crossed).unwrap_or(map.field.left);
    Limit { y, x, label }
}

pub(super) fn fitted(case: &Case, earlier: Option<&Case>) -> Currents {
    let limit_a = case.judgement.limit.value;
    let (low, high) = [Some(case), earlier]
        .into_iter()
        .flatten()
        .filter_map(extremes)
        .fold((limit_a, limit_a), |(low, high), (min_a, max_a)| {
            (low.min(min_a), high.max(max_a))
        });
    Currents::log(low, high)
}

/// The lowest and the highest reading of a record.
fn extremes(case: &Case) -> Option<(f64, f64)> {
    let track = case.session.signal().track();
    track
        .extent(Elapsed::from_ms(i64::MIN), Elapsed::from_ms(i64::MAX))
        .filter(|extent| extent.min_a <= extent.max_a)
        .map(|extent| (f64::from(extent.min_a), f64::from(extent.max_a)))
}

/// The axis' lower end, when a reading lies below it.
pub(super) fn sunk(case: &Case, currents: Currents) -> Option<f64> {
    let bottom_a = currents.bottom_a();
    extremes(case)
        .filter(|(min_a, _)| *min_a < bottom_a)
        .map(|_| bottom_a)
}

pub(super) fn wall_times(case: &Case, map: &Map) -> (Vec<Ruled>, Vec<Ruled>, String) {
    let (from, to) = case.stretch();
    let ticks = case.times.ticks(Window { from, to }, TICKS).into_iter();
    let times = ticks
        .map(|tick| ruled(map.x(tick.t), tick.label, tick.day))
        .collect();
    let changes = case.times.changes(from, to).into_iter().map(|change| {
        let label = format!("clocks {} to {}", change.from, change.to);
        ruled(map.x(change.t), label, None)
    });
    let title = match (case.times.at(from), case.times.at(to)) {
        (Some(first), Some(last)) if first.offset() == last.offset() => {
            format!("local time, UTC{}", first.offset())
        }
        (Some(first), Some(last)) => format!(
            "local time, UTC{}, later UTC{}",
            first.offset(),
            last.offset()
        ),
        _ => "time since the start".to_owned(),
    };
    (times, changes.collect(), title)
}

pub(super) fn compared_times(map: &Map, zero: Elapsed) -> (Vec<Ruled>, Vec<Ruled>, String) {
    let Window { from, to } = map.window;
    let step = step_s(map.window.span_s(), TICKS);
    let times = round(from.secs_since(zero), to.secs_since(zero), step).map(|t_s| {
        let t = zero.plus_secs(number::f64_from_i64(t_s));
        ruled(map.x(t), span_label(t_s, step), None)
    });
    (
        times.collect(),
        Vec::new(),
        "time since the lock, or since the start of a record without one".to_owned(),
    )
}
