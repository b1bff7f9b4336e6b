//! What would settle a "cannot tell": which part of U is the largest, and what makes it smaller,
//! in numbers. Only the part that noise makes shrinks with time.

use serde::Serialize;

use super::rules::{HOLE_S, MA_JACK_OHM, MA_RANGE_RESOLUTION_A, MA_RANGE_TOP_A, WATCH_MAX_S};
use super::stay::Basis;
use super::uncertainty::{Estimate, K, drift_over_u_a, drift_u_a, guard, since_zero_s};
use crate::signal::mean;

/// What would make a judgement sure.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "remedy", rename_all = "kebab-case")]
pub enum Remedy {
    /// The current's own unrest: wait so much longer.
    Wait {
        /// In seconds.
        for_s: f64,
    },
    /// The current's own unrest, and no wait makes it small enough.
    Restless,
    /// The clamp's zero, so old.
    Zero {
        /// In seconds.
        age_s: f64,
    },
    /// The meter's percentage.
    BetterMeter,
    /// The meter's last places and offset: its range for small currents, with what that drops.
    FinerRange {
        /// In volts.
        drop_v: f64,
    },
    /// The same, where the range is as fine as it gets.
    FinerMeter,
}

/// The parts of a standard uncertainty, in ampere.
#[derive(Clone, Copy, Debug, PartialEq)]
#[expect(clippy::struct_field_names, reason = "every name carries its unit")]
struct Budget {
    noise_a: f64,
    drift_a: f64,
    counts_a: f64,
    gain_a: f64,
}

impl Budget {
    fn of_level(basis: &Basis<'_>, level: &Estimate) -> Self {
        let drift_a = drift_u_a(basis.session, level.t);
        let offset_a = (level.zero_u_a.powi(2) - drift_a.powi(2)).max(0.0).sqrt();
        Self {
            noise_a: level.noise_u_a,
            drift_a,
            counts_a: offset_a.hypot(level.rounding_u_a),
            gain_a: (level.gain_u * level.a).abs(),
        }
    }

    fn of_change(basis: &Basis<'_>, before: &Estimate, after: &Estimate) -> Self {
        let apart_s = after.t.secs_since(before.t);
        Self {
            noise_a: before.noise_u_a.hypot(after.noise_u_a),
            drift_a: drift_over_u_a(basis.session.card().cable_drift_a_per_h(), apart_s),
            counts_a: before.rounding_u_a.hypot(after.rounding_u_a),
            gain_a: (before.gain_u * (after.a - before.a)).abs(),
        }
    }

    fn largest_a(&self) -> f64 {
        self.noise_a
            .max(self.drift_a)
            .max(self.counts_a)
            .max(self.gain_a)
    }

    /// All of it but the noise.
    fn fixed_a(&self) -> f64 {
        self.drift_a.hypot(self.counts_a).hypot(self.gain_a)
    }
}

/// What makes this level's verdict sure.
pub fn of_level(basis: &Basis<'_>, level: &Estimate, watched_s: f64) -> Remedy {
    let parts = Budget::of_level(basis, level);
    let largest_a = parts.largest_a();
    if parts.noise_a >= largest_a {
        let needed_a = (basis.limit_a - level.a).abs() / guard();
        return wait(parts.noise_a, parts.fixed_a(), needed_a, watched_s);
    }
    of_meter(basis, &parts, level)
}

/// What would show a change that U hides; `target_a` is the U it takes.
pub fn of_change(basis: &Basis<'_>, before: &Estimate, after: &Estimate, target_a: f64) -> Remedy {
    let parts = Budget::of_change(basis, before, after);
    let largest_a = parts.largest_a();
    if parts.noise_a >= largest_a {
        let fixed_a = parts.fixed_a().hypot(before.noise_u_a);
        let watched_s = 2.0 * basis.end().secs_since(after.t);
        return wait(after.noise_u_a, fixed_a, target_a / K, watched_s);
    }
    of_meter(basis, &parts, after)
}

/// What helps where the meter hides it, not the noise.
fn of_meter(basis: &Basis<'_>, parts: &Budget, level: &Estimate) -> Remedy {
    let largest_a = parts.largest_a();
    if parts.drift_a >= largest_a {
        return Remedy::Zero {
            age_s: since_zero_s(basis.session, level.t),
        };
    }
    if parts.gain_a >= largest_a {
        return Remedy::BetterMeter;
    }
    finer(basis, level.a)
}

/// How much longer wakes that are known so badly have to be watched, in seconds; `None` when a
/// night is not enough.
pub fn watch_s(basis: &Basis<'_>, average: &Estimate, watched_s: f64) -> Option<f64> {
    let parts = Budget::of_level(basis, average);
    let needed_a = (basis.limit_a - average.a).abs() / guard();
    wait_s(parts.noise_a, parts.fixed_a(), needed_a, watched_s)
        .filter(|wait_s| *wait_s < WATCH_MAX_S)
}

fn wait(noise_a: f64, fixed_a: f64, needed_a: f64, watched_s: f64) -> Remedy {
    let watched_s = watched_s.min(mean::WINDOW_MAX_S);
    let wait_s = wait_s(noise_a, fixed_a, needed_a, watched_s);
    let wait_s = wait_s.filter(|wait_s| wait_s + watched_s <= mean::WINDOW_MAX_S);
    wait_s.map_or(Remedy::Restless, |for_s| Remedy::Wait { for_s })
}

/// The range for small currents, with what it may cost.
fn finer(basis: &Basis<'_>, level_a: f64) -> Remedy {
    let fine = basis.session.signal().resolution_a() <= MA_RANGE_RESOLUTION_A;
    let clamp = basis.session.card().drift_a_per_h.is_some();
    if fine || clamp || level_a.abs() > MA_RANGE_TOP_A {
        Remedy::FinerMeter
    } else {
        Remedy::FinerRange {
            drop_v: level_a.abs() * MA_JACK_OHM,
        }
    }
}

/// How much longer until noise, which falls with the root of the time, is small enough; `None`
/// when the rest alone is too much.
fn wait_s(noise_a: f64, fixed_a: f64, needed_a: f64, watched_s: f64) -> Option<f64> {
    let left = needed_a.powi(2) - fixed_a.powi(2);
    (left > 0.0).then(|| (watched_s * (noise_a.powi(2) / left - 1.0)).max(HOLE_S))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::kit::{self, TestCar};
    use crate::reading::Elapsed;

    /// Source: worked by hand: noise 2 mA after 100 s, 1 mA needed and nothing else: four times the
    /// time, so 300 s more.
    #[test]
    fn noise_falls_with_the_root_of_the_time() {
        let more_s = wait_s(0.002, 0.0, 0.001, 100.0).unwrap();
        assert!((more_s - 300.0).abs() < 1e-9, "{more_s}");
        assert_eq!(wait_s(0.002, 0.001, 0.001, 100.0), None);
    }

    fn helps(level: &Estimate, watched_s: f64) -> Remedy {
        let car = TestCar::asleep(&[(0, 0.048)]).card(|card| card.limit_a = Some(0.050));
        car.stays(600, |basis, _| of_level(basis, level, watched_s))
    }

    /// Each part of U has its own remedy: the largest names it.
    #[test]
    fn the_largest_part_of_u_names_the_remedy() {
        let noise = kit::level(0.048, 0.002);
        assert!(matches!(helps(&noise, 100.0), Remedy::Wait { for_s } if for_s > 60.0));
        let near = kit::level(0.0499, 0.002);
        assert_eq!(helps(&near, 100.0), Remedy::Restless);
        let gain = Estimate {
            gain_u: 0.1,
            ..noise
        };
        assert_eq!(helps(&gain, 100.0), Remedy::BetterMeter);
        let counts = Estimate {
            rounding_u_a: 0.003,
            ..noise
        };
        let drop_v = 0.048 * MA_JACK_OHM;
        assert_eq!(helps(&counts, 100.0), Remedy::FinerRange { drop_v });
    }

    /// Above 200 mA there is no finer range of a handheld, and a clamp has none at all.
    #[test]
    fn a_finer_range_is_advised_only_where_there_is_one() {
        let finer = |level_a, drift: Option<f64>| {
            let car = TestCar::asleep(&[(0, 0.048)]).card(|card| card.drift_a_per_h = drift);
            car.stays(600, |basis, _| finer(basis, level_a))
        };
        assert!(matches!(finer(0.199, None), Remedy::FinerRange { .. }));
        assert_eq!(finer(0.201, None), Remedy::FinerMeter);
        assert_eq!(finer(0.048, Some(0.01)), Remedy::FinerMeter);
    }

    /// The night that nobody is sent beyond.
    #[test]
    fn no_wait_is_longer_than_a_night() {
        let car = TestCar::asleep(&[(0, 0.048)]).card(|card| card.limit_a = Some(0.050));
        car.stays(600, |basis, _| {
            let needed_a = 0.010 / guard();
            for (times, expected) in [
                (4.0, Some(3.0 * 3600.0)),
                (8.0, Some(7.0 * 3600.0)),
                (14.0, None),
            ] {
                let average = kit::level(0.040, needed_a * f64::sqrt(times));
                let more_s = watch_s(basis, &average, 3600.0).map(f64::round);
                assert_eq!(more_s, expected, "{times} times");
            }
        });
    }

    /// Worked by hand: 2 mA after the 400 s since the pull, nothing else, and U = 2 mA wanted: half
    /// of it at k = 2, so four times the time. Half of the 800 s that both sides took would be as much.
    #[test]
    fn a_change_that_noise_hides_needs_its_u_at_k_two() {
        let car = TestCar::asleep(&[(0, 0.048)]);
        let remedy = car.stays(1000, |basis, _| {
            let before = Estimate {
                t: Elapsed::from_secs(300.0),
                ..kit::level(0.048, 0.0)
            };
            let after = Estimate {
                t: basis.end().plus_secs(-200.0),
                ..kit::level(0.046, 0.002)
            };
            of_change(basis, &before, &after, 0.002)
        });
        let Remedy::Wait { for_s } = remedy else {
            panic!("{remedy:?}")
        };
        assert!((for_s - 1200.0).abs() < 1e-6, "{for_s}");
    }

    /// A clamp that drifts by 3 mA an hour, an hour after it was zeroed: its zero is that and what the
    /// meter may be off.
    #[test]
    fn the_parts_of_u_are_told_apart() {
        let car = TestCar::asleep(&[(0, 0.048)]).card(|card| card.drift_a_per_h = Some(0.003));
        car.stays(600, |basis, _| {
            let t = Elapsed::from_secs(3600.0);
            let drift_a = 0.003 / crate::judge::uncertainty::RECTANGLE;
            let level = Estimate {
                rounding_u_a: 0.000_3,
                gain_u: 0.01,
                zero_u_a: f64::hypot(0.002, drift_a),
                t,
                ..kit::level(0.048, 0.001)
            };
            let of_level = Budget::of_level(basis, &level);
            let before = Estimate {
                a: 0.248,
                t: Elapsed::ZERO,
                ..level
            };
            let of_change = Budget::of_change(basis, &before, &level);
            for (found, expected) in [
                (of_level.drift_a, drift_a),
                (of_level.counts_a, f64::hypot(0.002, 0.000_3)),
                (of_level.gain_a, 0.000_48),
                (of_change.drift_a, drift_a),
                (of_change.gain_a, 0.002),
            ] {
                assert!((found - expected).abs() < 1e-9, "{found} is not {expected}");
            }
        });
    }

    /// A minute at the least; and none where the level would have to be watched for longer than half an
    /// hour in all.
    #[test]
    fn a_wait_is_a_minute_at_least_and_half_an_hour_at_most() {
        assert_eq!(wait_s(0.001_001, 0.0, 0.001, 100.0), Some(60.0));
        let twice = 2.0_f64.sqrt() * 0.001;
        let waits = |watched_s| matches!(wait(twice, 0.0, 0.001, watched_s), Remedy::Wait { .. });
        assert_eq!([waits(890.0), waits(910.0)], [true, false]);
    }

    #[test]
    fn a_range_of_a_tenth_of_a_milliampere_is_as_fine_as_it_gets() {
        let finer = |decimals| {
            let car = TestCar::asleep(&[(0, 0.048)]).display(decimals, 0.001);
            car.stays(600, |basis, _| finer(basis, 0.048))
        };
        assert_eq!(finer(4), Remedy::FinerMeter);
        assert_ne!(finer(3), Remedy::FinerMeter);
    }
}
