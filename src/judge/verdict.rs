//! Above or below the limit: the state in force, by its last stay that can be judged, on its
//! resting level and on its long-run average, with a guard band; the worse of the two counts.
//!
//! The limit is exact, the measurement is guarded once (JCGM 106:2012, 7.3 and 8.3).

mod reservations;
mod restless;
mod rulings;
mod trend;

use super::average::{self, Average, LongRun};
use super::finding::{SettledNow, Trial, Verdict};
use super::lattice;
use super::pool::Pool;
use super::reason::VerdictReason;
use super::rules::SURE;
use super::stay::asleep::Ground;
use super::stay::shown::Shown;
use super::stay::{Basis, Opening, Stay, Stays};
use super::uncertainty::{self, Estimate};
use crate::reading::Elapsed;

/// What the car draws now, and what that means.
#[derive(Clone, Debug, PartialEq)]
pub struct VerdictNow {
    /// The settled current of the state in force.
    pub settled: Option<SettledNow>,
    /// The long-run average of the state in force.
    pub average: Option<LongRun>,
    /// Against the limit.
    pub verdict: Verdict,
    /// When it stands, while it may still change.
    pub stands_at: Option<Elapsed>,
    /// Why, or what would settle it; the deciding reason first.
    pub reasons: Vec<VerdictReason>,
    /// Whether a parked car can draw what the meter shows: else nothing is computed from it.
    pub credible: bool,
}

/// The stay that speaks for the state in force, and what is computed of it.
pub(super) struct InForce<'a> {
    pub stay: &'a Stay,
    pub shown: &'a Shown,
    /// The level now, or the mean at rest where that is higher.
    pub worst: Estimate,
    pub average: Average,
    /// The stays of this state since the last deed on a fuse or part.
    pub stretch: &'a [Stay],
}

/// The probability that the true current is at or below the limit.
pub fn probability_below(limit_a: f64, a: f64, u_a: f64, dof: f64) -> f64 {
    if u_a <= 0.0 {
        return if a <= limit_a { 1.0 } else { 0.0 };
    }
    uncertainty::at_most((limit_a - a) / u_a, dof)
}

/// Below, above, or too close to tell.
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

/// The verdict on the state in force.
pub fn say(basis: &Basis<'_>, stays: &Stays, trials: &[Trial]) -> VerdictNow {
    let stretch = stretch(stays);
    let Some(now) = in_force(basis, stays, stretch) else {
        return restless::without_level(basis, stays, stretch);
    };
    let on_level = against_limit(&now.worst, basis.limit_a);
    let on_average = against_limit(now.average.towards(basis.limit_a), basis.limit_a);
    let mut measured = worse(on_level, on_average);
    if now.average.is_open && measured == Verdict::Below {
        measured = Verdict::CannotTell;
    }
    let found = rulings::rulings(basis, stays, &now, trials, measured);
    let credible = !found.iter().any(|ruling| {
        matches!(
            ruling.reason,
            VerdictReason::Implausible { .. } | VerdictReason::Fault { .. }
        )
    });
    let joined = lattice::join(measured, found);
    let average = average_of(&now).high.level();
    let settled = SettledNow {
        level: now.shown.level.level(),
        average,
        since: now.shown.fell,
        early: now.stay.rest.ground == Some(Ground::AtLimit),
    };
    VerdictNow {
        settled: Some(settled),
        average: Some(LongRun {
            level: average,
            over_s: now.average.wakes.watched_s,
            wakes: now.average.wakes.seen.len(),
            is_open: now.average.is_open,
        }),
        verdict: joined.verdict,
        stands_at: joined.stands_at,
        reasons: joined.reasons,
        credible,
    }
}

/// The stays since the last deed on a fuse or part: all of them in the state in force.
fn stretch(stays: &Stays) -> &[Stay] {
    let is_deed = |stay: &Stay| stay.opening.is_another_state();
    let first = stays.all.iter().rposition(is_deed).unwrap_or(0);
    stays.all.get(first..).unwrap_or(&[])
}

fn in_force<'a>(basis: &Basis<'_>, stays: &Stays, stretch: &'a [Stay]) -> Option<InForce<'a>> {
    let at = stretch.iter().rposition(|stay| stay.standing().is_some())?;
    // A rise that outlives the time-out is the state now, and it is not known yet.
    let later = stretch.get(at + 1..).unwrap_or(&[]);
    if later
        .iter()
        .any(|stay| stay.opening == Opening::Unmarked && stay.lasts_s() > basis.timeout_s)
    {
        return None;
    }
    let stay = stretch.get(at)?;
    let shown = stay.standing()?;
    let pool = Pool::of(stays, stay.setup);
    let worst = Estimate {
        a: shown.level.a.max(at_rest(shown)),
        ..shown.level
    };
    let average = average::average(&worst, pool.wakes_near(shown.level.a));
    Some(InForce {
        stay,
        shown,
        worst,
        average,
        stretch,
    })
}

/// The mean at rest, where it is another than the level now.
fn at_rest(shown: &Shown) -> f64 {
    let close_a = 2.0 * shown.level.noise_u_a.max(shown.level.rounding_u_a);
    if (shown.rest_a - shown.level.a).abs() > close_a {
        shown.rest_a
    } else {
        shown.level.a
    }
}

/// The long-run average: rest and wakes over the time watched.
fn average_of(now: &InForce<'_>) -> Average {
    let rest = Estimate {
        a: at_rest(now.shown),
        ..now.shown.level
    };
    average::average(&rest, now.average.wakes.clone())
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
    use crate::judge::kit::{self, HOUR, MIN, TestCar};
    use crate::judge::stay::testkit::shown;

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

    #[test]
    fn of_two_verdicts_the_worse_one_counts() {
        use Verdict::{Above, Below, CannotTell, NotSettled};
        for (one, other, expected) in [
            (Below, Below, Below),
            (Below, Above, Above),
            (Below, CannotTell, CannotTell),
            (CannotTell, Above, Above),
            (NotSettled, Below, NotSettled),
            (NotSettled, CannotTell, CannotTell),
        ] {
            assert_eq!(worse(one, other), expected, "{one:?} {other:?}");
            assert_eq!(worse(other, one), expected, "{other:?} {one:?}");
        }
        assert_eq!(
            decide(0.05, 0.05, 0.0, f64::INFINITY),
            Below,
            "known exactly"
        );
        assert_eq!(
            decide(0.05, 0.051, 0.0, f64::INFINITY),
            Above,
            "known exactly"
        );
    }

    /// Asleep at 30 mA, ten wakes of 30 s in five hours: what they take decides.
    #[test]
    fn wakes_count_in_the_average() {
        let levels = |wake_a: f64| -> Vec<(u32, f64)> {
            let wakes = (0..10).flat_map(|i| {
                let at_s = 900 + 1800 * i;
                [(at_s, wake_a), (at_s + 30, 0.030)]
            });
            [(0, 0.030)].into_iter().chain(wakes).collect()
        };
        let judged = |wake_a| TestCar::asleep(&levels(wake_a)).judged(5 * HOUR);
        assert_eq!(judged(0.300).verdict, Verdict::Below);
        let above = judged(3.0);
        assert_eq!(above.verdict, Verdict::Above);
        let average = above.average.unwrap();
        // 29.7 A for 300 s of 18000.
        assert!(
            (average.level.a - 0.0795).abs() < 0.001 && average.wakes == 10,
            "{average:?}"
        );
        assert!(matches!(
            above.reasons[0],
            VerdictReason::Wakes { wakes: 10, .. }
        ));
    }

    /// A rise that nobody marked is the state now once it outlives the time-out of 45 min.
    #[test]
    fn a_rise_that_outlives_the_time_out_is_the_state_now() {
        let judged = |rise_s: u32, for_s| {
            let car = TestCar::of(&[(0, 2.0), (300, 0.030), (rise_s, 2.0)]).marked(&[(10, "lock")]);
            car.judged(rise_s + for_s)
        };
        assert_eq!(judged(HOUR, 20 * MIN).verdict, Verdict::Below);
        assert_ne!(judged(HOUR, 100 * MIN).verdict, Verdict::Below);
    }

    /// One wake beyond the meter's range in a car that rests below: nobody knows what it took. Where
    /// the rest alone is above that changes nothing.
    #[test]
    fn a_wake_beyond_the_range_takes_a_below_away() {
        for (level_a, expected) in [(0.020, Verdict::CannotTell), (0.120, Verdict::Above)] {
            let levels = [(0, level_a), (4000, f64::INFINITY), (4020, level_a)];
            let judged = TestCar::asleep(&levels).judged(3 * HOUR);
            assert_eq!(judged.verdict, expected, "{level_a}: {:?}", judged.reasons);
        }
    }

    /// The mean at rest counts where it is another than the level now, beyond twice what noise or
    /// places hide.
    #[test]
    fn the_mean_at_rest_counts_where_it_is_another() {
        let places = Estimate {
            rounding_u_a: 0.000_3,
            ..kit::level(0.030, 0.000_1)
        };
        for (level, rest_a, expected_a) in [
            (kit::level(0.030, 0.000_1), 0.030_15, 0.030),
            (kit::level(0.030, 0.000_1), 0.030_25, 0.030_25),
            (kit::level(0.030, 0.000_1), 0.029_75, 0.029_75),
            (places, 0.030_5, 0.030),
            (places, 0.030_7, 0.030_7),
        ] {
            let mut shown = shown(0, 600, 0.030);
            (shown.level, shown.rest_a) = (level, rest_a);
            let found_a = at_rest(&shown);
            assert!((found_a - expected_a).abs() < 1e-9, "{rest_a}: {found_a}");
        }
    }
}
