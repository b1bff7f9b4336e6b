//! What in the trials does not fit together.
//!
//! A settled current adds up: what two circuits take apart they take together, what came out comes
//! back, and the same pull does the same twice. Where that fails, something is not as it seems: a
//! load that comes and goes, a part fed by two fuses, a module that one circuit keeps awake.

mod sums;

pub use sums::inseparable;

use std::collections::{HashMap, HashSet};

use serde::Serialize;

use super::comparison::Trials;
use super::finding::{Finding, Level, Trial};
use super::ledger::Ledger;
use super::levels::{self, StateLevel};
use super::rules::{MATTER_A, SURE};
use super::stay::{Basis, Stays};
use super::uncertainty;
use crate::session::Session;
use crate::session::mark::{Did, MarkId};

/// What does not fit, with its figures.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "code", rename_all = "kebab-case")]
#[expect(
    missing_docs,
    reason = "a figure's name says what it is and carries its unit"
)]
pub enum Contradiction {
    /// The same removal twice, and another change each time; none where it made no difference.
    Twice {
        did: &'static str,
        what: Vec<String>,
        first_s: f64,
        first: Option<Level>,
        again_s: f64,
        again: Option<Level>,
    },
    /// The same things out, and another level after a removal.
    OtherLevel {
        what: Vec<String>,
        at_s: f64,
        was_a: f64,
        is_a: f64,
    },
    /// What was put back did not bring its current back, or brought more.
    NotBack {
        did: &'static str,
        what: Vec<String>,
        at_s: f64,
        was_a: f64,
        is_a: f64,
    },
    /// Each alone changes nothing, together they do.
    TwoFuses { what: Vec<String>, together_a: f64 },
    /// Together they take more than apart.
    FedByBoth {
        what: Vec<String>,
        apart_a: Vec<f64>,
        together_a: f64,
    },
    /// Together they take less than apart.
    FedThrough {
        what: Vec<String>,
        apart_a: Vec<f64>,
        together_a: f64,
    },
    /// The battery stood well above its rest: something charged it.
    Charged { from_s: f64, to_s: f64, peak_v: f64 },
    /// The battery's voltage fell further than the current explains.
    FallsFaster {
        from_s: f64,
        to_s: f64,
        before_v: f64,
        after_v: f64,
        least_ah: f64,
        explained_ah: f64,
    },
    /// It fell less than the current must have made it.
    FallsSlower {
        from_s: f64,
        to_s: f64,
        before_v: f64,
        after_v: f64,
        most_ah: f64,
        explained_ah: f64,
    },
    /// The levels do not add up, and which of them fits worst.
    DoNotAddUp {
        chi_square: f64,
        dof: usize,
        p: f64,
        worst: Vec<String>,
        worst_a: f64,
    },
}

/// Every contradiction, the plainest first.
pub fn contradictions(
    basis: &Basis<'_>,
    stays: &Stays,
    levels: &[StateLevel],
    trials: &Trials,
    ledger: &Ledger,
) -> Vec<Contradiction> {
    let session = basis.session;
    let court = Court {
        session,
        states: levels::states(stays),
        levels,
        trials,
        in_runs: trials.in_runs(),
        repairs: repairs(&trials.all),
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
    /// The number of the state before each trial, and after the last.
    states: Vec<usize>,
    /// The marks of deeds in quick succession.
    in_runs: HashSet<MarkId>,
    /// How many new parts came before each trial.
    repairs: Vec<usize>,
    levels: &'a [StateLevel],
    trials: &'a Trials,
}

impl Court<'_> {
    fn same_pull_twice(&self) -> Vec<Contradiction> {
        let all = &self.trials.all;
        let mut found = Vec::new();
        let mut named: HashSet<&[String]> = HashSet::new();
        let mut like: HashMap<_, Vec<usize>> = HashMap::new();
        for (j, later) in all.iter().enumerate() {
            let Some(change) = self.own_change(j) else {
                continue;
            };
            let state = (self.states.get(j), self.repairs.get(j));
            let like = like.entry((later.did, &later.what, state)).or_default();
            let earlier = like.iter().rev().find_map(|i| {
                let earlier_change = self.own_change(*i)?;
                differ(earlier_change, change).then_some((all.get(*i)?, earlier_change))
            });
            like.push(j);
            if let Some((earlier, earlier_change)) = earlier
                && named.insert(&later.what)
            {
                let made = |trial: &Trial, change: Level| {
                    (trial.finding != Finding::NoChange).then_some(change)
                };
                found.push(Contradiction::Twice {
                    did: later.did.word(),
                    what: later.what.clone(),
                    first_s: earlier.t.secs(),
                    first: made(earlier, earlier_change),
                    again_s: later.t.secs(),
                    again: made(later, change),
                });
            }
        }
        found
    }

    /// The settled change of a removal that is its own: not that of a run.
    fn own_change(&self, i: usize) -> Option<Level> {
        let trial = self.trials.all.get(i)?;
        let in_a_run = self.in_runs.contains(&trial.mark);
        trial.change.filter(|_| trial.did.removes() && !in_a_run)
    }

    fn repaired_between(&self, i: usize, j: usize) -> bool {
        self.repairs.get(i) != self.repairs.get(j)
    }

    /// The same things out, and another level than the last time.
    fn did_not_come_back(&self) -> Vec<Contradiction> {
        let mut last: HashMap<&[String], &StateLevel> = HashMap::new();
        let found = self.levels.iter().filter_map(|later| {
            let before = last.insert(&later.out, later)?;
            let by = later.fuse_state.checked_sub(1)?;
            let trial = self.trials.all.get(by)?;
            // A mark that moved nothing names the wrong fuse, and its trial says so.
            let moved = self.states.get(by) != self.states.get(later.fuse_state);
            if !moved || self.repaired_between(before.fuse_state, later.fuse_state) {
                return None;
            }
            if levels::same(later.level.a, before.level.a) {
                return None;
            }
            let drift_a_per_h = self.session.card().cable_drift_a_per_h();
            let change = uncertainty::change(&before.level, &later.level, drift_a_per_h);
            (change.a.abs() > change.u_a.max(MATTER_A))
                .then(|| not_back(trial, before.level.a, later.level.a))
        });
        found.collect()
    }
}

/// How many new parts came before each trial, and before what comes after the last.
fn repairs(trials: &[Trial]) -> Vec<usize> {
    let counts = trials.iter().scan(0, |count, trial| {
        *count += usize::from(trial.did == Did::Swap);
        Some(*count)
    });
    std::iter::once(0).chain(counts).collect()
}

fn differ(one: Level, other: Level) -> bool {
    (one.a - other.a).abs() > one.u_a.hypot(other.u_a).max(MATTER_A)
        && !levels::same(one.a, other.a)
}

fn not_back(trial: &Trial, was_a: f64, is_a: f64) -> Contradiction {
    let (what, at_s) = (trial.what.clone(), trial.t.secs());
    if trial.did.removes() {
        return Contradiction::OtherLevel {
            what,
            at_s,
            was_a,
            is_a,
        };
    }
    Contradiction::NotBack {
        did: trial.did.word(),
        what,
        at_s,
        was_a,
        is_a,
    }
}

fn does_not_add_up(ledger: &Ledger) -> Option<Contradiction> {
    let fit = ledger.fit.as_ref();
    let fit = fit.filter(|fit| fit.p < 1.0 - SURE && fit.worst_a.abs() >= MATTER_A / 3.0)?;
    Some(Contradiction::DoNotAddUp {
        chi_square: fit.chi_square,
        dof: fit.dof,
        p: fit.p,
        worst: fit.worst.clone(),
        worst_a: fit.worst_a,
    })
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
        assert!(matches!(
            of(0.01, -0.004).unwrap(),
            Contradiction::DoNotAddUp { worst, .. } if worst == ["L17"]
        ));
        assert_eq!(of(0.06, -0.004), None);
        assert_eq!(of(0.01, 0.0003), None);
        assert_eq!(does_not_add_up(&Ledger::default()), None);
    }
}
