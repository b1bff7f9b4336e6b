//! The finding: what the long-run average did, against the limit.

use super::both_sides::BothSides;
use super::wakes::{WakesChange, WakesCompared};
use crate::judge::average;
use crate::judge::finding::{Finding, Trial, Verdict};
use crate::judge::reason::TrialReason;
use crate::judge::remedy;
use crate::judge::rules::{BLUNT_SHARE, MATTER_A, UNSEEN_TIMES};
use crate::judge::verdict;

/// Puts finding and reason onto a trial with a level on either side.
pub(super) fn settle(case: &BothSides<'_>, trial: &mut Trial, waking: &WakesCompared) {
    trial.finding = finding(case, waking);
    trial.reason = by_wakes(case, trial, waking).unwrap_or_else(|| by_level(case, trial.finding));
    let is_open = matches!(trial.reason, TrialReason::WakesOpen { .. });
    if is_open && case.sides.is_open {
        trial.finding = Finding::NotYet;
    } else if is_open || matches!(trial.reason, TrialReason::Blunt { .. }) {
        trial.finding = Finding::CannotTell;
    }
}

fn finding(case: &BothSides<'_>, waking: &WakesCompared) -> Finding {
    let change = case.resting.change;
    let wakes_a = waking.change_a();
    let effect_a = change.a + wakes_a;
    let by_wakes = wakes_a.abs() > 0.0;
    let (matters, is_real) = if by_wakes {
        (true, effect_a.abs() > change.u_a.max(MATTER_A))
    } else {
        (is_enough(case), change.a.abs() > least_a(case))
    };
    if !matters || !is_real {
        Finding::NoChange
    } else if effect_a > 0.0 {
        Finding::Raises
    } else if clears(case, waking) {
        Finding::Clears
    } else {
        Finding::Lowers
    }
}

/// The least change that is told: a larger one where nobody saw it happen.
fn least_a(case: &BothSides<'_>) -> f64 {
    let times = if case.was_seen() { 1.0 } else { UNSEEN_TIMES };
    times * case.resting.change.u_a
}

/// Whether the change may be as much as matters.
fn is_enough(case: &BothSides<'_>) -> bool {
    let change = case.resting.change;
    change.a.abs() + change.u_a >= MATTER_A
}

/// Above the limit before, or perhaps, where nobody knows; surely below it after.
fn clears(case: &BothSides<'_>, waking: &WakesCompared) -> bool {
    let limit_a = case.bench.basis.limit_a;
    // Wakes that may have stopped are counted as they were.
    let is_open = matches!(waking.change, WakesChange::Open { .. });
    let wakes = if is_open {
        &waking.before
    } else {
        &waking.after
    };
    let after = average::average(&case.resting.after, wakes.clone());
    let said = verdict::against_limit(after.towards(limit_a), limit_a);
    let was = average::average(&case.resting.before, waking.before.clone());
    let was_above = was.high.a > limit_a || was.is_open || !case.before.is_rested;
    was_above && said == Verdict::Below && !after.is_open
}

/// The reason, where wakes decide.
fn by_wakes(case: &BothSides<'_>, trial: &Trial, waking: &WakesCompared) -> Option<TrialReason> {
    let (resting, limit_a) = (&case.resting, case.bench.basis.limit_a);
    let old_a = resting.before.a + waking.before.add_a();
    let new_a = resting.after.a + waking.after.add_a();
    let decide = old_a > limit_a && resting.before.a <= limit_a && waking.before.add_a() > 0.0;
    let matter = waking.before.add_a() > MATTER_A.max(resting.change.u_a);
    let every_s = waking.every_s?;
    match waking.change {
        WakesChange::Fewer => Some(TrialReason::WakesStopped {
            every_s,
            watched_s: waking.after.watched_s,
            average_before_a: old_a,
            average_after_a: new_a,
        }),
        WakesChange::Same if decide => Some(TrialReason::WakesGoOn {
            every_s: waking.after.every_s()?,
            seen: waking.after.seen.len(),
            average_after_a: new_a,
        }),
        WakesChange::Open { needed_s }
            if decide || matter && trial.finding == Finding::NoChange =>
        {
            Some(TrialReason::WakesOpen {
                every_s,
                watched_s: waking.after.watched_s,
                needed_s,
            })
        }
        WakesChange::None | WakesChange::More | WakesChange::Same | WakesChange::Open { .. } => {
            None
        }
    }
}

/// The reason, where the resting levels decide.
fn by_level(case: &BothSides<'_>, finding: Finding) -> TrialReason {
    let change = case.resting.change;
    let blunt_a = BLUNT_SHARE * case.bench.basis.limit_a;
    // Nothing would be within U; what is beyond it, and still not told, is neither.
    let is_between = change.a.abs() > change.u_a && is_enough(case);
    match finding {
        Finding::NoChange if change.u_a > blunt_a || is_between => {
            let (before, after) = (&case.resting.before, &case.resting.after);
            let remedy = remedy::of_change(case.bench.basis, before, after, blunt_a);
            TrialReason::Blunt {
                below_a: if is_between {
                    least_a(case)
                } else {
                    change.u_a
                },
                remedy,
            }
        }
        _ if case.disagrees() => TrialReason::Disagree {
            own_a: case.own.map_or(0.0, |own| own.a),
            resting_a: change.a,
        },
        Finding::NoChange if change.a.abs() > change.u_a => {
            TrialReason::TooLittle { by_a: change.a }
        }
        Finding::Raises => TrialReason::Rose {
            by_a: change.a,
            differs_a: None,
        },
        Finding::Clears | Finding::Lowers => TrialReason::Fell {
            own_a: None,
            later_a: 0.0,
            stages: 0,
            last_after_s: 0.0,
        },
        Finding::NoChange | Finding::CannotTell | Finding::NotYet | Finding::Spoiled => {
            TrialReason::Same {
                for_s: case.after.shown.stood_s,
                differs_a: None,
            }
        }
    }
}
