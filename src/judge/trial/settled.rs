//! A trial between two settled levels: what changed, how it came, and what may still come.

use super::frozen;
use super::tried::Tried;
use super::{Bench, CHANGE_MIN_A};
use crate::judge::finding::{Finding, Level, Manner, Trial, Verdict};
use crate::judge::hold::AWAKE_A;
use crate::judge::phase::Settling;
use crate::judge::uncertainty::{self, Estimate};
use crate::judge::{manner, remedy, verdict, wait};
use crate::reading::quantity;
use crate::session::Placed;

/// A change that U hides counts as "no change" only if U is small against the limit.
const BLUNT_SHARE: f64 = 0.5;

impl Bench<'_> {
    /// Judges a trial that has a settled level on either side.
    pub(super) fn settled(
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
                remedy::of_change(self.session, before, after, BLUNT_SHARE * limit_a)
            )
        } else {
            let remarks = self.remarks(trial, run, (before, after), seen.words);
            let colon = if remarks.is_empty() { "" } else { ": " };
            format!("settled {wait} after{colon}{}", remarks.join("; "))
        };
        if let Some(still) = frozen::frozen(self.session, trial.t, settling.to) {
            (trial.finding, trial.manner) = (Finding::CannotTell, None);
            trial.why = format!("not one digit has moved for {still}: is the meter on HOLD?");
            return;
        }
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
    pub(super) fn swapped(
        &self,
        trial: &mut Trial,
        tried: &Tried<'_>,
        old: &Estimate,
        new: &Estimate,
    ) {
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
pub(super) fn doing(run: &[Tried<'_>]) -> String {
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
