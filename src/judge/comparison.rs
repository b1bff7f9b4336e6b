//! A comparison: two states of the car that differ by one deed. Every trial is one, and so is a
//! refit, a new part, and the repair as a whole.
//!
//! It says four things, each from all stays of both states: what left or came at once (`own`), how
//! the resting level differs (`resting`), whether the car slept only without it (`wakefulness`),
//! and whether it woke less (`wakes`). The finding follows from the long-run average with all four
//! against the limit; the manner from what came at once against the rest.

mod both_sides;
mod by_look;
mod finding;
mod hindsight;
mod manner;
mod open;
pub mod own;
mod resting;
mod sides;
mod spoiled;
#[cfg(test)]
mod testkit;
mod wakes;

use std::cell::RefCell;
use std::collections::{HashMap, HashSet};

use super::finding::{Finding, LevelStep, Trial};
use super::pool::Pool;
use super::reason::TrialReason;
use super::rules::SAME_CHANGE_SHARE;
use super::stay::{Basis, Stay, Stays};
use crate::session::Placed;
use crate::session::mark::MarkId;
use both_sides::BothSides;
use sides::Sides;

/// All trials, and which of them were done in quick succession.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Trials {
    /// Every trial, in order.
    pub all: Vec<Trial>,
    /// The marks of each run: the change of the last one is that of them all.
    pub runs: Vec<Vec<MarkId>>,
    /// What each was judged from.
    seen: Vec<Seen>,
}

/// What a trial was judged from: while it is the same, so is the trial.
#[derive(Clone, Debug, Default, PartialEq)]
struct Seen {
    /// The stay that it began.
    at: usize,
    /// The last stay that was asked about anything; beyond all of them where all were.
    reach: usize,
    /// Whether the car woke in the states that were asked about.
    woke: Vec<(usize, bool)>,
    /// The newest stay that stood in a state that was asked about.
    stood: Vec<(usize, Option<usize>)>,
    /// The run that it ends.
    run: Vec<MarkId>,
    /// For how long the level after it stood, in seconds.
    stood_s: f64,
}

impl Seen {
    fn stands(&self, stays: &Stays, at: usize) -> bool {
        self.at == at
            && self.reach < stays.known
            && self
                .woke
                .iter()
                .all(|(setup, woke)| stays.has_wakes(*setup) == *woke)
            && self
                .stood
                .iter()
                .all(|(setup, stood)| stays.newest_standing(*setup) == *stood)
    }
}

impl Trials {
    /// Takes the next one; a run that ends with it is told apart where it can be.
    fn push(&mut self, trial: Trial, mut seen: Seen, limit_a: f64) {
        let (run, stood_s) = (std::mem::take(&mut seen.run), seen.stood_s);
        self.all.push(trial);
        self.seen.push(seen);
        let Some(first) = self
            .all
            .len()
            .checked_sub(run.len())
            .filter(|_| !run.is_empty())
        else {
            return;
        };
        // A longer run takes the place of its own beginning.
        self.runs.pop_if(|known| run.starts_with(known));
        let members = self.all.get_mut(first..).unwrap_or_default();
        if !by_look::tell_apart(members, stood_s, limit_a) {
            if let Some(seen) = self.seen.last_mut() {
                seen.run.clone_from(&run);
            }
            self.runs.push(run);
            return;
        }
        // Each of them stands as long as the one that was judged for all.
        if let Some((last, others)) = self
            .seen
            .get_mut(first..)
            .and_then(<[Seen]>::split_last_mut)
        {
            for other in others {
                *other = Seen {
                    at: other.at,
                    ..last.clone()
                };
            }
        }
    }

    /// The trials of each run.
    pub fn slices(&self) -> impl Iterator<Item = &[Trial]> {
        let places = self
            .all
            .iter()
            .enumerate()
            .map(|(i, trial)| (trial.mark, i));
        // Of marks with one number, as a file may have them, the first counts.
        let places: HashMap<MarkId, usize> = places.rev().collect();
        self.runs.iter().filter_map(move |run| {
            let first = *places.get(run.first()?)?;
            self.all.get(first..first + run.len())
        })
    }

    /// The marks that stand in a run.
    pub fn in_runs(&self) -> HashSet<MarkId> {
        self.runs.iter().flatten().copied().collect()
    }
}

/// Judges every deed on a fuse or part.
pub fn trials(basis: &Basis<'_>, stays: &Stays, steps: &[LevelStep]) -> Trials {
    let mut bench = Bench {
        basis,
        stays,
        steps,
        seen: RefCell::default(),
    };
    let earlier = basis.earlier_trials();
    let mut earlier = earlier.all.into_iter().zip(earlier.seen);
    let mut trials = Trials::default();
    for (at, stay) in stays.all.iter().enumerate() {
        let tried = stay.opening.tried();
        let Some(placed) = tried.and_then(|(id, _)| basis.placed(id)) else {
            continue;
        };
        let known = earlier.next().filter(|(_, seen)| seen.stands(stays, at));
        let (trial, seen) = known.unwrap_or_else(|| bench.trial(placed, at, &trials.all));
        trials.push(trial, seen, basis.limit_a);
    }
    trials
}

struct Bench<'a> {
    basis: &'a Basis<'a>,
    stays: &'a Stays,
    steps: &'a [LevelStep],
    /// What the trial at hand asked for.
    seen: RefCell<Seen>,
}

impl<'a> Bench<'a> {
    /// Judges the deed that began the stay numbered `at`; `earlier` are the trials before it.
    fn trial(&mut self, placed: &Placed, at: usize, earlier: &[Trial]) -> (Trial, Seen) {
        self.seen = RefCell::new(Seen {
            at,
            reach: at,
            ..Seen::default()
        });
        let sides = Sides::of(self, at);
        let trial = self.judged(placed, at, &sides, earlier);
        let mut seen = self.seen.take();
        if let Some(after) = sides.after.filter(|_| sides.run.len() > 1) {
            (seen.run, seen.stood_s) = (sides.run, after.shown.stood_s);
        }
        (trial, seen)
    }

    /// The stays, of which the trial at hand looks no further than at the one numbered `reach`.
    fn stays_to(&self, reach: usize) -> &'a Stays {
        let mut seen = self.seen.borrow_mut();
        seen.reach = seen.reach.max(reach);
        self.stays
    }

    /// The stays, of which the trial at hand looks at all.
    fn all_stays(&self) -> &'a Stays {
        self.stays_to(usize::MAX)
    }

    /// All stays of one state.
    fn pool(&self, setup: usize) -> Pool<'a> {
        Pool::of(self.all_stays(), setup)
    }

    /// The newest stay in which the car stood in this state, wherever it is.
    fn newest_standing(&self, setup: usize) -> Option<&'a Stay> {
        let newest = self.stays.newest_standing(setup);
        self.seen.borrow_mut().stood.push((setup, newest));
        self.stays_to(newest.unwrap_or_default()).all.get(newest?)
    }

    /// Whether the car woke in this state at all.
    fn has_wakes(&self, setup: usize) -> bool {
        let has_wakes = self.stays.has_wakes(setup);
        self.seen.borrow_mut().woke.push((setup, has_wakes));
        has_wakes
    }

    fn judged(&self, placed: &Placed, at: usize, sides: &Sides<'_>, earlier: &[Trial]) -> Trial {
        let level = |side: Option<&sides::Side<'_>>| side.map(|side| side.level.level());
        let mut trial = Trial {
            mark: placed.mark.id,
            t: placed.at(),
            did: placed.mark.did,
            what: placed.mark.what.clone(),
            with: Vec::new(),
            before: level(sides.before.as_ref()),
            after: level(sides.after.as_ref()),
            change: None,
            first_look: own::first_look(self.basis, self.stays, at, self.steps, placed),
            finding: Finding::NotYet,
            manner: None,
            stands_at: None,
            reason: TrialReason::Unsettled {
                waited_s: 0.0,
                at_a: None,
            },
        };
        if sides.run.len() > 1 {
            let marks = sides.run.iter().filter_map(|id| self.basis.placed(*id));
            trial.with = marks.map(|placed| placed.mark.what.join("+")).collect();
        }
        if let Some((finding, reason)) = spoiled::spoiled(self, placed, at, sides) {
            (trial.finding, trial.reason) = (finding, reason);
        } else if let Some(case) = BothSides::of(self, at, sides, &trial, earlier) {
            case.judge(&mut trial);
        } else {
            open::without_level(self, at, sides, &mut trial);
        }
        let counts = sides.after.as_ref().is_some_and(|after| after.is_rested);
        trial.after = trial.after.filter(|_| counts || trial.change.is_some());
        trial
    }
}

/// Parts of a change below this, in ampere, are none.
fn part_a(change_a: f64, least_a: f64) -> f64 {
    least_a.max(SAME_CHANGE_SHARE * change_a.abs())
}

#[cfg(test)]
mod tests;
