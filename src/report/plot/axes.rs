//! The two axes with their labels, and the limit across them.

use super::{Curve, LABEL_HIGH, Limit, Map, Ruled, text_width};
use crate::reading::{Elapsed, quantity};
use crate::report::axis::{self, Decades, Tick};
use crate::report::case::Case;

/// Labels of time on the whole axis, at most.
const TICKS: f64 = 9.0;

pub(super) fn ruled(labels: Vec<(f64, String)>, place: impl Fn(f64) -> f64) -> Vec<Ruled> {
    let line = |(at, label)| Ruled {
        at: place(at),
        label,
        below: None,
    };
    labels.into_iter().map(line).collect()
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

pub(super) fn decades(case: &Case, earlier: Option<&Case>) -> Decades {
    let limit_a = case.judgement.limit.value;
    let (low, high) = [Some(case), earlier]
        .into_iter()
        .flatten()
        .filter_map(extremes)
        .fold((limit_a, limit_a), |(low, high), (min_a, max_a)| {
            (low.min(min_a), high.max(max_a))
        });
    Decades::fit(low, high)
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
pub(super) fn sunk(case: &Case, decades: Decades) -> Option<f64> {
    let bottom_a = decades.bottom_a();
    extremes(case)
        .filter(|(min_a, _)| *min_a < bottom_a)
        .map(|_| bottom_a)
}

pub(super) fn wall_times(case: &Case, map: &Map) -> (Vec<Ruled>, Vec<Ruled>, String) {
    let (from, to) = case.stretch();
    let line = |tick: Tick| Ruled {
        at: map.x(tick.t),
        label: tick.label,
        below: tick.day,
    };
    let times = axis::times(&case.times, from, to, TICKS)
        .into_iter()
        .map(line)
        .collect();
    let changes = case
        .times
        .changes(from, to)
        .into_iter()
        .map(|change| Ruled {
            at: map.x(change.t),
            label: format!("clocks {} to {}", change.from, change.to),
            below: None,
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

pub(super) fn compared_times(map: &Map) -> (Vec<Ruled>, Vec<Ruled>, String) {
    let labels = axis::spans(map.frame.from_s, map.frame.to_s, TICKS);
    let field = map.field;
    let times = ruled(labels, |s| field.left + map.frame.share(s) * field.width);
    (
        times,
        Vec::new(),
        "time since the lock, or since the start of a record without one".to_owned(),
    )
}
