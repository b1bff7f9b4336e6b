//! Trials: each removal or refit judged settled to settled, with a first look within seconds.

use super::finding::{Finding, Level, Phase, Trial, Verdict};
use super::glance::Glance;
use super::hand::HAND_S;
use super::phase::{Settling, Walk};
use super::uncertainty::{self, Estimate};
use super::{manner, verdict};
use crate::reading::{Elapsed, quantity};
use crate::session::mark::Did;
use crate::session::{Placed, Session};

/// The reference is taken from this long before the mark: longer would ask the car to have
/// stood still for longer than it did.
const REFERENCE_S: f64 = 300.0;
/// The hand needs a moment: readings this close before a mark may be of after it.
const MARGIN_S: f64 = 3.0;
/// The first look: readings from this long after the mark, for this long.
const LOOK_FROM_S: f64 = 2.0;
const LOOK_TO_S: f64 = 8.0;
/// ... against as much of the time just before it.
const LOOK_BACK_S: f64 = 20.0;
/// Smaller changes are within what any car does by itself.
const CHANGE_MIN_A: f64 = 0.003;
/// A change that U hides counts as "no change" only if U is small against the limit.
const BLUNT_SHARE: f64 = 0.5;

/// Judges every trial of the session.
#[must_use]
pub fn trials(session: &Session, walk: &Walk, limit_a: f64) -> Vec<Trial> {
    let tried: Vec<&Placed> = session.marks().filter(|p| p.mark.did.is_tried()).collect();
    let bench = Bench {
        session,
        walk,
        limit_a,
    };
    let mut trials: Vec<Trial> = Vec::new();
    let mut run: Vec<String> = Vec::new();
    let mut run_reference = None;
    for (i, placed) in tried.iter().enumerate() {
        let next_t = tried.get(i + 1).map(|next| next.at());
        if run.is_empty() {
            run_reference = bench.reference(placed.at());
        }
        run.push(placed.mark.what.join("+"));
        let after = bench.after(placed.at(), next_t);
        let trial = bench.trial(placed, run_reference, after, next_t, &run);
        if after.is_some() {
            run.clear();
        }
        trials.push(trial);
    }
    trials
}

struct Bench<'a> {
    session: &'a Session,
    walk: &'a Walk,
    limit_a: f64,
}

impl Bench<'_> {
    /// The settled level that the car had when the mark was made.
    fn reference(&self, at: Elapsed) -> Option<Estimate> {
        let found = self
            .walk
            .settlings
            .iter()
            .rev()
            .find(|settling| settling.proven < at)?;
        if at.secs_since(found.to) > HAND_S && !self.stirring(found.to, at) {
            return None;
        }
        let to = found.to.min(at.plus_secs(-MARGIN_S));
        let from = found.data_from.max(to.plus_secs(-REFERENCE_S));
        uncertainty::estimate(self.session, from, to)
    }

    /// A mark in the middle of a wake still has the level that the car woke from.
    fn stirring(&self, from: Elapsed, at: Elapsed) -> bool {
        self.walk.stretches.iter().any(|stretch| {
            stretch.phase == Phase::Stirring && stretch.from <= from && stretch.to >= at
        })
    }

    /// The first level that settled after the mark and before the next one.
    fn after(&self, at: Elapsed, next_t: Option<Elapsed>) -> Option<(Settling, Estimate)> {
        let settling = self.walk.settlings.iter().find(|settling| {
            settling.proven > at && next_t.is_none_or(|next| settling.proven < next)
        })?;
        // A clamp's zero drifts on: the nearer to the reference, the surer the change.
        let near = settling.data_from.plus_secs(REFERENCE_S);
        let to = match self.session.card().drift_a_per_h {
            Some(_) => settling.to.min(near.max(settling.proven)),
            None => settling.to,
        };
        let estimate = uncertainty::estimate(self.session, settling.data_from, to)?;
        Some((*settling, estimate))
    }

    fn trial(
        &self,
        placed: &Placed,
        before: Option<Estimate>,
        after: Option<(Settling, Estimate)>,
        next_t: Option<Elapsed>,
        run: &[String],
    ) -> Trial {
        let at = placed.at();
        let mut trial = Trial {
            mark: placed.mark.id,
            t: at,
            did: placed.mark.did,
            what: placed.mark.what.clone(),
            before: before.map(|estimate| estimate.level()),
            after: after.map(|(_, estimate)| estimate.level()),
            change: None,
            first_look: self.first_look(placed, before.as_ref(), next_t),
            finding: Finding::NotYet,
            manner: None,
            why: String::new(),
        };
        let spoiled_by = self.spoiled_by(at, after.map(|(settling, _)| settling.proven), next_t);
        match (before, after) {
            _ if spoiled_by.is_some() => {
                trial.finding = Finding::Spoiled;
                trial.why = format!(
                    "{} before the current had settled; let the car sleep again and repeat this",
                    spoiled_by.unwrap_or_default()
                );
            }
            (_, None) => self.unfinished(&mut trial, next_t),
            (None, Some((_, estimate))) => without_reference(&mut trial, &estimate),
            (Some(before), Some((settling, after))) => {
                self.settled(&mut trial, placed, &before, &settling, &after);
                if run.len() > 1 {
                    trial.why = format!("run {}: {}", run.join(", "), trial.why);
                }
            }
        }
        trial
    }

    /// A lock or unlock before the trial had settled starts the wait anew for another reason.
    fn spoiled_by(
        &self,
        at: Elapsed,
        proven: Option<Elapsed>,
        next_t: Option<Elapsed>,
    ) -> Option<&'static str> {
        let end = proven.or(next_t).unwrap_or(self.session.last_t());
        self.session
            .marks()
            .filter(|placed| placed.at() > at && placed.at() < end)
            .find_map(|placed| match placed.mark.did {
                Did::Lock => Some("the car was locked"),
                Did::Unlock => Some("the car was unlocked"),
                Did::Pull
                | Did::Refit
                | Did::Unplug
                | Did::Plug
                | Did::Swap
                | Did::Zero
                | Did::Note => None,
            })
    }

    fn unfinished(&self, trial: &mut Trial, next_t: Option<Elapsed>) {
        if let Some(next_t) = next_t {
            trial.finding = Finding::CannotTell;
            let waited = quantity::span(next_t.secs_since(trial.t));
            trial.why = format!(
                "the next mark came after {waited}, before the current had settled: first look only, judged with the run"
            );
            return;
        }
        let waited = quantity::span(self.session.last_t().secs_since(trial.t));
        trial.why = format!("not settled since, {waited} so far");
    }

    fn settled(
        &self,
        trial: &mut Trial,
        placed: &Placed,
        before: &Estimate,
        settling: &Settling,
        after: &Estimate,
    ) {
        let drift_a_per_h = self.session.card().drift_a_per_h.unwrap_or(0.0);
        let change = uncertainty::change(before, after, drift_a_per_h);
        trial.change = Some(change);
        let wait = quantity::span(settling.proven.secs_since(trial.t));
        let clear = verdict::against_limit(after, self.limit_a) == Verdict::Below;
        trial.finding = finding(change, clear, self.limit_a);
        let seen = manner::manner(self.session, placed.at(), before, after, settling, &change);
        let falls = matches!(trial.finding, Finding::Clears | Finding::Lowers);
        trial.manner = seen.manner.filter(|_| falls);
        trial.why = match trial.finding {
            Finding::CannotTell => format!(
                "U {} hides a change this small; the mA range or a longer wait would show it",
                quantity::current(change.u_a)
            ),
            Finding::NoChange if change.a.abs() > change.u_a => {
                format!("settled {wait} after; a change too small to matter")
            }
            Finding::Clears
            | Finding::Lowers
            | Finding::NoChange
            | Finding::Raises
            | Finding::NotYet
            | Finding::Spoiled => format!("settled {wait} after{}", seen.words),
        };
    }

    /// The change within seconds of the mark, against the level just before it.
    fn first_look(
        &self,
        placed: &Placed,
        before_run: Option<&Estimate>,
        next_t: Option<Elapsed>,
    ) -> Option<Level> {
        let at = placed.at();
        let end = at.plus_secs(LOOK_TO_S);
        let end = next_t.map_or(end, |next| end.min(next.plus_secs(-1.0)));
        let after = Glance::of(self.session, at.plus_secs(LOOK_FROM_S), end)?;
        // In a run the level just before this mark is not the one before the first.
        let near_s = LOOK_BACK_S + MARGIN_S;
        let before = Glance::of(self.session, at.plus_secs(-near_s), at.plus_secs(-MARGIN_S))?;
        let gain_u = before_run.map_or(0.0, |estimate| estimate.gain_u);
        Some(before.to(&after, self.session, gain_u))
    }
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

fn without_reference(trial: &mut Trial, after: &Estimate) {
    trial.finding = Finding::CannotTell;
    let level = quantity::current(after.a);
    trial.why = match trial.did {
        Did::Pull | Did::Unplug => format!(
            "the car was awake when this came out and then slept at {level}: it may have slept anyway; put it back and see whether the car stays awake"
        ),
        Did::Refit | Did::Plug | Did::Swap | Did::Lock | Did::Unlock | Did::Zero | Did::Note => {
            format!("the current had not settled before; it has now, at {level}")
        }
    };
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
