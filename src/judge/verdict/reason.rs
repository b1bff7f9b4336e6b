//! Why a verdict is what it is, and what would settle it, in words.

use super::stood::Stood;
use crate::judge::average::Average;
use crate::judge::finding::Verdict;
use crate::judge::phase::{Settling, Walk};
use crate::judge::remedy::InDoubt;
use crate::judge::uncertainty::Estimate;
use crate::judge::{limit, wait};
use crate::reading::quantity;
use crate::session::Session;

/// When the wakes make the average this many times less sure than the level, they are what is
/// not known yet.
const WAKES_DOMINATE: f64 = 2.0;

const NO_ACCURACY: &str =
    "the meter's accuracy was not given: counted as a plain handheld, 1.5 % + 3 counts";

/// What a verdict is explained from.
pub(super) struct Reason<'a> {
    pub(super) session: &'a Session,
    pub(super) walk: &'a Walk,
    pub(super) limit_a: f64,
    pub(super) last: &'a Settling,
    pub(super) level: &'a Estimate,
    pub(super) average: &'a Average,
    pub(super) stood: Stood,
}

impl Reason<'_> {
    /// Why the verdict is what it is, or what would settle it.
    pub(super) fn why(&self, verdict: Verdict, on_level: Verdict) -> String {
        let may_fall = self.last.ground.may_fall();
        let no_accuracy = self.session.card().accuracy.is_none();
        let average = self.average.towards(self.limit_a);
        if let Some(words) = self.stood.in_words(verdict) {
            return format!("{words}; {}", self.watched());
        }
        match verdict {
            Verdict::Below if may_fall && no_accuracy => {
                format!("below so far; the time-out has not run yet: watch on; {NO_ACCURACY}")
            }
            Verdict::Below if may_fall => {
                "below so far; the time-out has not run yet: watch on".into()
            }
            Verdict::Above | Verdict::Below if no_accuracy => NO_ACCURACY.into(),
            Verdict::Above if on_level == Verdict::Below => format!(
                "the settled level is below the {} limit, but with its wakes the car draws {}",
                quantity::amount(self.limit_a),
                quantity::current(average.a)
            ),
            Verdict::Above => "surely above, with the meter's own error counted".into(),
            Verdict::Below => "surely below, with the meter's own error counted".into(),
            Verdict::CannotTell => self.mend(may_fall, no_accuracy),
            Verdict::NotSettled => "the current has not settled".into(),
        }
    }

    /// What would settle a verdict that cannot be told.
    fn mend(&self, may_fall: bool, no_accuracy: bool) -> String {
        let average = self.average.towards(self.limit_a);
        if average.u_a() > WAKES_DOMINATE * self.level.u_a() {
            let begin = format!(
                "{}; too few wakes to know how often they come: watch",
                self.watched()
            );
            return self.in_doubt(average).wait().map_or_else(
                || format!("{begin} it for another night"),
                |wait| format!("{begin} about {wait} more"),
            );
        }
        if may_fall && average.a > self.limit_a {
            let timeout_s = limit::timeout(self.session.card()).value;
            let end = self.last.to;
            let waited_s = self
                .walk
                .clock_from
                .map_or(0.0, |from| end.secs_since(from));
            let left = wait::to_come((timeout_s - waited_s).max(0.0));
            return format!(
                "near the limit and it may still fall: wait {left} more, until the time-out has run"
            );
        }
        if no_accuracy {
            return "this close to the limit the meter's accuracy counts: give it (--accuracy 1.0%+3)".into();
        }
        self.in_doubt(average).mend()
    }

    /// What was measured, before anything is concluded from it.
    fn watched(&self) -> String {
        let wakes = match &self.average.wakes[..] {
            [] => "no wake in it".into(),
            [only] => {
                let lasted = quantity::span(only.to.secs_since(only.from));
                format!("one wake of {lasted} in it")
            }
            more => format!("{} wakes in it", more.len()),
        };
        format!(
            "{} on average over the {} watched, {wakes}",
            quantity::current(self.average.plain_a),
            quantity::span(self.average.watched_s),
        )
    }

    fn in_doubt<'b>(&'b self, level: &'b Estimate) -> InDoubt<'b> {
        let states = self.walk.settlings.iter();
        let mut same = states.filter(|s| s.fuse_state == self.last.fuse_state);
        let first = same.next().unwrap_or(self.last);
        InDoubt {
            session: self.session,
            level,
            limit_a: self.limit_a,
            watched_s: self.last.to.secs_since(self.last.data_from),
            with_wakes_s: self.last.to.secs_since(first.data_from),
        }
    }
}
