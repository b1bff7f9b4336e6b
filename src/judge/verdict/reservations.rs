//! What makes a verdict doubtful beside its figures: the meter, a level that moves or stood
//! elsewhere, evidence that is missing.

use super::{InForce, trend};
use crate::judge::finding::Verdict;
use crate::judge::lattice::{Allows, Ruling};
use crate::judge::reason::{Implausible, VerdictReason};
use crate::judge::rules::{DEAD_A, HOLE_S, PARKED_MAX_A, SAME_SHARE};
use crate::judge::stay::asleep::Ground;
use crate::judge::stay::evidence::Hidden;
use crate::judge::stay::{Basis, Opening};
use crate::judge::uncertainty::{self, Estimate};
use crate::judge::volts;
use crate::signal::Gap;

/// What no parked car gives: what is wrong is the connection or the meter, not the car.
pub(super) fn meter(basis: &Basis<'_>, now: &InForce<'_>, measured: Verdict) -> Option<Ruling> {
    let hidden = basis.evidence.at(basis.end());
    if let Some(hidden) = hidden.filter(|hidden| hidden.to > now.shown.until.plus_secs(-HOLE_S)) {
        return Some(fault(hidden));
    }
    let level = &now.shown.level;
    Some(not_of_a_car(level, implausible(basis, level, measured)?))
}

/// A meter that shows nothing, or nothing that moves.
pub(super) fn fault(hidden: &Hidden) -> Ruling {
    let fault = VerdictReason::Fault {
        fault: hidden.fault.word(),
        for_s: hidden.lasts_s(),
    };
    Ruling::new(fault, Allows::CannotTell)
}

/// A level that no parked car has.
pub(super) fn not_of_a_car(level: &Estimate, kind: Implausible) -> Ruling {
    let implausible = VerdictReason::Implausible {
        level_a: level.a,
        u_a: level.level().u_a,
        kind,
    };
    Ruling::new(implausible, Allows::CannotTell)
}

pub(super) fn implausible(
    basis: &Basis<'_>,
    level: &Estimate,
    measured: Verdict,
) -> Option<Implausible> {
    // A clamp whose zero moves off does see a current.
    let drift_u_a = uncertainty::drift_u_a(basis.session, level.t);
    let zero_u_a = (level.zero_u_a.powi(2) - drift_u_a.powi(2)).max(0.0).sqrt();
    let undrifted = Estimate { zero_u_a, ..*level };
    let within_u = measured == Verdict::Below && level.a <= undrifted.level().u_a;
    if level.a == 0.0 && level.spread_a == 0.0 {
        Some(Implausible::Zero)
    } else if level.a + 2.0 * level.u_a() < 0.0 {
        Some(Implausible::Negative)
    } else if level.a > PARKED_MAX_A {
        Some(Implausible::Unit)
    } else {
        (level.a < DEAD_A || within_u).then_some(Implausible::Nothing)
    }
}

/// It stood above the limit past its time-out, and went by itself: a load that comes and goes, a
/// car that sleeps late, or something done that nobody marked. Until it was watched for long enough
/// that its average over all of it is below, it does not pass.
pub(super) fn stood(basis: &Basis<'_>, now: &InForce<'_>) -> Option<Ruling> {
    let before = now
        .stretch
        .iter()
        .take_while(|stay| stay.from < now.stay.from);
    let high = before.filter(|stay| stay.opening == Opening::Unmarked || stay.to <= now.stay.from);
    let high = high.filter_map(|stay| Some((stay, stay.rested()?)));
    let high = high.filter(|(stay, shown)| {
        shown.level.a > basis.limit_a.max(now.shown.level.a)
            && stay.rest.ground != Some(Ground::AtLimit)
    });
    let found: Vec<(f64, f64, f64)> = high
        .map(|(_, shown)| (shown.level.a, shown.arrived.secs(), shown.watched_s))
        .collect();
    let (charge_as, high_s) = found.iter().fold((0.0, 0.0), |(q, s), (a, _, for_s)| {
        (q + a * for_s, s + for_s)
    });
    let (level_a, from_s, for_s) = found
        .into_iter()
        .max_by(|one, other| one.2.total_cmp(&other.2))?;
    let rest_as = now.average.high.a * now.shown.watched_s;
    let average_a = (charge_as + rest_as) / (high_s + now.shown.watched_s);
    let stood = VerdictReason::Stood {
        level_a,
        from_s,
        for_s,
    };
    (average_a > basis.limit_a).then_some(Ruling::new(stood, Allows::NotBelow))
}

/// What charged the battery while its level was measured.
pub(super) fn charging(basis: &Basis<'_>, now: &InForce<'_>) -> Option<Ruling> {
    volts::ruling(basis, now.shown.arrived, now.shown.until)
}

/// Evidence that is missing of the watch.
pub(super) fn holes(basis: &Basis<'_>) -> Option<Ruling> {
    let signal = basis.session.signal();
    let of_s = signal.last_t()?.secs_since(signal.first_t()?);
    let blind_s: f64 = signal.gaps().iter().map(Gap::lasts_s).sum();
    (blind_s >= (2.0 * HOLE_S).max(SAME_SHARE * of_s))
        .then_some(Ruling::remark(VerdictReason::Holes { blind_s, of_s }))
}

/// A clamp's zero may be all of a slope; a car that falls on is not settled.
pub(super) fn moving(basis: &Basis<'_>, now: &InForce<'_>, measured: Verdict) -> Option<Ruling> {
    let trend = trend::trend(basis, now.shown)?;
    let limit_a = basis.limit_a;
    let crosses = match measured {
        Verdict::Above => trend.undrifted_a < limit_a,
        Verdict::Below => trend.undrifted_a > limit_a,
        Verdict::CannotTell | Verdict::NotSettled => false,
    };
    let falls_below = trend.a_per_h < 0.0 && trend.soon_a < limit_a && measured == Verdict::Above;
    let allows = if falls_below && !trend.is_clamp {
        Allows::NotSettled
    } else if trend.is_clamp && crosses {
        Allows::CannotTell
    } else {
        Allows::All
    };
    let reason = VerdictReason::Moves {
        a_per_h: trend.a_per_h,
        is_clamp: trend.is_clamp,
    };
    Some(Ruling::new(reason, allows))
}

#[cfg(test)]
mod tests;
