//! A change out of a rest that nobody marked and that lasts: it begins a stay of its own.

use std::sync::Arc;

use super::asleep::{self, Ground};
use super::{Basis, Opening, Stay};
use crate::judge::rules::{FLOOR_S, LIE_TIMES, MARK_TOLERANCE_S, REST_S};
use crate::judge::{levels, mark_tolerance, uncertainty};
use crate::reading::Elapsed;
use crate::reading::statistics::median;

/// The stay in two, where such a change parts it; `None` while it may be a wake, or the car still
/// falling asleep. `next` is the stay after it.
pub(super) fn parted(
    basis: &Basis<'_>,
    earlier: &[Stay],
    stay: &Stay,
    next: Option<&Stay>,
) -> Option<Box<[Stay; 2]>> {
    if let Some(at) = rise(basis, earlier, stay, next) {
        let mut before = stay.clone();
        before.to = at;
        before.is_open = false;
        if let Some(shown) = &mut before.shown {
            Arc::make_mut(shown).risen = None;
        }
        return Some(Box::new([before, after(stay, at, at)]));
    }
    let shown = stay.shown.as_deref();
    let mut ends = shown
        .into_iter()
        .flat_map(|shown| [shown.fell, shown.arrived]);
    let proven = ends.find_map(|at| Some((before_fall(basis, earlier, stay, at)?, at)));
    let (before, at) = proven.or_else(|| {
        let fall =
            mark_tolerance::marked_late(basis, stay.from, next?).filter(|fall| fall.t < stay.to)?;
        let before = stay_until(basis, earlier, stay, fall.t);
        let level_a = before.standing()?.level.a;
        levels::same(fall.from_a, level_a).then_some((before, fall.t))
    })?;
    Some(Box::new([before, after(stay, at, stay.clock)]))
}

/// The stay as it was until `at`.
fn stay_until(basis: &Basis<'_>, earlier: &[Stay], stay: &Stay, at: Elapsed) -> Stay {
    let mut before = Stay {
        to: at,
        is_open: false,
        ..stay.clone()
    };
    before.shown = basis.shown(&before);
    before.wait_since_touched();
    before.rest = asleep::rest(basis, earlier, &before);
    before
}

/// What comes after the change at `at`.
fn after(stay: &Stay, at: Elapsed, clock: Elapsed) -> Stay {
    Stay {
        from: at,
        opening: Opening::Unmarked,
        clock,
        ..stay.clone()
    }
}

/// When a lasting rise began. A level at which the car rested before is a ground as soon as the rise
/// outlives every wake of this stay, and so is one out of which the next fuse or part was taken;
/// another one only when it outlives the time-out or all that stood before it.
fn rise(basis: &Basis<'_>, earlier: &[Stay], stay: &Stay, next: Option<&Stay>) -> Option<Elapsed> {
    let shown = stay.rested()?;
    let from = shown.risen?;
    let stood_s = stay.to.secs_since(from);
    let wakes = shown.wakes.iter().map(super::super::finding::Wake::lasts_s);
    if stood_s < wakes.fold(REST_S, f64::max) {
        return None;
    }
    let level_a = median(&mut after_rise(basis, stay, from))?;
    let known = earlier
        .iter()
        .filter_map(Stay::rested)
        .any(|rested| levels::same(rested.level.a, level_a));
    let long = stood_s > basis.timeout_s.max(from.secs_since(shown.arrived));
    let is_tried = next.is_some_and(|next| next.opening.tried().is_some());
    (known || long || is_tried).then_some(from)
}

/// What was read of a stay once a rise at `from` is over, in ampere.
pub(in crate::judge) fn after_rise(basis: &Basis<'_>, stay: &Stay, from: Elapsed) -> Vec<f64> {
    let track = basis.session.signal().track();
    track.values(from.plus_secs(MARK_TOLERANCE_S), stay.to)
}

/// The stay up to a fall (or a step that is no excursion) at `at`, if it had rested by then beyond
/// doubt: what falls before that is the car falling asleep.
fn before_fall(basis: &Basis<'_>, earlier: &[Stay], stay: &Stay, at: Elapsed) -> Option<Stay> {
    let now = stay.shown.as_deref()?;
    if now.is_sparse {
        return None;
    }
    let before = stay_until(basis, earlier, stay, at);
    let begun = before.begun_after_removal();
    let proven = match before.rest.ground? {
        Ground::SaidAsleep => true,
        // A stated time-out may be too short.
        Ground::TimedOut => at.secs_since(begun) >= LIE_TIMES * basis.timeout_s,
        Ground::Known => !stay.opening.is_removal(),
        Ground::AtLimit | Ground::Removed => false,
    };
    let old = &before.shown.as_deref()?.level;
    let change = uncertainty::change(old, &now.level, basis.session.card().cable_drift_a_per_h());
    let real = change.a.abs() > change.u_a && !levels::same(old.a, now.level.a);
    (proven && real && is_sharp(basis, at, change.a)).then_some(before)
}

/// Whether a step of the signal, and not a slope, makes most of a change at `at`.
fn is_sharp(basis: &Basis<'_>, at: Elapsed, change_a: f64) -> bool {
    let changes = basis.session.signal().changes().iter();
    let mut near = changes.filter(|change| change.t.secs_since(at).abs() <= FLOOR_S);
    near.any(|change| !change.ramp && (change.to_a - change.from_a) / change_a >= 0.5)
}

#[cfg(test)]
mod tests;
