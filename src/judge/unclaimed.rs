//! Changes out of a settled level that nobody marked: something was done and not noted, or the car
//! did it. Wakes that ended by themselves are none, nor is a fall while the car may still be
//! falling asleep.

use super::announced::OpenFall;
use super::finding::{Finding, Trial, Unclaimed};
use super::levels;
use super::rules::HOLE_S;
use super::stay::{Basis, Opening, Stay, Stays, later};
use crate::reading::statistics::mean;

/// Every unclaimed change of the record, in order.
pub fn unclaimed(basis: &Basis<'_>, stays: &Stays, trials: &[Trial]) -> Vec<Unclaimed> {
    let falls = basis.open_falls.iter();
    let mut found: Vec<Unclaimed> = falls
        .map(|fall| Unclaimed {
            t: fall.t,
            from_a: fall.from_a,
            to_a: fall.to_a,
            among: narrowed(fall, trials),
        })
        .collect();
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
                among: Vec::new(),
            });
        }
        let Some(shown) = &stay.shown else { continue };
        before = Some(shown.level.a);
        let touches = shown.touches.iter();
        found.extend(touches.map(|touch| Unclaimed {
            t: touch.from,
            from_a: shown.level.a,
            to_a: touch.peak_a,
            among: Vec::new(),
        }));
        found.extend(rise(basis, stay));
    }
    found.sort_by_key(|one| one.t);
    found
}

/// The fuses that may still be the fall: one that brought as much back is it, one that brought
/// something else is not.
fn narrowed(fall: &OpenFall, trials: &[Trial]) -> Vec<String> {
    let brought_a = |label: &String| {
        let alone = |trial: &&Trial| {
            let of_it = trial.did.restores() && trial.what == [label.clone()];
            of_it && trial.with.is_empty() && trial.finding != Finding::NotYet
        };
        let back = trials.iter().filter(|trial| trial.t > fall.t).find(alone)?;
        let is_judged = back.finding != Finding::CannotTell;
        back.change.filter(|_| is_judged).map(|change| change.a)
    };
    let is_it = |label: &&String| {
        brought_a(label).is_some_and(|a| levels::same(a, fall.from_a - fall.to_a))
    };
    if let Some(it) = fall.among.iter().find(is_it) {
        return vec![it.clone()];
    }
    let silent = fall.among.iter().filter(|label| brought_a(label).is_none());
    let silent: Vec<String> = silent.cloned().collect();
    if silent.is_empty() {
        fall.among.clone()
    } else {
        silent
    }
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
        among: Vec::new(),
    })
}
