//! Trials: each removal or refit judged settled to settled, with a first look within seconds.
//!
//! Removals in quick succession are a run: each has its first look, the last one has the settled
//! finding of them all.

mod awake;
mod frozen;
mod look;
mod settled;
mod spoiled;
mod tried;
mod wakes;

use std::ops::Range;

use super::finding::{Finding, Level, Step, Trial, Wake};
use super::phase::Walk;
use super::uncertainty::{self, Estimate};
use crate::reading::quantity;
use crate::session::Session;
use crate::session::mark::MarkId;
use awake::Awake;
use look::Look;
use tried::Tried;
use wakes::Watch;

/// The reference is taken from this long before the mark: longer would ask the car to have
/// stood still for longer than it did.
const REFERENCE_S: f64 = 300.0;
/// Smaller changes are within what any car does by itself (common practice, no source).
pub const CHANGE_MIN_A: f64 = 0.003;

/// All trials, and which of them were done in quick succession.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Trials {
    /// Every trial, in order.
    pub all: Vec<Trial>,
    /// Where in them the runs lie: more than one removal, and what settled after the last.
    pub runs: Vec<Range<usize>>,
}

impl Trials {
    /// The marks of each run.
    #[must_use]
    pub fn marks_of_runs(&self) -> Vec<Vec<MarkId>> {
        let runs = self.runs.iter().filter_map(|run| self.all.get(run.clone()));
        runs.map(|run| run.iter().map(|trial| trial.mark).collect())
            .collect()
    }

    /// The last trial, when its level has settled and only the wakes of `before` keep it open.
    #[must_use]
    pub fn open_for_wakes(&self, before: &[Wake]) -> Option<&Trial> {
        let last = self.all.last()?;
        let is_open = last.finding == Finding::NotYet && last.after.is_some();
        (is_open && !before.is_empty()).then_some(last)
    }
}

/// What trials are judged against.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Against {
    /// The limit in force, in ampere.
    pub limit_a: f64,
    /// The sleep time-out in force, in seconds.
    pub timeout_s: f64,
}

/// Judges every trial of the session.
#[must_use]
pub fn trials(session: &Session, walk: &Walk, steps: &[Step], against: Against) -> Trials {
    let bench = Bench {
        session,
        walk,
        look: Look { session, steps },
        watch: Watch::new(session, walk),
        against,
    };
    let mut trials = Trials::default();
    // What settled ends a run, and so does going from taking out to putting back.
    for run in
        Tried::all(session, walk).chunk_by(|a, b| a.after.is_none() && a.removes() == b.removes())
    {
        let start = trials.all.len();
        let before = run.first().and_then(|first| first.reference(session, walk));
        for (i, tried) in run.iter().enumerate() {
            let so_far = run.get(..=i).unwrap_or(run);
            trials.all.push(bench.trial(tried, so_far, before));
        }
        if run.len() > 1 {
            trials.runs.push(start..trials.all.len());
        }
    }
    trials
}

struct Bench<'a> {
    session: &'a Session,
    walk: &'a Walk,
    look: Look<'a>,
    watch: Watch<'a>,
    against: Against,
}

impl Bench<'_> {
    /// Judges one; `run` are the removals (or refits) since the reference, this one last.
    fn trial(&self, tried: &Tried<'_>, run: &[Tried<'_>], before: Option<Estimate>) -> Trial {
        let with_old_part = tried.with_old_part(self.session, self.walk);
        let before = with_old_part.or(before);
        let mut trial = Trial {
            mark: tried.placed.mark.id,
            t: tried.placed.at(),
            did: tried.placed.mark.did,
            what: tried.placed.mark.what.clone(),
            before: before.map(|estimate| estimate.level()),
            after: tried.after.map(|(_, estimate)| estimate.level()),
            change: None,
            first_look: self.first_look(tried),
            finding: Finding::NotYet,
            manner: None,
            why: String::new(),
        };
        if let Some(why) = spoiled::spoiled(self.session, tried, before.as_ref()) {
            (trial.finding, trial.why) = (Finding::Spoiled, why);
            return trial;
        }
        match (before, tried.after) {
            (_, None) => {
                self.unfinished(&mut trial, tried);
                if before.is_none() && tried.removes() {
                    trial.why.push_str(
                        "; nothing had settled before it: only whether the car then sleeps will tell",
                    );
                }
            }
            (None, Some((settling, after))) if tried.removes() => {
                let awake = Awake {
                    session: self.session,
                    against: self.against,
                    run,
                    look_a: self.look_a(run),
                };
                awake.judge(&mut trial, &settling, &after);
            }
            (None, Some((_, after))) => {
                trial.finding = Finding::CannotTell;
                let back = tried.came_back(self.session, self.walk, &after);
                trial.why = format!(
                    "the current had not settled before; it has now, at {}{}",
                    quantity::current(after.a),
                    back.map_or_else(String::new, |back| format!(": {back}"))
                );
            }
            (Some(before), Some((_, after))) if with_old_part.is_some() => {
                self.swapped(&mut trial, tried, &before, &after);
            }
            (Some(before), Some((settling, after))) => {
                self.settled(&mut trial, run, &before, &settling, &after);
            }
        }
        if let (Some(_), [_, _, ..]) = (tried.after, run) {
            let labels: Vec<String> = run.iter().map(Tried::labels).collect();
            trial.why = format!("run {}: {}", labels.join(", "), trial.why);
        }
        trial
    }

    /// The first look at each removal of a run; `None` when one is missing.
    fn looks(&self, run: &[Tried<'_>]) -> Option<Vec<Level>> {
        run.iter().map(|tried| self.first_look(tried)).collect()
    }

    /// What they show together.
    fn look_a(&self, run: &[Tried<'_>]) -> Option<f64> {
        Some(self.looks(run)?.iter().map(|look| look.a).sum())
    }

    fn first_look(&self, tried: &Tried<'_>) -> Option<Level> {
        let gain_u = uncertainty::gain_u(self.session.card());
        self.look.at(tried, gain_u)
    }

    fn unfinished(&self, trial: &mut Trial, tried: &Tried<'_>) {
        let Some(next) = tried.next else {
            let waited = quantity::span(self.session.last_t().secs_since(trial.t));
            trial.why = format!("not settled since, {waited} so far");
            return;
        };
        trial.finding = Finding::CannotTell;
        let waited = quantity::span(next.at().secs_since(trial.t));
        let judged = if next.mark.did.removes() == tried.removes() {
            "judged with the run"
        } else {
            "give it time to settle the next time"
        };
        trial.why = format!(
            "{} came {waited} after, before the current had settled: first look only, {judged}",
            next.mark
        );
    }
}
