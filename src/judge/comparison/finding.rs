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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::comparison::testkit::{case, known};
    use crate::judge::finding::Level;
    use crate::judge::kit::{HOUR, MIN, TestCar};

    /// A pull out of sleep at a limit of 50 mA, with this change of the level; whether it was seen to
    /// happen.
    fn with_change<T>(
        (a, u_a): (f64, f64),
        was_seen: bool,
        look: impl for<'a> Fn(&BothSides<'a>) -> T,
    ) -> T {
        let car = TestCar::asleep(&[(0, 0.160), (600, 0.030)]).marked(&[(600, "pull A1")]);
        case(&car, 1500, |mut case| {
            case.own = was_seen.then(|| known(a));
            case.resting.change = Level { a, u_a };
            look(&case)
        })
    }

    /// U is at k = 2; a change that nobody saw happen has to be k = 3.
    #[test]
    fn a_change_that_nobody_saw_has_to_be_surer() {
        for (was_seen, expected_a) in [(true, 0.002), (false, 0.003)] {
            let found_a = with_change((-0.010, 0.002), was_seen, least_a);
            assert!((found_a - expected_a).abs() < 1e-9, "{found_a}");
        }
        let found = |a, was_seen| {
            with_change((a, 0.010), was_seen, |case| {
                let waking = WakesCompared::of(case.bench, case.before, case.after);
                finding(case, &waking) != Finding::NoChange
            })
        };
        assert_eq!([found(-0.014, false), found(-0.016, false)], [false, true]);
        assert_eq!([found(-0.009, true), found(-0.011, true)], [false, true]);
    }

    /// 3 mA, with all that U hides.
    #[test]
    fn a_change_matters_where_it_may_be_three_milliamperes() {
        for (a, u_a, expected) in [
            (-0.0025, 0.001, true),
            (-0.0025, 0.0001, false),
            (0.0025, 0.001, true),
            (-0.0035, 0.0001, true),
        ] {
            let found = with_change((a, u_a), true, is_enough);
            assert_eq!(found, expected, "{a} {u_a}");
        }
    }

    /// Where half the limit would be hidden nothing is said to be the same; and what is beyond U but
    /// too little for what nobody saw is neither.
    #[test]
    fn what_is_hidden_or_neither_is_blunt() {
        for (a, u_a, below_a) in [
            (0.0, 0.024, None),
            (0.0, 0.026, Some(0.026)),
            (-0.012, 0.010, Some(0.015)),
            (-0.009, 0.010, None),
        ] {
            let reason = with_change((a, u_a), false, |case| by_level(case, Finding::NoChange));
            let found = if let TrialReason::Blunt { below_a, .. } = reason {
                Some((below_a * 1e6).round())
            } else {
                None
            };
            assert_eq!(found, below_a.map(|a: f64| (a * 1e6).round()), "{a} {u_a}");
        }
    }

    /// Above the limit at rest, with a wake every twenty minutes that the pull may have ended: worth a
    /// watch where they take more than 3 mA on average.
    #[test]
    fn wakes_that_may_have_stopped_are_watched_for_where_they_matter() {
        for (wake_a, is_open) in [(0.400, true), (0.130, false)] {
            let wakes = (600..2 * HOUR).step_by(1200);
            let levels = wakes.flat_map(|at_s| [(at_s, wake_a), (at_s + 40, 0.080)]);
            let levels: Vec<(u32, f64)> = [(0, 0.080)].into_iter().chain(levels).collect();
            let car = TestCar::asleep(&levels).marked(&[(2 * HOUR, "pull A1")]);
            let reason = car.trial(2 * HOUR + 25 * MIN).reason;
            let found = matches!(reason, TrialReason::WakesOpen { .. });
            assert_eq!(found, is_open, "{wake_a} A: {reason:?}");
            assert!(
                found || matches!(reason, TrialReason::Same { .. }),
                "{reason:?}"
            );
        }
    }
}
