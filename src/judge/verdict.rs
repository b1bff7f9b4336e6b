//! Above or below the limit, with a guard band; on the settled level and on the time-average.
//!
//! The limit is exact, the measurement is guarded once (JCGM 106:2012, 7.3 and 8.3).

use statrs::distribution::{ContinuousCDF, Normal};

use super::finding::{SettledNow, Verdict};
use super::phase::{Settling, Walk};
use super::uncertainty::{self, Estimate};
use crate::reading::quantity;
use crate::session::Session;

/// A verdict is wrong at most this often: 95 %.
const SURE: f64 = 0.95;

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
pub fn probability_below(limit_a: f64, a: f64, u_a: f64) -> f64 {
    if u_a <= 0.0 {
        return if a <= limit_a { 1.0 } else { 0.0 };
    }
    Normal::standard().cdf((limit_a - a) / u_a)
}

/// Below, above, or too close to tell.
#[must_use]
pub fn against_limit(level: &Estimate, limit_a: f64) -> Verdict {
    decide(limit_a, level.a, level.u_a())
}

fn decide(limit_a: f64, a: f64, u_a: f64) -> Verdict {
    let below = probability_below(limit_a, a, u_a);
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
    let average_a = average_a(session, walk, &last, level.a);
    let average = Estimate {
        a: average_a,
        ..level
    };
    let on_level = against_limit(&level, limit_a);
    let on_average = against_limit(&average, limit_a);
    let verdict = held_back(worse(on_level, on_average), &last);
    let why = reason(session, verdict, on_level, &average, limit_a, &last);
    let settled = SettledNow {
        level: level.level(),
        average: average.level(),
        since: last.data_from,
    };
    Said {
        settled: Some(settled),
        verdict,
        why,
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

/// The mean current since the car first settled with these fuses in, its wakes included: the
/// settled level, and the charge of the wakes spread over that time.
fn average_a(session: &Session, walk: &Walk, last: &Settling, level_a: f64) -> f64 {
    let first = walk
        .settlings
        .iter()
        .find(|s| s.fuse_state == last.fuse_state)
        .unwrap_or(last);
    let wakes = walk
        .wakes
        .iter()
        .filter(|w| w.from >= first.data_from && w.to <= last.to);
    // Whole cycles: from the first settled moment to the end of the last wake counts the quiet
    // before each wake, and not the quiet after the last, whose wake has not come yet.
    let (charge_as, end) = wakes.fold((0.0, None), |(sum, _), w| (sum + w.charge_as, Some(w.to)));
    let Some(end) = end else { return level_a };
    let blind_s: f64 = session
        .signal()
        .gaps()
        .iter()
        .filter(|gap| gap.from >= first.data_from && gap.to <= end)
        .map(|gap| gap.to.secs_since(gap.from))
        .sum();
    let span_s = end.secs_since(first.data_from) - blind_s;
    // A single early wake says little of how often they come: then the time since counts too.
    let span_s = span_s
        .max(last.to.secs_since(first.data_from) - blind_s)
        .max(1.0);
    level_a + charge_as / span_s
}

fn reason(
    session: &Session,
    verdict: Verdict,
    on_level: Verdict,
    average: &Estimate,
    limit_a: f64,
    last: &Settling,
) -> String {
    let mean = quantity::current(average.a);
    let limit = quantity::amount(limit_a);
    match verdict {
        Verdict::Below if session.card().accuracy.is_none() => {
            "below; the meter's accuracy was not given, so its own error is not counted".into()
        }
        Verdict::Above if session.card().accuracy.is_none() => {
            "above; the meter's accuracy was not given, so its own error is not counted".into()
        }
        Verdict::Above if on_level == Verdict::Below => {
            format!(
                "the settled level is below the {limit} limit, but with its wakes the car draws {mean}"
            )
        }
        Verdict::Above => "surely above, with the meter's own error counted".into(),
        Verdict::Below => "surely below, with the meter's own error counted".into(),
        Verdict::CannotTell if last.ground.may_fall() && average.a > limit_a => {
            "near the limit and it may still fall: wait until the time-out has run".into()
        }
        Verdict::CannotTell => format!(
            "too close for this meter: U {}; the mA range, a better meter or, on a clamp, a fresh zero would tell",
            quantity::current(average.level().u_a)
        ),
        Verdict::NotSettled => "the current has not settled".into(),
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
            assert!((probability_below(0.05, a, u) - p).abs() < 1e-9, "{a}");
            assert_eq!(decide(0.05, a, u), expected, "{a}");
        }
    }
}
