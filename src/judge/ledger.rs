//! The ledger: the settled current split over circuits, with the unexplained rest.
//!
//! Each settled level with some fuses out is one equation; so is the first look at each pull of a
//! run, which splits what settled after the last of them. A level with a part unplugged says
//! nothing of how the circuits share, and is left out. Circuits that were always in or
//! out together cannot be told apart and stand as one. What fell late is left out: its fall was
//! others going to sleep, not a load of its own.

use super::rules::{KNOWN_A, SAME_A, SAME_SHARE};
use std::collections::{HashMap, HashSet};

use super::comparison::Trials;
use super::finding::{Finding, Level, Manner, Share, Trial};
use super::fit::{self, DesignRow, Fit};
use super::least_squares::Normal;
use super::levels::{self, StateLevel, before_repair};
use super::uncertainty;
use crate::session::Session;
use crate::session::mark::Did;

/// The shares and the rest.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ledger {
    /// One for each circuit or group, largest first.
    pub shares: Vec<Share>,
    /// What no trial explains, in ampere.
    pub rest_a: Option<f64>,
    /// How well the levels add up; `None` when there are no more of them than unknowns.
    pub fit: Option<Fit>,
}

/// Splits the settled current of the car as it was before its first repair. The circuits of each of
/// `pairs` feed one load and stand as one.
pub fn ledger(
    session: &Session,
    levels: &[StateLevel],
    trials: &Trials,
    pairs: &[Vec<String>],
) -> Ledger {
    let told = TriedCircuits::of(trials);
    let repaired = before_repair(&trials.all);
    let mut equations: Vec<Equation<'_>> = levels
        .iter()
        .filter(|state| state.fuse_state <= repaired && told.all(&state.out))
        .map(|state| Equation {
            labels: &state.out,
            is_level: true,
            a: state.level.a,
            u_a: state
                .level
                .noise_u_a
                .hypot(state.level.rounding_u_a)
                .max(KNOWN_A),
        })
        .collect();
    // Where the same fuses out gave another level, something came or went that no mark tells of:
    // then only the newest level is one of now, and what each removal changed is told by itself.
    let is_moved = contradictory(&equations) || against_trials(&equations, trials, pairs);
    if is_moved {
        equations = equations.pop().into_iter().collect();
    }
    let looks = told.in_runs.iter().filter(|trial| told.all(&trial.what));
    equations.extend(looks.filter_map(|trial| Some(Equation::of_change(trial, trial.first_look?))));
    // What a short stay told, where its state has no settled level of its own.
    let state_of = |i: usize| levels.binary_search_by_key(&(i + 1), |state| state.fuse_state);
    let has_level = |i: usize| !is_moved && state_of(i).is_ok();
    let short = trials
        .all
        .iter()
        .enumerate()
        .take(repaired)
        .filter(|(i, _)| !has_level(*i));
    let short = short.map(|(_, trial)| trial).filter(|trial| {
        let direct = trial.finding == Finding::NoChange || trial.manner == Some(Manner::AtOnce);
        trial.did == Did::Pull && direct && trial.with.len() < 2 && told.all(&trial.what)
    });
    equations.extend(short.filter_map(|trial| Some(Equation::of_change(trial, trial.change?))));
    // With one of a pair out its load draws on through the other, and nobody knows how much.
    equations.retain(|equation| pairs.iter().all(|pair| !equation.parts(pair)));
    let groups = groups(&equations, pairs);
    let rows: Vec<DesignRow> = equations.iter().map(|e| e.row(&groups)).collect();
    solved(session, groups, &rows, &equations)
}

/// What the trials tell of which circuits.
struct TriedCircuits<'a> {
    /// Circuits whose change is one of their own.
    circuits: HashSet<&'a String>,
    /// Circuits whose fall was others going to sleep.
    others: HashSet<&'a String>,
    /// Pulls in quick succession.
    in_runs: Vec<&'a Trial>,
}

impl<'a> TriedCircuits<'a> {
    fn of(trials: &'a Trials) -> Self {
        let runs = trials.slices();
        // Where the car woke in between, nobody knows what the looks are of.
        let settled = |run: &&[Trial]| {
            run.last().is_some_and(|last| {
                is_sound(last.finding)
                    && (last.finding == Finding::NoChange || last.manner.is_some())
            })
        };
        let runs: Vec<&[Trial]> = runs.filter(settled).collect();
        let in_runs = || runs.iter().copied().flatten();
        let is_pull = |trial: &&Trial| trial.did == Did::Pull;
        let late = |trial: &Trial| {
            trial.manner == Some(Manner::Late) || trial.manner == Some(Manner::Both)
        };
        let sound = trials.all.iter().filter(|trial| is_sound(trial.finding));
        let late_runs = runs
            .iter()
            .copied()
            .filter(|run| run.last().is_some_and(late));
        let late_ones = trials.all.iter().filter(|trial| late(trial));
        Self {
            circuits: sound
                .chain(in_runs())
                .filter(is_pull)
                .flat_map(|trial| &trial.what)
                .collect(),
            others: late_ones
                .chain(late_runs.flatten())
                .flat_map(|trial| &trial.what)
                .collect(),
            in_runs: in_runs().filter(is_pull).collect(),
        }
    }

    fn all(&self, labels: &[String]) -> bool {
        labels
            .iter()
            .all(|label| self.circuits.contains(label) && !self.others.contains(label))
    }
}

/// A level with `labels` out, or the change that `labels` made.
#[derive(Clone, Copy, Debug)]
struct Equation<'a> {
    labels: &'a [String],
    is_level: bool,
    a: f64,
    u_a: f64,
}

impl<'a> Equation<'a> {
    /// What a removal changed is what its circuits draw.
    fn of_change(trial: &'a Trial, change: Level) -> Self {
        Self {
            labels: &trial.what,
            is_level: false,
            a: -change.a,
            u_a: (change.u_a / 2.0).max(KNOWN_A),
        }
    }

    /// Whether some of these are out and others are not.
    fn parts(&self, pair: &[String]) -> bool {
        let out = pair.iter().filter(|label| self.labels.contains(label));
        let out = out.count();
        out > 0 && out < pair.len()
    }

    fn row(&self, groups: &[Vec<String>]) -> DesignRow {
        let named = |group: &Vec<String>| group.iter().all(|label| self.labels.contains(label));
        let columns = groups.iter().map(|group| {
            // In a level count the circuits that are in, in a change those that came out.
            if named(group) == self.is_level {
                0.0
            } else {
                1.0
            }
        });
        let rest = if self.is_level { 1.0 } else { 0.0 };
        DesignRow {
            columns: columns.chain([rest]).collect(),
            value: self.a,
            weight: self.u_a.powi(-2),
        }
    }
}

/// Whether a trial tells what its circuit draws.
const fn is_sound(finding: Finding) -> bool {
    matches!(
        finding,
        Finding::Clears | Finding::Lowers | Finding::NoChange
    )
}

/// Whether a level is another than what its fuses were seen to draw, each by itself, leaves of the
/// level with everything in.
fn against_trials(levels: &[Equation<'_>], trials: &Trials, pairs: &[Vec<String>]) -> bool {
    let Some(whole) = levels.iter().find(|level| level.labels.is_empty()) else {
        return false;
    };
    let alone = trials.all.iter().filter(|trial| {
        let direct = trial.finding == Finding::NoChange || trial.manner == Some(Manner::AtOnce);
        trial.did == Did::Pull && direct && is_sound(trial.finding) && trial.with.len() < 2
    });
    let drew = alone.filter_map(|trial| match trial.what.as_slice() {
        [label] => Some((label, -trial.change?.a)),
        _ => None,
    });
    let drew: HashMap<&String, f64> = drew.collect();
    let tolerance_a = SAME_A.max(SAME_SHARE * whole.a.abs());
    levels.iter().any(|level| {
        let of_pair = |label: &String| pairs.iter().any(|pair| pair.contains(label));
        let all = level.labels.iter().map(|label| {
            let drew_a = drew.get(label).copied();
            drew_a.filter(|_| !of_pair(label))
        });
        let sum_a: Option<f64> = all.sum();
        sum_a.is_some_and(|sum_a| (whole.a - sum_a - level.a).abs() > tolerance_a)
    })
}

/// The same fuses out, and another level: something changed that no mark tells of.
fn contradictory(levels: &[Equation<'_>]) -> bool {
    // Where any two differ, the lowest and the highest do.
    let mut ends: HashMap<&[String], (f64, f64)> = HashMap::new();
    levels.iter().any(|one| {
        let (low_a, high_a) = ends.entry(one.labels).or_insert((one.a, one.a));
        (*low_a, *high_a) = (low_a.min(one.a), high_a.max(one.a));
        !levels::same(*low_a, *high_a)
    })
}

/// Labels that stand in some equation, those always together in one group, and those of a pair.
fn groups(equations: &[Equation<'_>], pairs: &[Vec<String>]) -> Vec<Vec<String>> {
    let mut groups: Vec<(Vec<bool>, Vec<String>)> = Vec::new();
    let mut known = HashSet::new();
    let labels = equations.iter().flat_map(|equation| equation.labels);
    for label in labels.filter(|label| known.insert(*label)) {
        let pattern: Vec<bool> = equations.iter().map(|e| e.labels.contains(label)).collect();
        let pair = pairs.iter().find(|pair| pair.contains(label));
        let same = |(known, group): &&mut (Vec<bool>, Vec<String>)| {
            let paired = pair.is_some_and(|pair| group.iter().any(|other| pair.contains(other)));
            *known == pattern || paired
        };
        match groups.iter_mut().find(same) {
            Some((_, group)) => group.push(label.clone()),
            None => groups.push((pattern, vec![label.clone()])),
        }
    }
    groups.into_iter().map(|(_, group)| group).collect()
}

fn solved(
    session: &Session,
    groups: Vec<Vec<String>>,
    rows: &[DesignRow],
    equations: &[Equation<'_>],
) -> Ledger {
    let weighed: Vec<_> = rows
        .iter()
        .map(|row| (row.columns.clone(), row.value, row.weight))
        .collect();
    let normal = Normal::of(&weighed);
    let Some(inverse) = normal.inverse().filter(|_| !groups.is_empty()) else {
        return Ledger::default();
    };
    let gain_u = uncertainty::gain_u(session.card());
    let solution = normal.non_negative(&inverse);
    let (rest_a, shares_a) = solution
        .split_last()
        .map_or((None, &[][..]), |(r, s)| (Some(*r), s));
    let mut shares: Vec<Share> = groups
        .into_iter()
        .zip(shares_a)
        .zip(inverse.iter().enumerate())
        .map(|((what, a), (i, row))| {
            let noise_u_a = row.get(i).copied().unwrap_or(0.0).max(0.0).sqrt();
            let u_a = 2.0 * noise_u_a.hypot(gain_u * a);
            Share {
                what,
                level: Level { a: *a, u_a },
            }
        })
        .collect();
    shares.sort_by(|a, b| b.level.a.total_cmp(&a.level.a));
    let named = |i: usize| equations.get(i).map_or(&[][..], |equation| equation.labels);
    Ledger {
        shares,
        rest_a,
        fit: fit::fit(rows, &inverse, |i| named(i).to_vec()),
    }
}

#[cfg(test)]
mod tests;
