//! One comparison with a level on either side: which of them count, and what they say.

use super::resting::Resting;
use super::sides::{Side, Sides};
use super::wakes::WakesCompared;
use super::{Bench, finding, hindsight, manner, open, part_a};
use crate::judge::finding::{Finding, Level, Manner, Trial};
use crate::judge::mark_tolerance;
use crate::judge::pool::Up;
use crate::judge::reason::TrialReason;
use crate::judge::rules::{
    AT_ONCE_S, EDGE_S, LIE_TIMES, MATTER_A, REST_S, SAME_A, SAME_CHANGE_SHARE, SURE,
};
use crate::judge::stay::Opening;
use crate::reading::number::f64_from_usize;
use crate::session::mark::Did;

/// What one deed is judged from.
pub(super) struct BothSides<'a> {
    pub(super) bench: &'a Bench<'a>,
    at: usize,
    pub(super) sides: &'a Sides<'a>,
    pub(super) before: &'a Side<'a>,
    pub(super) after: &'a Side<'a>,
    pub(super) resting: Resting,
    /// What came at once with the deed, where it can be told.
    pub(super) own: Option<Level>,
    /// What the readings beside the deed show in a car that was opened for it: beside all that an
    /// open car does by itself.
    pub(super) opened: Option<Level>,
}

impl<'a> BothSides<'a> {
    /// `None` where one side has no level.
    pub(super) fn of(
        bench: &'a Bench<'a>,
        at: usize,
        sides: &'a Sides<'a>,
        trial: &Trial,
        earlier: &[Trial],
    ) -> Option<Self> {
        let (before, after) = (sides.before.as_ref()?, sides.after.as_ref()?);
        Some(Self {
            bench,
            at,
            sides,
            before,
            after,
            resting: Resting::of(bench.basis, before, after),
            own: own(sides, trial, earlier),
            opened: trial.first_look.filter(|_| trial.did != Did::Swap),
        })
    }

    pub(super) fn judge(&self, trial: &mut Trial) {
        if !self.after_counts() {
            return open::unsettled(self.bench, self.at, self.sides, trial);
        }
        trial.change = Some(self.resting.change);
        let counts = self.before_counts();
        let up = if counts { None } else { self.stayed_up() };
        let slept = up.filter(|up| up.p < 1.0 - SURE && self.is_below());
        if !counts && slept.is_none() {
            return self.without_before(up, trial);
        }
        let waking = WakesCompared::of(self.bench, self.before, self.after);
        finding::settle(self, trial, &waking);
        manner::tell(self, trial);
        let fell = trial.finding.is_fall();
        let by_itself = fell && trial.manner != Some(Manner::AtOnce);
        // What fell with it may be of a removal before it.
        let may_be_late = by_itself && trial.manner != Some(Manner::Both)
            || fell && !self.removals_before().is_empty();
        if may_be_late
            && trial.did.removes()
            && let Some(level_a) = hindsight::asleep_with_it(self.bench, self.at, self.before)
        {
            (trial.finding, trial.manner) = (Finding::CannotTell, None);
            trial.reason = TrialReason::AsleepWithIt {
                fell_a: -self.resting.change.a,
                level_a,
            };
            return;
        }
        if let Some(up) = slept.filter(|_| by_itself) {
            trial.reason = TrialReason::Slept {
                up_s: up.for_s,
                p: up.p,
            };
        }
        let differs = open::differs_a(self.bench, self.after, trial);
        if let TrialReason::Rose { differs_a, .. } | TrialReason::Same { differs_a, .. } =
            &mut trial.reason
        {
            *differs_a = differs;
        }
        self.so_far(trial);
    }

    /// The state before was up past its time-out, or not for long enough to count.
    fn without_before(&self, up: Option<Up>, trial: &mut Trial) {
        if !self.is_below() || !trial.did.removes() {
            return open::nothing_before(self.bench, self.after, trial);
        }
        let pool = self.bench.pool(self.before.stay.setup);
        trial.finding = Finding::CannotTell;
        trial.reason = TrialReason::UpTooShort {
            up_s: up.map_or(0.0, |up| up.for_s),
            needed_s: pool.up_for_more_s(self.bench.basis),
        };
    }

    fn stayed_up(&self) -> Option<Up> {
        self.bench.pool(self.before.stay.setup).up(self.bench.basis)
    }

    fn is_below(&self) -> bool {
        self.after.is_rested && self.after.shown.level.a <= self.bench.basis.limit_a
    }

    /// Whether the level before is one that the state has when it is left alone, or does not matter.
    fn before_counts(&self) -> bool {
        let is_null = self.resting.change.a.abs() < MATTER_A && self.after.is_rested;
        self.before.is_rested || self.own_is_all() || is_null
    }

    fn after_counts(&self) -> bool {
        let stood_s = self.after.shown.stood_s;
        let glimpsed = stood_s >= AT_ONCE_S
            && !self.after.is_late
            && (self.was_asleep() || self.own_is_all())
            && (!self.sides.is_open || self.own_is_all() && stood_s >= REST_S);
        // A stage on the way down is a fall already, and perhaps not all of it.
        let change = self.resting.change;
        let is_stage = self.before.is_rested
            && self.after.is_late
            && stood_s >= REST_S
            && change.a < -change.u_a;
        self.after.is_rested || glimpsed || is_stage
    }

    /// Whether the deed was done to a car that slept.
    fn was_asleep(&self) -> bool {
        self.before.is_rested && self.sides.own_counts_from(self.before)
    }

    /// Whether what came at once is the whole change, and no stage of a car that was going to sleep.
    fn own_is_all(&self) -> bool {
        let change = self.resting.change;
        let close_a = (SAME_CHANGE_SHARE * change.a.abs())
            .max(2.0 * MATTER_A)
            .max(change.u_a);
        self.own.is_some_and(|own| {
            own.a.abs() > own.u_a.max(MATTER_A) && (own.a - change.a).abs() <= close_a
        }) && (change.a > 0.0 || self.before.is_rested || !self.may_be_stage())
    }

    /// Whether a module that fell asleep by itself may have done so this close to the mark: with
    /// one more to come, and as often as modules did since the time-out began.
    fn may_be_stage(&self) -> bool {
        let (basis, stays) = (self.bench.basis, &self.bench.stays.all);
        let Some((stay, placed)) = stays
            .get(self.at)
            .and_then(|stay| Some((stay, basis.placed(stay.opening.tried()?.0)?)))
        else {
            return false;
        };
        let changes = basis.session.signal().changes();
        let from = changes.partition_point(|change| change.t <= stay.clock);
        let since = changes.get(from..).unwrap_or_default().iter();
        let stages = since
            .take_while(|change| change.t < stay.from)
            .filter(|change| change.from_a - change.to_a > MATTER_A)
            .filter(|change| mark_tolerance::nearest(&basis.deeds, change.t).is_none());
        let apart_s = stay.from.secs_since(placed.at()).abs().max(EDGE_S);
        let watched_s = stay.from.secs_since(stay.clock);
        f64_from_usize(stages.count() + 1) * 2.0 * apart_s > (1.0 - SURE) * watched_s
    }

    /// What else was taken out just before, so shortly that a late fall may be of it.
    pub(super) fn removals_before(&self) -> Vec<String> {
        let basis = self.bench.basis;
        let fell = self.after.shown.fell;
        let earlier = self
            .bench
            .stays
            .all
            .get(..self.at)
            .unwrap_or(&[])
            .iter()
            .rev();
        let open = earlier.take_while(|stay| {
            stay.opening.is_removal() && fell < stay.from.plus_secs(basis.timeout_s)
        });
        let mut labels: Vec<String> = open
            .filter_map(|stay| match stay.opening {
                Opening::Deed(id, _) => Some(basis.placed(id)?.mark.what.join("+")),
                Opening::Start | Opening::Unmarked => None,
            })
            .collect();
        labels.reverse();
        labels
    }

    /// Whether more went at once than the resting levels lost. What is put back starts up with a
    /// surge of its own, and a later fall is others going to sleep.
    pub(super) fn disagrees(&self) -> bool {
        let change = self.resting.change;
        self.own.is_some_and(|own| {
            let sure_a = own.u_a.hypot(change.u_a).max(part_a(own.a, SAME_A));
            -own.a > sure_a && change.a - own.a > 2.0 * sure_a
        })
    }

    /// Whether the change was seen to happen: at once, or later.
    pub(super) fn was_seen(&self) -> bool {
        let change = self.resting.change;
        let at_once = self
            .own
            .is_some_and(|own| own.a.abs() > own.u_a && own.a * change.a > 0.0);
        at_once || self.after.fell_late()
    }

    /// While nothing else was done, a level above the limit may still fall.
    fn so_far(&self, trial: &mut Trial) {
        let basis = self.bench.basis;
        let stands_at = trial.t.plus_secs(LIE_TIMES * basis.timeout_s);
        let may_fall = self.after.shown.level.a > basis.limit_a && basis.end() < stands_at;
        let known = matches!(trial.reason, TrialReason::Rose { differs_a: Some(differs_a), .. } if differs_a == 0.0);
        trial.stands_at = (self.sides.is_open && may_fall && !known).then_some(stands_at);
    }
}

/// What the deeds' own steps show, where they were taken out of a level that the state has when it
/// is left alone: a car that was opened shows none. That of a run is the sum of all in it.
fn own(sides: &Sides<'_>, trial: &Trial, earlier: &[Trial]) -> Option<Level> {
    let look = trial.first_look.filter(|_| trial.did != Did::Swap)?;
    let before = sides.before.as_ref()?;
    if sides.run.len() > 1 {
        let in_run = earlier
            .iter()
            .filter(|earlier| sides.run.contains(&earlier.mark));
        return in_run
            .map(|earlier| earlier.first_look)
            .try_fold(look, |sum, look| {
                let look = look?;
                Some(Level {
                    a: sum.a + look.a,
                    u_a: sum.u_a.hypot(look.u_a),
                })
            });
    }
    sides.own_counts_from(before).then_some(look)
}

#[cfg(test)]
mod tests;
