//! Changes out of a settled level that nobody marked: something was done and not noted, or the car
//! did it. Wakes that ended by themselves are none, nor is a fall while the car may still be
//! falling asleep.

use super::finding::Unclaimed;
use super::rules::HOLE_S;
use super::stay::{Basis, Opening, Stay, Stays, later};
use crate::reading::statistics::mean;

/// Every unclaimed change of the record, in order.
pub fn unclaimed(basis: &Basis<'_>, stays: &Stays) -> Vec<Unclaimed> {
    let mut found = Vec::new();
    let mut before: Option<f64> = None;
    for (at, stay) in stays.all.iter().enumerate() {
        if stay.opening == Opening::Unmarked
            && !is_said_later(stays, at)
            && let (Some(from_a), Some(shown)) = (before, &stay.shown)
        {
            found.push(Unclaimed {
                t: stay.from,
                from_a,
                to_a: shown.level.a,
            });
        }
        let Some(shown) = &stay.shown else { continue };
        before = Some(shown.level.a);
        let touches = shown.touches.iter();
        found.extend(touches.map(|touch| Unclaimed {
            t: touch.from,
            from_a: shown.level.a,
            to_a: touch.peak_a,
        }));
        found.extend(rise(basis, stay));
    }
    found.sort_by_key(|one| one.t);
    found
}

/// Whether the next mark puts back what this stay shows to be back: it was made late.
fn is_said_later(stays: &Stays, at: usize) -> bool {
    let [stay, next] = [at, at + 1].map(|at| stays.all.get(at));
    stay.zip(next).is_some_and(|(stay, next)| {
        let is_refit = matches!(next.opening, Opening::Deed(_, did) if did.restores());
        is_refit && stay.setup != stay.marked && next.setup == next.marked
    })
}

/// The level was left, and what came has stood for a while.
fn rise(basis: &Basis<'_>, stay: &Stay) -> Option<Unclaimed> {
    let shown = stay.rested()?;
    let from = shown
        .risen
        .filter(|from| stay.is_open && stay.to.secs_since(*from) >= HOLE_S)?;
    let values = later::after_rise(basis, stay, from);
    (!values.is_empty()).then(|| Unclaimed {
        t: from,
        from_a: shown.level.a,
        to_a: mean(&values),
    })
}
