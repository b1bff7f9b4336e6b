//! The simulated meter at the battery: when it speaks, how it trembles, how finely it writes and
//! where it gives up. What flows is `car`'s business.

use rand::RngExt;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

use super::car::Chance;
use super::story::Meter;
use crate::reading::{Amps, Elapsed, Measured, Reading, number};

/// A meter that speaks on its own grid of moments.
///
/// What it draws from chance depends only on the seed and on how many readings it gave, never on
/// the current or the marks.
#[derive(Clone, Debug)]
pub(super) struct Gauge {
    meter: Meter,
    moments: ChaCha8Rng,
    trembling: ChaCha8Rng,
    wander: f64,
    given: u64,
    /// When it will speak next.
    pub(super) next_t: Elapsed,
}

impl Gauge {
    /// A meter just switched on.
    pub(super) fn new(meter: Meter, seed: u64) -> Self {
        let mut gauge = Self {
            meter,
            moments: Chance::Moments.of(seed),
            trembling: Chance::Trembling.of(seed),
            wander: 0.0,
            given: 0,
            next_t: Elapsed::ZERO,
        };
        gauge.set_next();
        gauge
    }

    /// Jitter is taken around the grid and never adds up, so a long record keeps its rate.
    fn set_next(&mut self) {
        self.given += 1;
        let on_grid_s = number::f64_from_u64(self.given) * self.meter.period_s;
        let off_grid: f64 = self.moments.random_range(-1.0..=1.0);
        self.next_t = Elapsed::from_secs(on_grid_s + off_grid * self.meter.jitter_s);
    }

    /// What it shows when `true_a` flows at the moment that [`Gauge::next_t`] named.
    pub(super) fn show(&mut self, true_a: f64) -> Reading {
        let noise = self.meter.noise;
        let [white, step, work]: [f64; 3] =
            std::array::from_fn(|_| StandardNormal.sample(&mut self.trembling));
        let memory = (-self.meter.period_s / noise.wander_s).exp();
        self.wander = memory * self.wander + (1.0 - memory * memory).sqrt() * step;
        let seen_a = true_a * (1.0 + noise.share * work)
            + noise.white_a * white
            + noise.wander_a * self.wander;
        let value = if seen_a.abs() > self.meter.range_a {
            Measured::Over
        } else {
            Measured::Amps(Amps::rounded(seen_a, self.meter.decimals))
        };
        let t = self.next_t;
        self.set_next();
        Reading { t, value }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rehearsal::stories;

    fn amps(reading: Reading) -> f64 {
        match reading.value {
            Measured::Amps(amps) => amps.value_a(),
            Measured::Over => panic!("over-range"),
        }
    }

    #[test]
    fn a_still_current_is_shown_true_on_average_with_the_noise_asked_for() {
        let meter = stories::FALSE_FLOOR.meter;
        let mut gauge = Gauge::new(meter, 3);
        let shown: Vec<f64> = (0..20_000).map(|_| amps(gauge.show(0.5))).collect();
        let n = number::f64_from_usize(shown.len());
        let mean = shown.iter().sum::<f64>() / n;
        let variance = shown.iter().map(|a| (a - mean).powi(2)).sum::<f64>() / n;
        let noise = meter.noise;
        // The parts are independent, and rounding to q adds q²/12 (GUM 4.3.7, from memory).
        let expected = noise.white_a.powi(2)
            + noise.wander_a.powi(2)
            + (0.5 * noise.share).powi(2)
            + 0.001_f64.powi(2) / 12.0;
        assert!((mean - 0.5).abs() < 0.000_2, "{mean}");
        assert!(
            (variance / expected - 1.0).abs() < 0.1,
            "{variance} {expected}"
        );
    }

    #[test]
    fn the_wander_remembers_as_long_as_asked() {
        let mut meter = stories::FALSE_FLOOR.meter;
        meter.decimals = 9;
        meter.noise = crate::rehearsal::story::MeterNoise {
            white_a: 0.0,
            wander_a: 0.001,
            wander_s: 2.0,
            share: 0.0,
        };
        let mut gauge = Gauge::new(meter, 5);
        let shown: Vec<f64> = (0..20_000).map(|_| amps(gauge.show(0.0))).collect();
        let power: f64 = shown.iter().map(|a| a * a).sum();
        let lagged: f64 = shown.windows(2).map(|pair| pair[0] * pair[1]).sum();
        // An AR(1) process has lag-one correlation exp(-dt/tau) (textbook, from memory).
        let expected = (-0.5_f64 / 2.0).exp();
        assert!((lagged / power - expected).abs() < 0.02);
    }

    #[test]
    fn moments_rise_and_keep_the_rate() {
        let mut gauge = Gauge::new(stories::FALSE_FLOOR.meter, 9);
        let times: Vec<Elapsed> = (0..7200).map(|_| gauge.show(0.0).t).collect();
        assert!(times.windows(2).all(|pair| pair[0] < pair[1]));
        assert!((times[7199].secs() - 3600.0).abs() < 0.1);
    }
}
