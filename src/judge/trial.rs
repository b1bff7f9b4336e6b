//! Trials: each removal or refit judged settled to settled, with a first look within seconds.
//!
//! Removals in quick succession are a run: each has its first look, the last one has the settled
//! finding of them all.

mod awake;
mod look;
mod spoiled;
mod tried;
mod wakes;

use std::ops::Range;

use super::finding::{Finding, Level, Manner, Step, Trial, Verdict};
use super::hold::AWAKE_A;
use super::phase::{Settling, Walk};
use super::uncertainty::{self, Estimate};
use super::{doubt, manner, verdict, wait};
use crate::reading::quantity;
use crate::session::mark::MarkId;
use crate::session::{Placed, Session};
use awake::Awake;
use look::Look;
use tried::Tried;
use wakes::Watch;

/// The reference is taken from this long before the mark: longer would ask the car to have
/// stood still for longer than it did.
const REFERENCE_S: f64 = 300.0;
/// Smaller changes are within what any car does by itself (common practice, no source).
pub const CHANGE_MIN_A: f64 = 0.003;
/// A change that U hides counts as "no change" only if U is small against the limit.
const BLUNT_SHARE: f64 = 0.5;

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

    fn settled(
        &self,
        trial: &mut Trial,
        run: &[Tried<'_>],
        before: &Estimate,
        settling: &Settling,
        after: &Estimate,
    ) {
        let drift_a_per_h = self.session.card().cable_drift_a_per_h();
        let limit_a = self.against.limit_a;
        let change = uncertainty::change(before, after, drift_a_per_h);
        trial.change = Some(change);
        let wait = quantity::span(settling.proven.secs_since(trial.t));
        let clear = verdict::against_limit(after, limit_a) == Verdict::Below;
        trial.finding = finding(change, clear, limit_a);
        let mut seen = manner::manner(self.session, trial.t, before, after, settling, &change);
        if run.len() > 1
            && seen.manner.is_some()
            && let Some(looks) = self.looks(run)
        {
            seen = manner::of_run(&looks, &change);
        }
        let falls = matches!(trial.finding, Finding::Clears | Finding::Lowers);
        trial.manner = seen.manner.filter(|_| falls);
        trial.why = if trial.finding == Finding::CannotTell {
            format!(
                "U {} hides a change this small{}",
                quantity::current(change.u_a),
                doubt::of_change(self.session, before, after, BLUNT_SHARE * limit_a)
            )
        } else {
            let remarks = self.remarks(trial, run, (before, after), seen.words);
            let colon = if remarks.is_empty() { "" } else { ": " };
            format!("settled {wait} after{colon}{}", remarks.join("; "))
        };
        let (Some(first), Some(last)) = (run.first(), run.last()) else {
            return;
        };
        self.falls_further(trial, last);
        if last.removes() {
            let levels = (before, after);
            self.watch
                .correct(trial, (first, last), levels, (clear, limit_a));
        }
    }

    /// What is to be said of a change beside its size.
    fn remarks(
        &self,
        trial: &Trial,
        run: &[Tried<'_>],
        (before, after): (&Estimate, &Estimate),
        seen: String,
    ) -> Vec<String> {
        let slept = trial.manner == Some(Manner::Late) && before.a >= AWAKE_A && after.a < AWAKE_A;
        let small = trial.finding == Finding::NoChange
            && trial
                .change
                .is_some_and(|change| change.a.abs() > change.u_a);
        let remarks = [
            slept.then(|| format!("{} let the car fall asleep", doing(run))),
            Some(seen).filter(|words| !words.is_empty() && !small),
            small.then(|| "a change too small to matter".into()),
            run.last()
                .and_then(|tried| tried.came_back(self.session, self.walk, after)),
        ];
        remarks.into_iter().flatten().collect()
    }

    /// What began to fall late may fall further until the time-out has run.
    fn falls_further(&self, trial: &mut Trial, tried: &Tried<'_>) {
        let late = matches!(trial.manner, Some(Manner::Late | Manner::Both));
        let timeout_s = self.against.timeout_s;
        let end = tried.next.map_or(self.session.last_t(), Placed::at);
        let waited_s = end.secs_since(trial.t);
        if !late || trial.finding != Finding::Lowers || waited_s >= timeout_s {
            return;
        }
        let further = if tried.next.is_some() {
            let waited = wait::of_whole(waited_s, timeout_s);
            format!("it might have fallen further: {waited} waited")
        } else {
            trial.finding = Finding::NotYet;
            let left = wait::to_come(timeout_s - waited_s);
            format!("it may fall further: wait {left} more, until the time-out has run")
        };
        trial.why = format!("{}; {further}", trial.why);
    }

    /// A new part is held against the old one, not against the car without any.
    fn swapped(&self, trial: &mut Trial, tried: &Tried<'_>, old: &Estimate, new: &Estimate) {
        let limit_a = self.against.limit_a;
        let drift_a_per_h = self.session.card().cable_drift_a_per_h();
        let change = uncertainty::change(old, new, drift_a_per_h);
        let clear = verdict::against_limit(new, limit_a) == Verdict::Below;
        trial.change = Some(change);
        trial.finding = finding(change, clear, limit_a);
        let amount = quantity::current(change.a.abs());
        trial.why = match trial.finding {
            Finding::Clears => format!("holds: {amount} less than with the old part"),
            Finding::Lowers => format!("{amount} less than with the old part, but not enough"),
            Finding::Raises => format!("{amount} more than with the old part"),
            Finding::NoChange => "as with the old part".into(),
            Finding::CannotTell | Finding::NotYet | Finding::Spoiled => format!(
                "U {} hides what the new part changes",
                quantity::current(change.u_a)
            ),
        };
        self.watch
            .correct(trial, (tried, tried), (old, new), (clear, limit_a));
    }
}

/// What was done in the run, as a sentence begins with it.
fn doing(run: &[Tried<'_>]) -> String {
    let [only] = run else {
        let labels: Vec<String> = run.iter().map(Tried::labels).collect();
        return format!("taking {} out", labels.join(", "));
    };
    format!("{} this", only.doing())
}

fn finding(change: Level, clear: bool, limit_a: f64) -> Finding {
    if change.a.abs() <= change.u_a.max(CHANGE_MIN_A) {
        if change.u_a > BLUNT_SHARE * limit_a {
            Finding::CannotTell
        } else {
            Finding::NoChange
        }
    } else if change.a > 0.0 {
        Finding::Raises
    } else if clear {
        Finding::Clears
    } else {
        Finding::Lowers
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_finding_follows_change_u_and_limit() {
        let of = |a: f64, u_a: f64, clear: bool| finding(Level { a, u_a }, clear, 0.05);
        assert_eq!(of(-0.165, 0.002, true), Finding::Clears);
        assert_eq!(of(-0.100, 0.002, false), Finding::Lowers);
        assert_eq!(of(-0.001, 0.0005, false), Finding::NoChange);
        assert_eq!(of(-0.010, 0.030, false), Finding::CannotTell);
        assert_eq!(of(0.140, 0.002, false), Finding::Raises);
    }
}
