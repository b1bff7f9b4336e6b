//! Above or below the limit, with a guard band; on the settled level and on the time-average.
//!
//! The limit is exact, the measurement is guarded once (JCGM 106:2012, 7.3 and 8.3).

pub mod odd;
mod reason;
mod restless;
mod stood;
mod trend;
mod watch;

use super::finding::{SettledNow, Trial, Verdict};
use super::phase::{Settling, Walk};
use super::uncertainty::{self, Estimate};
use super::{average, limit, remedy};
use crate::session::Session;
use reason::Reason;
use stood::Stood;

/// A verdict is wrong at most this often: 95 %.
const SURE: f64 = 0.95;

/// Common handheld meters err by a few percent and counts near the usual limit (trade table 4.1:
/// ± (1.0 % + 3 counts) on a 10 A range is ± 3.4 mA at 42 mA).
const UNSURE_SHARE: f64 = 0.10;

/// What the car draws now, and what that means.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    /// The settled current of the last stretch.
    pub settled: Option<SettledNow>,
    /// Against the limit.
    pub verdict: Verdict,
    /// Why, or what would settle it.
    pub why: String,
    /// Whether a parked car can draw what the meter shows: else nothing is computed from it.
    pub credible: bool,
}

impl Said {
    /// While it is open whether a pull ended the wakes, nobody knows that the car is below.
    pub fn wait_for(&mut self, open: &Trial) {
        if self.verdict == Verdict::Below {
            self.verdict = Verdict::CannotTell;
            let what = open.what.join("+");
            self.why = format!("{} {what} is not judged yet: {}", open.did, open.why);
        }
    }
}

/// The probability that the true current is at or below the limit.
#[must_use]
pub fn probability_below(limit_a: f64, a: f64, u_a: f64, dof: f64) -> f64 {
    if u_a <= 0.0 {
        return if a <= limit_a { 1.0 } else { 0.0 };
    }
    uncertainty::at_most((limit_a - a) / u_a, dof)
}

/// Below, above, or too close to tell.
#[must_use]
pub fn against_limit(level: &Estimate, limit_a: f64) -> Verdict {
    decide(limit_a, level.a, level.u_a(), level.effective_dof())
}

fn decide(limit_a: f64, a: f64, u_a: f64, dof: f64) -> Verdict {
    let below = probability_below(limit_a, a, u_a, dof);
    if below >= SURE {
        Verdict::Below
    } else if below <= 1.0 - SURE {
        Verdict::Above
    } else {
        Verdict::CannotTell
    }
}

/// The verdict on the last stretch of the record.
#[must_use]
pub fn say(session: &Session, walk: &Walk, limit_a: f64) -> Said {
    let end = session.signal().last_t().unwrap_or_default();
    let last = walk.settlings.last().filter(|last| last.to >= end);
    let Some((last, level)) = last.and_then(|last| {
        Some((
            *last,
            uncertainty::estimate(session, last.data_from, last.to)?,
        ))
    }) else {
        return without_level(session, walk, limit_a);
    };
    let average = average::average(session, walk, &last, &level);
    let on_level = against_limit(&level, limit_a);
    let on_average = against_limit(average.towards(limit_a), limit_a);
    let stood = stood::stood(session, walk, (&last, &average.wakes), limit_a);
    let told = unsure_meter(
        session,
        held_back(worse(worse(on_level, on_average), stood.verdict()), &last),
        &average.high,
        limit_a,
    );
    let odd = odd::odd(session, &last, &level, told);
    let credible = odd.is_none();
    let moves = trend::trend(session, &last, &level, told, limit_a);
    let moves = moves.filter(|_| credible && stood == Stood::Nothing);
    let verdict = match &moves {
        Some((verdict, _)) => *verdict,
        None if credible => told,
        None => Verdict::CannotTell,
    };
    let is_still = moves.is_none();
    let mut why = match odd.or(moves.map(|(_, why)| why)) {
        Some(why) => why,
        None => Reason {
            session,
            walk,
            limit_a,
            last: &last,
            level: &level,
            average: &average,
            stood,
        }
        .why(verdict, on_level),
    };
    let wander = remedy::wander(session, last.data_from, last.to, &level);
    if let Some(warning) = wander.filter(|_| credible && is_still) {
        why = format!("{why}; {warning}");
    }
    if verdict == Verdict::Above && !walk.is_locked {
        why.push_str("; no lock was marked: it counts only if the car was locked");
    }
    if let Some(holes) = watch::holes(session, end) {
        why = format!("{why}; {holes}");
    }
    why = with_out(session, why);
    let settled = SettledNow {
        level: level.level(),
        average: average.high.level(),
        since: last.data_from,
        early: last.ground.may_fall(),
    };
    Said {
        settled: Some(settled),
        verdict,
        why,
        credible,
    }
}

/// What is out of the car belongs to every verdict.
fn with_out(session: &Session, why: String) -> String {
    let out = session.out_now();
    if out.is_empty() {
        why
    } else {
        format!("with {} out: {why}", out.join("+"))
    }
}

/// Nothing has settled at the end of the record.
fn without_level(session: &Session, walk: &Walk, limit_a: f64) -> Said {
    let restless = restless::restless(session, walk, limit_a);
    let verdict = match restless {
        Some(_) => Verdict::Above,
        None => Verdict::NotSettled,
    };
    Said {
        settled: None,
        verdict,
        why: restless.map_or_else(
            || unsettled(session, walk),
            |restless| with_out(session, restless),
        ),
        credible: true,
    }
}

/// Why there is no verdict yet.
fn unsettled(session: &Session, walk: &Walk) -> String {
    if let Some(unit) = walk.level_a.and_then(odd::unit) {
        return unit;
    }
    let end = session.signal().last_t().unwrap_or_default();
    let timeout_s = limit::timeout(session.card()).value;
    let waited_s = walk.clock_from.map_or(0.0, |from| end.secs_since(from));
    if walk.is_unlocked && waited_s >= timeout_s {
        return "no lock marked; was the car locked? The wait begins there: mark it, or say --asleep-at-start".into();
    }
    watch::seldom(session).unwrap_or_else(|| "the current has not settled".into())
}

/// Without the meter's accuracy nothing is said this close to the limit.
fn unsure_meter(session: &Session, said: Verdict, average: &Estimate, limit_a: f64) -> Verdict {
    let close = (average.a - limit_a).abs() < UNSURE_SHARE * limit_a;
    if session.card().accuracy.is_none() && close {
        Verdict::CannotTell
    } else {
        said
    }
}

/// A level let through early may still fall: never `above`.
const fn held_back(verdict: Verdict, last: &Settling) -> Verdict {
    if matches!(verdict, Verdict::Above) && last.ground.may_fall() {
        Verdict::CannotTell
    } else {
        verdict
    }
}

const fn worse(a: Verdict, b: Verdict) -> Verdict {
    match (a, b) {
        (Verdict::Above, _) | (_, Verdict::Above) => Verdict::Above,
        (Verdict::CannotTell, _) | (_, Verdict::CannotTell) => Verdict::CannotTell,
        (Verdict::NotSettled, _) | (_, Verdict::NotSettled) => Verdict::NotSettled,
        (Verdict::Below, Verdict::Below) => Verdict::Below,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: JCGM 106:2012 7.3, 8.3 (clauses from memory), probabilities by scipy 1.17.1.
    #[test]
    fn the_guard_band_decides() {
        for (a, u, p, expected) in [
            (0.042, 0.002, 0.999_968_328_8, Verdict::Below),
            (0.047, 0.002, 0.933_192_798_7, Verdict::CannotTell),
            (0.0467, 0.002, 0.950_528_532_0, Verdict::Below),
            (0.0468, 0.002, 0.945_200_708_3, Verdict::CannotTell),
            (0.050, 0.002, 0.5, Verdict::CannotTell),
            (0.0532, 0.002, 0.054_799_291_7, Verdict::CannotTell),
            (0.0533, 0.002, 0.049_471_468_0, Verdict::Above),
            (0.060, 0.010, 0.158_655_253_9, Verdict::CannotTell),
            (0.200, 0.005, 0.0, Verdict::Above),
        ] {
            assert!(
                (probability_below(0.05, a, u, f64::INFINITY) - p).abs() < 1e-9,
                "{a}"
            );
            assert_eq!(decide(0.05, a, u, f64::INFINITY), expected, "{a}");
        }
    }
}
