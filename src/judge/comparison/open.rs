//! A deed that has no level on one side, or none that counts yet.

use super::sides::{Side, Sides};
use super::{Bench, by_look};
use crate::judge::finding::{Finding, Trial};
use crate::judge::reason::TrialReason;
use crate::judge::uncertainty;

/// Nothing to compare: what there is to say of it.
pub(super) fn without_level(bench: &Bench<'_>, at: usize, sides: &Sides<'_>, trial: &mut Trial) {
    match &sides.after {
        Some(after) if after.is_rested => nothing_before(bench, after, trial),
        Some(_) | None => unsettled(bench, at, sides, trial),
    }
}

/// The level after it counts, but there is none before it.
pub(super) fn nothing_before(bench: &Bench<'_>, after: &Side<'_>, trial: &mut Trial) {
    trial.finding = Finding::CannotTell;
    trial.reason = TrialReason::NothingBefore {
        now_a: Some(after.shown.level.a),
        differs_a: differs_a(bench, after, trial),
    };
}

/// By how much what was put back brought another level than this state had before; zero where it
/// is the same, `None` where it had none.
pub(super) fn differs_a(bench: &Bench<'_>, after: &Side<'_>, trial: &Trial) -> Option<f64> {
    if !trial.did.restores() {
        return None;
    }
    let stood = bench.stays.standing_before(after.stay.setup, usize::MAX);
    let mut earlier = stood.rev().skip_while(|stay| stay.from >= after.stay.from);
    let known = earlier.find(|stay| stay.to <= trial.t.plus_secs(60.0))?;
    let known = known.standing()?;
    let drift_a_per_h = bench.basis.session.card().cable_drift_a_per_h();
    let change = uncertainty::change(&known.level, &after.shown.level, drift_a_per_h);
    let same_a = change.u_a.max(crate::judge::rules::MATTER_A);
    Some(if change.a.abs() <= same_a {
        0.0
    } else {
        change.a
    })
}

/// Nothing has settled since, or the next deed came first.
pub(super) fn unsettled(bench: &Bench<'_>, at: usize, sides: &Sides<'_>, trial: &mut Trial) {
    let since = bench.stays.all.get(at).map_or(trial.t, |stay| stay.from);
    let later = bench.stays.all.get(at + 1..).unwrap_or(&[]).iter();
    let next = later
        .zip(at + 1..)
        .filter(|_| !sides.is_open)
        .find_map(|(stay, i)| Some((bench.basis.placed(stay.opening.tried()?.0)?, stay.from, i)));
    bench.stays_to(next.map_or(usize::MAX, |(.., i)| i));
    let Some((next, began, place)) = next else {
        trial.finding = Finding::NotYet;
        trial.reason = TrialReason::Unsettled {
            waited_s: bench.basis.end().secs_since(since),
            at_a: sides.after.as_ref().map(|after| after.shown.level.a),
        };
        return;
    };
    trial.finding = Finding::CannotTell;
    trial.reason = TrialReason::Overtaken {
        by: next.mark.to_string(),
        after_s: began.secs_since(since),
        in_run: next.mark.did.removes() == trial.did.removes(),
    };
    let asleep = sides.before.as_ref().filter(|side| side.is_rested);
    if let Some(before) = asleep.filter(|side| sides.own_counts_from(side)) {
        by_look::out_and_in(bench, before.level.level(), (next, place), trial);
    }
}
