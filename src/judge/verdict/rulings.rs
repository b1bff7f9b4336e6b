//! What each law allows a verdict to say, each with its reason; none overwrites another.

use super::{InForce, against_limit, probability_below, reservations};
use crate::judge::finding::{Finding, Trial, Verdict};
use crate::judge::lattice::{Allows, Ruling};
use crate::judge::reason::{TrialReason, VerdictReason};
use crate::judge::rules::{LIE_TIMES, NO_ACCURACY_SHARE, TOUCH_WATCH_S};
use crate::judge::stay::asleep::Ground;
use crate::judge::stay::{Basis, Opening, Stay, Stays};
use crate::judge::{learned, remedy};
use crate::reading::Elapsed;
use crate::session::mark::Did;

/// Every ruling on what was `measured`, in the order in which they are told.
pub(super) fn rulings(
    basis: &Basis<'_>,
    stays: &Stays,
    now: &InForce<'_>,
    trials: &[Trial],
    measured: Verdict,
) -> Vec<Ruling> {
    let mut found = Vec::new();
    found.extend(reservations::meter(basis, now, measured));
    found.extend(reservations::charging(basis, now));
    found.extend(early(basis, stays, now, measured));
    found.extend(open_wakes(trials));
    found.extend(reservations::moving(basis, now, measured));
    found.extend(unsure(basis, now));
    found.extend(reservations::stood(basis, now));
    found.push(Ruling::remark(figures(basis, now, measured)));
    found.extend(remarks(basis, stays, now, measured));
    found.extend(reservations::holes(basis));
    found
}

/// Nothing is called settled above the limit while an ordinary module could still be on its way
/// down.
fn early(basis: &Basis<'_>, stays: &Stays, now: &InForce<'_>, measured: Verdict) -> Vec<Ruling> {
    let waited_s = now.shown.until.secs_since(now.stay.clock);
    let timeout_s = basis.timeout_s;
    let mut found = Vec::new();
    if now.stay.rest.ground == Some(Ground::AtLimit) && waited_s < timeout_s {
        let early = VerdictReason::Early {
            waited_s,
            timeout_s,
        };
        let until = still(basis, now, now.stay.clock.plus_secs(timeout_s));
        found.push(Ruling::new(early, Allows::NotAbove).until(until));
    }
    if measured == Verdict::Above
        && now.shown.level.a > basis.limit_a
        && let Some(since) = open_deed(basis, stays, now)
    {
        let early = VerdictReason::SinceDeed {
            waited_s: basis.end().secs_since(since),
            timeout_s,
        };
        let until = still(basis, now, since.plus_secs(timeout_s));
        found.push(Ruling::new(early, Allows::NotSettled).until(until));
    }
    found
}

/// A moment that may still change the verdict: only while nobody has touched the car.
fn still(basis: &Basis<'_>, now: &InForce<'_>, at: Elapsed) -> Option<Elapsed> {
    (now.stay.is_open && at > basis.end()).then_some(at)
}

/// The last deed on a fuse or part, while the car may still fall because of it.
fn open_deed(basis: &Basis<'_>, stays: &Stays, now: &InForce<'_>) -> Option<Elapsed> {
    let first = now.stretch.first()?;
    let since = first.from.max(now.stay.clock);
    if !first.opening.is_another_state()
        || basis.end().secs_since(since) >= basis.timeout_s
        || now.stay.rest.ground == Some(Ground::Known)
    {
        return None;
    }
    let earlier = stays.all.len().checked_sub(now.stretch.len() + 1)?;
    let before = stays.all.get(earlier)?.rested();
    before
        .is_none_or(|before| before.level.a > basis.limit_a)
        .then_some(since)
}

/// While it is open whether a pull ended the wakes, nobody knows that the car is below.
fn open_wakes(trials: &[Trial]) -> Option<Ruling> {
    let last = trials
        .last()
        .filter(|last| last.finding == Finding::NotYet)?;
    let TrialReason::WakesOpen {
        watched_s,
        needed_s,
        ..
    } = last.reason
    else {
        return None;
    };
    let open = VerdictReason::WakesOpen {
        deed: format!("{} {}", last.did, last.what.join("+")),
        needed_s: needed_s - watched_s,
    };
    Some(Ruling::new(open, Allows::CannotTell))
}

/// Without the meter's accuracy nothing is said this close to the limit.
fn unsure(basis: &Basis<'_>, now: &InForce<'_>) -> Option<Ruling> {
    if basis.session.card().accuracy.is_some() {
        return None;
    }
    let off_a = (now.average.high.a - basis.limit_a).abs();
    let close = off_a < NO_ACCURACY_SHARE * basis.limit_a;
    let allows = if close {
        Allows::CannotTell
    } else {
        Allows::All
    };
    let share = off_a / basis.limit_a;
    Some(Ruling::new(VerdictReason::NoAccuracy { share }, allows))
}

/// What was measured, and what decides in it.
fn figures(basis: &Basis<'_>, now: &InForce<'_>, measured: Verdict) -> VerdictReason {
    let average = now.average.towards(basis.limit_a);
    let level = now.shown.level.level();
    let wakes = now.average.wakes.seen.len();
    let watched_s = now.average.wakes.watched_s;
    let on_level = against_limit(&now.worst, basis.limit_a);
    match measured {
        Verdict::CannotTell if now.average.is_open && on_level != measured => {
            VerdictReason::WakesOver {
                level_a: level.a,
                wakes,
            }
        }
        Verdict::CannotTell if average.u_a() > 2.0 * now.worst.u_a() => VerdictReason::FewWakes {
            wakes,
            watched_s,
            more_s: remedy::watch_s(basis, average, watched_s),
        },
        Verdict::CannotTell => VerdictReason::TooClose {
            u_a: level.u_a,
            remedy: remedy::of_level(basis, &now.shown.level, now.shown.stood_s),
        },
        Verdict::Above if on_level != Verdict::Above => VerdictReason::Wakes {
            level_a: level.a,
            average_a: now.average.high.a,
            wakes,
            watched_s,
        },
        Verdict::Above | Verdict::Below | Verdict::NotSettled => VerdictReason::Measured {
            level_a: level.a,
            average_a: now.average.high.a,
            low_a: now.average.low.a - 2.0 * now.average.low.u_a(),
            high_a: now.average.high.a + 2.0 * now.average.high.u_a(),
            p_below: probability_below(
                basis.limit_a,
                average.a,
                average.u_a(),
                average.effective_dof(),
            ),
        },
    }
}

/// What belongs to every verdict.
fn remarks(basis: &Basis<'_>, stays: &Stays, now: &InForce<'_>, measured: Verdict) -> Vec<Ruling> {
    let mut remarks = Vec::new();
    let known = basis.session.card().asleep_at_start == Some(true);
    let locked = || basis.session.done(Did::Lock).next().is_some();
    if measured == Verdict::Above && !known && !locked() {
        remarks.push(Ruling::remark(VerdictReason::NotLocked));
    }
    let is_said = matches!(measured, Verdict::Above | Verdict::Below);
    if let Some(touch) = now.shown.touches.last() {
        let touched = VerdictReason::Touched {
            at_s: touch.from.secs(),
            for_s: touch.lasts_s(),
            charge_as: touch.charge_as,
        };
        // It may be a wake after all: so long a watch without another says not.
        let until = touch.to.plus_secs(TOUCH_WATCH_S).max(basis.end());
        remarks.push(Ruling::remark(touched).until(is_said.then_some(until)));
    }
    if measured == Verdict::Above && may_lie(basis, stays, now) {
        let until_s = LIE_TIMES * basis.timeout_s;
        let until = still(basis, now, now.stay.clock.plus_secs(until_s));
        remarks.push(Ruling::remark(VerdictReason::MayLie { until_s }).until(until));
    }
    if now.shown.is_sparse {
        let step_s = now.shown.step_s;
        remarks.push(Ruling::remark(VerdictReason::Sparse { step_s }));
    }
    remarks.extend(risen(basis, now).filter(|_| is_said));
    let last = stays.all.last();
    if last.is_some_and(|last| last.from > now.stay.from && last.opening != Opening::Unmarked) {
        let at_s = now.stay.to.secs();
        remarks.push(Ruling::remark(VerdictReason::Until { at_s }));
    }
    remarks.extend(with_out(stays, now.stay).map(Ruling::remark));
    remarks
}

/// What rose and has not come back may be a wake, or the end of the rest.
fn risen(basis: &Basis<'_>, now: &InForce<'_>) -> Option<Ruling> {
    let since = now.shown.risen.filter(|_| now.stay.is_open)?;
    let until = now.shown.until.plus_secs(basis.timeout_s);
    let risen = VerdictReason::Risen {
        at_s: since.secs(),
        for_s: basis.end().secs_since(since),
    };
    Some(Ruling::remark(risen).until(Some(until.max(basis.end()))))
}

/// What is out in a stay.
pub(super) fn with_out(stays: &Stays, stay: &Stay) -> Option<VerdictReason> {
    let out = stays.setups.get(stay.setup)?.all_out();
    (!out.is_empty()).then_some(VerdictReason::With { out })
}

/// A stated time-out may be too short, until this car's own sleep time is known.
fn may_lie(basis: &Basis<'_>, stays: &Stays, now: &InForce<'_>) -> bool {
    let waited_s = now.shown.until.secs_since(now.stay.clock);
    now.stay.rest.ground == Some(Ground::TimedOut)
        && now.shown.level.a > basis.limit_a
        && waited_s < LIE_TIMES * basis.timeout_s
        && learned::learned(basis, stays).is_none()
}

#[cfg(test)]
mod tests;
