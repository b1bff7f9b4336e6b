//! Whether the wakes went on with something out, or stopped: a settled level cannot tell, and
//! where the wakes are what is too much nothing else may be said.

mod correction;

use super::{CHANGE_MIN_A, Tried, tried};
use crate::judge::cycle;
use crate::judge::finding::{Cycle, Finding, Trial, Wake};
use crate::judge::phase::Walk;
use crate::judge::uncertainty::Estimate;
use crate::reading::Elapsed;
use crate::reading::number::f64_from_usize;
use crate::session::mark::Did;
use crate::session::{Placed, Session};
use correction::Correction;

/// Fewer wakes tell no rate.
const KNOWN_MIN: usize = 3;
/// A wake of another size is another thing: this many times the usual charge, or less than its
/// inverse.
const ODD_FACTOR: f64 = 2.0;
/// Regular wakes have stopped when two of them did not come (a tenth for their jitter; common
/// practice, no source).
const REGULAR_PERIODS: f64 = 2.2;
/// Of random ones none comes in three mean intervals once in twenty times (Poisson: e^-3 = 0.05).
const RANDOM_INTERVALS: f64 = 3.0;
/// What wakes are looked for in.
pub(super) struct Watch<'a> {
    session: &'a Session,
    walk: &'a Walk,
    /// When each removal and refit was done.
    done: Vec<Elapsed>,
}

/// The wakes that a car had before a trial.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Known {
    every_s: f64,
    charge_as: f64,
    /// How long no wake may be seen for before they count as stopped.
    enough_s: f64,
}

impl Known {
    /// What the wakes add on average.
    fn extra_a(&self) -> f64 {
        self.charge_as / self.every_s
    }

    fn is_alike(&self, wake: &Wake) -> bool {
        wake.charge_as > self.charge_as / ODD_FACTOR && wake.charge_as < self.charge_as * ODD_FACTOR
    }
}

/// What became of them after a trial.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Since {
    /// At least one more came.
    Going { seen: usize, extra_a: f64 },
    /// None came in long enough.
    Stopped { watched_s: f64 },
    /// None came yet.
    TooSoon { watched_s: f64 },
}

impl<'a> Watch<'a> {
    pub(super) fn new(session: &'a Session, walk: &'a Walk) -> Self {
        let tried = session.marks().filter(|p| p.mark.did.is_tried());
        Self {
            session,
            walk,
            done: tried.map(Placed::at).collect(),
        }
    }

    fn state_at(&self, t: Elapsed) -> usize {
        self.done.partition_point(|at| *at <= t)
    }

    /// From when to when the car was watched asleep in this fuse state.
    fn asleep(&self, state: usize) -> Option<(Elapsed, Elapsed)> {
        let of_it = || {
            let settlings = self.walk.settlings.iter();
            settlings.filter(move |settling| settling.fuse_state == state)
        };
        Some((of_it().next()?.data_from, of_it().next_back()?.to))
    }

    fn watched_s(&self, state: usize) -> f64 {
        let Some((from, to)) = self.asleep(state) else {
            return 0.0;
        };
        let gaps = self.session.signal().gaps().iter();
        let blind_s: f64 = gaps
            .map(|gap| gap.to.min(to).secs_since(gap.from.max(from)).max(0.0))
            .sum();
        to.secs_since(from) - blind_s
    }

    fn wakes_in(&self, states: std::ops::RangeInclusive<usize>) -> Vec<Wake> {
        let wakes = self.walk.wakes.iter();
        let within = wakes.filter(|wake| states.contains(&self.state_at(wake.from)));
        within.copied().collect()
    }

    /// The wakes that the car had before the trial numbered `trial`, with `out` off its supply;
    /// `None` when too few are known, or it had stopped waking already.
    fn known(&self, trial: usize, out: &[String]) -> Option<Known> {
        let first = tried::first_state(self.session, trial);
        let wakes = self.wakes_in(first..=trial);
        if wakes.len() < KNOWN_MIN {
            return None;
        }
        let regular = cycle::cycles(&wakes, &self.done)
            .into_iter()
            .max_by_key(|cycle| cycle.count);
        let known = regular.map_or_else(|| self.random(&wakes, first..=trial), of_cycle);
        let same = (first..=trial)
            .filter(|state| self.walk.states.get(*state).map(Vec::as_slice) == Some(out));
        let (seen, watched_s) = same.fold((0, 0.0), |(seen, watched_s), state| {
            let alike = self.wakes_in(state..=state);
            let alike = alike.iter().filter(|wake| known.is_alike(wake)).count();
            (seen + alike, watched_s + self.watched_s(state))
        });
        (seen > 0 || watched_s < known.enough_s).then_some(known)
    }

    fn random(&self, wakes: &[Wake], states: std::ops::RangeInclusive<usize>) -> Known {
        let n = f64_from_usize(wakes.len());
        let woken: Vec<usize> = wakes.iter().map(|wake| self.state_at(wake.from)).collect();
        let watched = states.filter(|state| woken.contains(state));
        let watched_s: f64 = watched.map(|state| self.watched_s(state)).sum();
        let every_s = watched_s / n;
        Known {
            every_s,
            charge_as: wakes.iter().map(|wake| wake.charge_as).sum::<f64>() / n,
            enough_s: RANDOM_INTERVALS * every_s,
        }
    }

    fn since(&self, known: &Known, trial: usize) -> Since {
        let state = trial + 1;
        let watched_s = self.watched_s(state);
        let wakes = self.wakes_in(state..=state);
        let alike: Vec<&Wake> = wakes.iter().filter(|wake| known.is_alike(wake)).collect();
        match alike.as_slice() {
            [] if watched_s >= known.enough_s => Since::Stopped { watched_s },
            [] => Since::TooSoon { watched_s },
            [first, .., last] => {
                let gaps = f64_from_usize(alike.len()) - 1.0;
                let every_s = last.from.secs_since(first.from) / gaps;
                Since::Going {
                    seen: alike.len(),
                    extra_a: known.charge_as / every_s,
                }
            }
            [_] => Since::Going {
                seen: 1,
                extra_a: known.extra_a(),
            },
        }
    }

    /// Corrects what was found on the settled level by what became of the wakes. `first` is the
    /// first removal of the run, `last` the one that settled, `clear` whether the settled level is
    /// below the limit.
    pub(super) fn correct(
        &self,
        trial: &mut Trial,
        (first, last): (&Tried<'_>, &Tried<'_>),
        (before, after): (&Estimate, &Estimate),
        (clear, limit_a): (bool, f64),
    ) {
        let is_swap = last.placed.mark.did == Did::Swap;
        let reference = if is_swap {
            last.fuse_state + 1
        } else {
            first.fuse_state
        };
        let out = self
            .walk
            .states
            .get(reference)
            .map_or(&[][..], Vec::as_slice);
        let Some(known) = self.known(first.fuse_state, out) else {
            return;
        };
        let average_a = before.a + known.extra_a();
        if known.extra_a() < CHANGE_MIN_A || average_a <= limit_a {
            return;
        }
        let only_wakes = before.a <= limit_a;
        // Beside a drain they matter only where they keep it from being all.
        let is_all = trial.finding == Finding::Clears && after.a + known.extra_a() > limit_a;
        if !only_wakes && !is_all {
            return;
        }
        let said = Correction {
            known,
            only_wakes,
            is_over: last.next.is_some(),
            clear,
            limit_a,
            average_a,
            after_a: after.a,
        };
        said.onto(trial, self.since(&known, last.fuse_state));
    }
}

fn of_cycle(cycle: Cycle) -> Known {
    Known {
        every_s: cycle.period_s,
        charge_as: cycle.charge_as,
        enough_s: REGULAR_PERIODS * cycle.period_s,
    }
}
