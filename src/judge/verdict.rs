//! Above or below the limit, with a guard band; on the settled level and on the time-average.
//!
//! The limit is exact, the measurement is guarded once (JCGM 106:2012, 7.3 and 8.3).

use super::doubt::{self, InDoubt};
use super::finding::{SettledNow, Verdict};
use super::phase::{Settling, Walk};
use super::uncertainty::{self, Estimate};
use super::{average, limit, wait};
use crate::reading::quantity;
use crate::session::Session;

/// A verdict is wrong at most this often: 95 %.
const SURE: f64 = 0.95;

/// When the wakes make the average this many times less sure than the level, they are what is
/// not known yet.
const WAKES_DOMINATE: f64 = 2.0;

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
        return Said {
            settled: None,
            verdict: Verdict::NotSettled,
            why: "the current has not settled".into(),
        };
    };
    let average = average::average(session, walk, &last, &level);
    let on_level = against_limit(&level, limit_a);
    let on_average = against_limit(&average, limit_a);
    let odd = implausible(&level);
    let verdict = match odd {
        Some(_) => Verdict::CannotTell,
        None => unsure_meter(
            session,
            held_back(worse(on_level, on_average), &last),
            &average,
            limit_a,
        ),
    };
    let mut why = match odd {
        Some(why) => why.into(),
        None => Reason {
            session,
            walk,
            limit_a,
            last: &last,
            level: &level,
            average: &average,
        }
        .why(verdict, on_level),
    };
    let wander = doubt::wander(session, last.data_from, last.to, &level);
    if let Some(warning) = wander.filter(|_| odd.is_none()) {
        why = format!("{why}; {warning}");
    }
    let out = session.out_now();
    let why = if out.is_empty() {
        why
    } else {
        format!("with {} out: {why}", out.join("+"))
    };
    let settled = SettledNow {
        level: level.level(),
        average: average.level(),
        since: last.data_from,
        early: last.ground.may_fall(),
    };
    Said {
        settled: Some(settled),
        verdict,
        why,
    }
}

/// Readings that no parked car gives: what is wrong is the connection, not the car.
fn implausible(level: &Estimate) -> Option<&'static str> {
    if level.a == 0.0 && level.spread_a == 0.0 {
        return Some("exactly zero without any noise: check the meter's fuse and leads");
    }
    let sure = level.a + 2.0 * level.u_a() < 0.0;
    sure.then_some("the current is negative: turn the clamp or the leads, or take the charger off")
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

/// What a verdict is explained from.
struct Reason<'a> {
    session: &'a Session,
    walk: &'a Walk,
    limit_a: f64,
    last: &'a Settling,
    level: &'a Estimate,
    average: &'a Estimate,
}

impl Reason<'_> {
    fn why(&self, verdict: Verdict, on_level: Verdict) -> String {
        let may_fall = self.last.ground.may_fall();
        let no_accuracy = self.session.card().accuracy.is_none();
        match verdict {
            Verdict::Below if may_fall => {
                "below so far; the time-out has not run yet: watch on".into()
            }
            Verdict::Above | Verdict::Below if no_accuracy => {
                "the meter's accuracy was not given, so its own error is not counted".into()
            }
            Verdict::Above if on_level == Verdict::Below => format!(
                "the settled level is below the {} limit, but with its wakes the car draws {}",
                quantity::amount(self.limit_a),
                quantity::current(self.average.a)
            ),
            Verdict::Above => "surely above, with the meter's own error counted".into(),
            Verdict::Below => "surely below, with the meter's own error counted".into(),
            Verdict::CannotTell => self.mend(may_fall, no_accuracy),
            Verdict::NotSettled => "the current has not settled".into(),
        }
    }

    /// What would settle a verdict that cannot be told.
    fn mend(&self, may_fall: bool, no_accuracy: bool) -> String {
        if self.average.u_a() > WAKES_DOMINATE * self.level.u_a() {
            let begin = "too few wakes seen to know how often they come: watch";
            return self.in_doubt(self.average).wait().map_or_else(
                || format!("{begin} longer"),
                |wait| format!("{begin} about {wait} more"),
            );
        }
        if may_fall && self.average.a > self.limit_a {
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
        self.in_doubt(self.average).mend()
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
