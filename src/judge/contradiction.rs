//! What in the trials does not fit together, each with what to do about it.
//!
//! A settled current adds up: what two circuits take apart they take together, what came out comes
//! back, and the same pull does the same twice. Where that fails, something is not as it seems: a
//! load that comes and goes, a part fed by two fuses, a module that one circuit keeps awake.

mod sums;

pub use sums::inseparable;

use super::comparison::Trials;
use super::finding::{Finding, Level, Trial};
use super::ledger::Ledger;
use super::levels::{self, StateLevel};
use super::rules::MATTER_A;
use super::stay::{Scene, Stays};
use super::uncertainty::{self, Estimate};
use crate::reading::quantity;
use crate::session::Session;
use crate::session::mark::Did;

/// So large a chi-square comes by chance once in twenty times.
const P_MAX: f64 = 0.05;
/// Where every level is missed by less, it is not worth anybody's time: a third of what any car
/// does by itself, since a fault in one level is shared by several.
const MISS_MIN_A: f64 = MATTER_A / 3.0;

/// Every contradiction, the plainest first.
#[must_use]
pub fn contradictions(
    scene: &Scene<'_>,
    stays: &Stays,
    levels: &[StateLevel],
    trials: &Trials,
    ledger: &Ledger,
) -> Vec<String> {
    let session = scene.session;
    let court = Court {
        session,
        states: levels::out_at(stays),
        levels,
        trials,
    };
    let mut found = court.same_pull_twice();
    found.extend(court.did_not_come_back());
    found.extend(sums::apart_and_together(session, levels, &trials.all));
    // Whatever was named already is why the levels do not add up.
    if found.is_empty() {
        found.extend(does_not_add_up(ledger));
    }
    found
}

struct Court<'a> {
    session: &'a Session,
    /// What was out before each trial, and after the last.
    states: Vec<Vec<String>>,
    levels: &'a [StateLevel],
    trials: &'a Trials,
}

impl Court<'_> {
    fn same_pull_twice(&self) -> Vec<String> {
        let all = &self.trials.all;
        let mut found = Vec::new();
        let mut named: Vec<&[String]> = Vec::new();
        for (j, later) in all.iter().enumerate() {
            let Some(change) = self.own_change(j) else {
                continue;
            };
            let earlier = all
                .iter()
                .enumerate()
                .take(j)
                .rev()
                .find_map(|(i, earlier)| {
                    let same = earlier.did == later.did
                        && earlier.what == later.what
                        && self.states.get(i) == self.states.get(j)
                        && !self.repaired_between(i, j);
                    let earlier_change = self.own_change(i).filter(|_| same)?;
                    differ(earlier_change, change).then_some((earlier, earlier_change))
                });
            if let Some((earlier, earlier_change)) = earlier
                && !named.contains(&later.what.as_slice())
            {
                named.push(&later.what);
                found.push(format!(
                    "{}: a load that comes and goes, or one kept awake now and then; {} it once more, both times settled",
                    twice((earlier, earlier_change), (later, change)),
                    later.did
                ));
            }
        }
        found
    }

    /// The settled change of a removal that is its own: not that of a run.
    fn own_change(&self, i: usize) -> Option<Level> {
        let trial = self.trials.all.get(i)?;
        let in_a_run = self.trials.is_in_a_run(trial.mark);
        trial.change.filter(|_| trial.did.removes() && !in_a_run)
    }

    fn repaired_between(&self, i: usize, j: usize) -> bool {
        let between = self.trials.all.get(i..j).unwrap_or(&[]);
        between.iter().any(|trial| trial.did == Did::Swap)
    }

    /// The same things out, and another level than the last time.
    fn did_not_come_back(&self) -> Vec<String> {
        let later = self.levels.iter().enumerate();
        let found = later.filter_map(|(i, later)| {
            let mut before = self.levels.iter().take(i).rev();
            let before = before.find(|state| state.out == later.out)?;
            let by = later.fuse_state.checked_sub(1)?;
            let trial = self.trials.all.get(by)?;
            // A mark that moved nothing names the wrong fuse, and its trial says so.
            let moved = self.states.get(by) != self.states.get(later.fuse_state);
            if !moved || self.repaired_between(before.fuse_state, later.fuse_state) {
                return None;
            }
            let drift_a_per_h = self.session.card().cable_drift_a_per_h();
            let change = uncertainty::change(&before.level, &later.level, drift_a_per_h);
            let same = change.a.abs() <= change.u_a.max(MATTER_A);
            if same || levels::same(later.level.a, before.level.a) {
                return None;
            }
            Some(not_back(trial, &before.level, &later.level))
        });
        found.collect()
    }
}

fn differ(one: Level, other: Level) -> bool {
    (one.a - other.a).abs() > one.u_a.hypot(other.u_a).max(MATTER_A)
        && !levels::same(one.a, other.a)
}

fn twice((one, one_change): (&Trial, Level), (other, other_change): (&Trial, Level)) -> String {
    let did = |trial: &Trial, change: Level| {
        let at = quantity::clock(trial.t);
        if trial.finding == Finding::NoChange {
            format!("made no difference at {at}")
        } else {
            format!("made {} at {at}", quantity::change(change.a, change.u_a))
        }
    };
    format!(
        "{} {} {} and {}",
        one.did,
        one.what.join("+"),
        did(one, one_change),
        did(other, other_change)
    )
}

fn not_back(trial: &Trial, before: &Estimate, later: &Estimate) -> String {
    let (what, at) = (trial.what.join("+"), quantity::clock(trial.t));
    let (was, is) = (quantity::current(before.a), quantity::current(later.a));
    if trial.did.removes() {
        return format!(
            "with {what} out the car settled at {was} before and at {is} after {at}: something else came or went; refit it, let it settle and look again"
        );
    }
    let (did, missing) = (trial.did, quantity::current((later.a - before.a).abs()));
    if later.a < before.a {
        format!(
            "{did} {what} at {at} left {missing} of {was} missing: a load that comes and goes, or one that has to be used once to start; unlock, use it, lock, and pull it again when the current is back"
        )
    } else {
        format!(
            "after {did} {what} at {at} the car draws {is}, {missing} more than before: a module started by it may still be awake; wait longer, and look at what this circuit feeds"
        )
    }
}

fn does_not_add_up(ledger: &Ledger) -> Option<String> {
    let fit = ledger.fit.as_ref();
    let fit = fit.filter(|fit| fit.p < P_MAX && fit.worst_a.abs() >= MISS_MIN_A)?;
    let worst = if fit.worst.is_empty() {
        "with everything in".to_owned()
    } else {
        format!("with {} out", fit.worst.join("+"))
    };
    Some(format!(
        "the settled levels do not add up (chi-square {:.1}, {} to spare, p {:.3}): worst {worst}, by {}; measure that one again",
        fit.chi_square,
        fit.dof,
        fit.p,
        quantity::current(fit.worst_a.abs())
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::fit::Fit;

    fn level(a: f64, u_a: f64) -> Level {
        Level { a, u_a }
    }

    #[test]
    fn changes_differ_beyond_both_their_u_and_what_a_car_does_by_itself() {
        assert!(differ(level(-0.240, 0.002), level(-0.120, 0.002)));
        assert!(!differ(level(-0.240, 0.090), level(-0.120, 0.090)));
        assert!(!differ(level(-0.004, 1e-4), level(0.0, 1e-4)));
    }

    #[test]
    fn a_sum_that_only_just_misses_is_not_worth_a_word() {
        let of = |p: f64, worst_a: f64| {
            let fit = Fit {
                chi_square: 9.0,
                dof: 2,
                p,
                worst: vec!["L17".into()],
                worst_a,
            };
            does_not_add_up(&Ledger {
                fit: Some(fit),
                ..Ledger::default()
            })
        };
        assert!(
            of(0.01, -0.004)
                .unwrap()
                .contains("with L17 out, by 4.00 mA")
        );
        assert_eq!(of(0.06, -0.004), None);
        assert_eq!(of(0.01, 0.0003), None);
        assert_eq!(does_not_add_up(&Ledger::default()), None);
    }
}
