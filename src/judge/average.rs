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
use super::uncertainty::{self, Estimate, K, guard};
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
pub fn average(rest: &Estimate, wakes: Wakes) -> Average {
    let mut extra = if wakes.regular.is_some() {
        regular(&wakes)
    } else {
        at_random(&wakes)
    };
    if wakes.are_glimpsed {
        // They may have lasted for no more than the reading.
        extra.se_low_a = extra.se_low_a.max(extra.a / guard());
    }
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
        se_low_a: a * (count - low) / count / guard(),
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
mod tests;
