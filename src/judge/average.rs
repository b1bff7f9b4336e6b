//! The time-average of a state: its rest and its wakes over the time watched, and how well it is
//! known.
//!
//! How often wakes come is known as well as a count is: the exact interval for a Poisson mean
//! (Fiducial limits for the Poisson distribution, Biometrika 28, 1936, 437, from memory), which is
//! longer upwards than downwards. Charges of different size count as fewer of the same size.
//! Regular wakes are known as well as their charge spreads, and but for the part of a period at
//! either end.

use statrs::distribution::{ContinuousCDF, Gamma};

use super::finding::Level;
use super::pool::Wakes;
use super::uncertainty::{self, Estimate, GUARD, K};
use crate::reading::number::f64_from_usize;

/// The long-run average of the state in force.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LongRun {
    /// Rest and wakes over the time watched.
    pub level: Level,
    /// Over so many seconds.
    pub over_s: f64,
    /// How many wakes were seen in them.
    pub wakes: usize,
    /// Whether it has no upper end: the meter was over its range in it.
    pub is_open: bool,
}

/// The current over time, wakes included.
#[derive(Clone, Debug, PartialEq)]
pub struct Average {
    /// As well as it is known upwards.
    pub high: Estimate,
    /// The same, with the noise that it has downwards.
    pub low: Estimate,
    /// Whether the meter was over its range in a wake: then there is no upper end.
    pub is_open: bool,
    /// The wakes in it, and how long they were watched for.
    pub wakes: Wakes,
}

impl Average {
    /// As well as it is known on the side where the limit lies.
    #[must_use]
    pub fn towards(&self, limit_a: f64) -> &Estimate {
        if self.high.a > limit_a {
            &self.low
        } else {
            &self.high
        }
    }
}

/// What wakes add.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Extra {
    a: f64,
    /// Standard error upwards.
    se_high_a: f64,
    /// Standard error downwards.
    se_low_a: f64,
}

/// The `rest` of a state with its `wakes`.
#[must_use]
pub fn average(rest: &Estimate, wakes: Wakes) -> Average {
    let extra = if wakes.regular.is_some() {
        regular(&wakes)
    } else {
        at_random(&wakes)
    };
    Average {
        high: with(rest, &extra, extra.se_high_a),
        low: with(rest, &extra, extra.se_low_a),
        is_open: wakes.seen.iter().any(|wake| wake.over),
        wakes,
    }
}

fn with(rest: &Estimate, extra: &Extra, se_a: f64) -> Estimate {
    let noise_u_a = rest.noise_u_a.hypot(se_a);
    let parts = [(rest.noise_u_a, rest.dof), (se_a, f64::INFINITY)];
    Estimate {
        a: rest.a + extra.a,
        noise_u_a,
        dof: uncertainty::effective_dof(noise_u_a, &parts),
        ..*rest
    }
}

fn at_random(wakes: &Wakes) -> Extra {
    let charges = wakes.seen.iter().map(|wake| wake.charge_as.max(0.0));
    let (sum, squares) = charges.fold((0.0, 0.0), |(sum, squares), q| (sum + q, squares + q * q));
    if sum <= 0.0 || squares <= 0.0 || wakes.watched_s <= 0.0 {
        return Extra::default();
    }
    let (count, a) = (sum * sum / squares, sum / wakes.watched_s);
    let (low, high) = poisson(count);
    Extra {
        a,
        se_high_a: a * (high - count) / count / K,
        se_low_a: a * (count - low) / count / GUARD,
    }
}

fn regular(wakes: &Wakes) -> Extra {
    let n = f64_from_usize(wakes.seen.len());
    let a = wakes.add_a();
    let mean_as = a * wakes.watched_s / n;
    let squares: f64 = wakes
        .seen
        .iter()
        .map(|wake| (wake.charge_as - mean_as).powi(2))
        .sum();
    let spread_as = (squares / (n - 1.0).max(1.0)).sqrt();
    // The watch begins and ends anywhere in a period: two rectangles of a period's width.
    let ends_as = mean_as / 6.0_f64.sqrt();
    let se_a = (spread_as * n.sqrt()).hypot(ends_as) / wakes.watched_s;
    Extra {
        a,
        se_high_a: se_a,
        se_low_a: se_a,
    }
}

/// The mean of a Poisson variable that came out as `count`: once in 20 times it is lower than the
/// first, once in 40 higher than the second.
fn poisson(count: f64) -> (f64, f64) {
    let quantile = |shape: f64, share: f64| Gamma::new(shape, 1.0).map(|g| g.inverse_cdf(share));
    (
        quantile(count, 0.05).unwrap_or(0.0),
        quantile(count + 1.0, 0.975).unwrap_or(f64::INFINITY),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::finding::Cycle;
    use crate::judge::finding::Wake;
    use crate::judge::kit;
    use crate::reading::Elapsed;

    fn wakes(count: u32) -> Wakes {
        let wake = |i: u32| Wake {
            from: Elapsed::from_secs(f64::from(i)),
            to: Elapsed::from_secs(f64::from(i) + 30.0),
            peak_a: 0.3,
            charge_as: 36.0,
            over: false,
        };
        Wakes {
            seen: (0..count).map(wake).collect(),
            watched_s: 3600.0,
            regular: None,
        }
    }

    /// Source: exact limits of a Poisson mean (Fiducial limits for the Poisson distribution,
    /// Biometrika 28, 1936; figures from memory of its table): 5 % and 97.5 %: 1: 0.0513, 5.572;
    /// 3: 0.8177, 8.767; 10: 5.425, 18.39.
    #[test]
    fn random_wakes_are_known_as_well_as_their_count() {
        for (count, low, high) in [
            (1u32, 0.0513, 5.572),
            (3, 0.8177, 8.767),
            (10, 5.425, 18.39),
        ] {
            let extra = at_random(&wakes(count));
            assert!((extra.a - 0.01 * f64::from(count)).abs() < 1e-12);
            let ends = (
                extra.a - GUARD * extra.se_low_a,
                extra.a + K * extra.se_high_a,
            );
            assert!(
                (ends.0 - 0.01 * low).abs() < 1e-4 && (ends.1 - 0.01 * high).abs() < 1e-4,
                "{ends:?}"
            );
        }
        assert_eq!(at_random(&wakes(0)), Extra::default());
    }

    /// The end that a level has to cross to be another verdict is the one that counts.
    #[test]
    fn the_average_is_asked_towards_the_limit() {
        let average = average(&kit::level(0.020, 0.001), kit::wakes(10, 3600.0));
        assert!((average.high.a - 0.045).abs() < 1e-9 && !average.is_open);
        assert_eq!(average.towards(0.050), &average.high);
        assert_eq!(average.towards(0.040), &average.low);
        assert!(average.high.noise_u_a > average.low.noise_u_a);
    }

    #[test]
    fn one_wake_beyond_the_range_leaves_the_average_open() {
        let mut wakes = kit::wakes(3, 3600.0);
        wakes.seen[1].over = true;
        assert!(average(&kit::level(0.020, 0.001), wakes).is_open);
    }

    /// Worked by hand: 10 wakes of 9 As in an hour are 25 mA; alike to the last, they are known but
    /// for the part of a period at either end, 9 As over the root of 6; with charges of 8 and 10 As
    /// by turns, whose spread is the root of 10/9, that and the spread of their sum.
    #[test]
    fn regular_wakes_are_known_but_for_their_ends_and_their_spread() {
        let cycle = Cycle {
            period_s: 360.0,
            width_s: 30.0,
            extra_a: 0.3,
            charge_as: 9.0,
            count: 10,
        };
        let mut wakes = Wakes {
            regular: Some(cycle),
            ..kit::wakes(10, 3600.0)
        };
        let extra = regular(&wakes);
        let ends_as = 9.0 / 6.0_f64.sqrt();
        assert!((extra.a - 0.025).abs() < 1e-12);
        assert!((extra.se_high_a - ends_as / 3600.0).abs() < 1e-12);
        for (i, wake) in wakes.seen.iter_mut().enumerate() {
            wake.charge_as = if i % 2 == 0 { 8.0 } else { 10.0 };
        }
        let sum_as = (10.0_f64 / 9.0 * 10.0).sqrt();
        let expected = sum_as.hypot(ends_as) / 3600.0;
        assert!((regular(&wakes).se_low_a - expected).abs() < 1e-12);
        assert!((average(&kit::level(0.0, 0.0), wakes).high.noise_u_a - expected).abs() < 1e-12);
    }
}
