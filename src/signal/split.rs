//! Where a change happened: the least-squares split of a stretch of readings into two levels.
//!
//! The split that leaves the least squared error is the maximum-likelihood place of one change
//! of mean under normal noise ("Inference about the change-point in a sequence of random
//! variables", Biometrika 57, 1970, 1). A straight line that leaves less is a ramp, not a step.

use super::gate::Sample;
use crate::reading::{Elapsed, number::f64_from_usize};

/// One change in a stretch of readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Split {
    /// The first reading of the new level.
    pub t: Elapsed,
    /// Mean before it, in ampere.
    pub before_a: f64,
    /// Mean from it on, in ampere.
    pub after_a: f64,
    /// Squared error explained, over the mean squared error left: the F statistic of the split.
    pub f: f64,
    /// Whether a straight line explains the stretch better than two levels.
    pub ramp: bool,
}

/// Finds the best split; `None` for fewer than four readings.
pub fn split(samples: &[Sample]) -> Option<Split> {
    if samples.len() < 4 {
        return None;
    }
    let n = f64_from_usize(samples.len());
    let mean_a = samples.iter().map(|s| s.a).sum::<f64>() / n;
    let total = samples.iter().map(|s| (s.a - mean_a).powi(2)).sum::<f64>();
    let mut partial = 0.0;
    let mut best = (0usize, 0.0);
    let mut best_partial = 0.0;
    for (i, sample) in samples.iter().enumerate().take(samples.len() - 1) {
        partial += sample.a - mean_a;
        let before = f64_from_usize(i + 1);
        let explained = partial * partial * n / (before * (n - before));
        if explained > best.1 {
            best = (i + 1, explained);
            best_partial = partial;
        }
    }
    let (at, explained) = best;
    let first = samples.get(at).filter(|_| at > 0)?;
    let before = f64_from_usize(at);
    let left = (total - explained).max(f64::MIN_POSITIVE);
    Some(Split {
        t: first.t,
        before_a: mean_a + best_partial / before,
        after_a: mean_a - best_partial / (n - before),
        f: explained * (n - 2.0) / left,
        ramp: line_error(samples, mean_a, total) < left,
    })
}

/// Squared error that the best straight line leaves.
fn line_error(samples: &[Sample], mean_a: f64, total: f64) -> f64 {
    let Some(origin) = samples.first().map(|s| s.t) else {
        return total;
    };
    let n = f64_from_usize(samples.len());
    let mean_t = samples.iter().map(|s| s.t.secs_since(origin)).sum::<f64>() / n;
    let (mut tt, mut ta) = (0.0, 0.0);
    for sample in samples {
        let t = sample.t.secs_since(origin) - mean_t;
        tt += t * t;
        ta += t * (sample.a - mean_a);
    }
    if tt > 0.0 {
        total - ta * ta / tt
    } else {
        total
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn samples(values: &[f64]) -> Vec<Sample> {
        let at = |i: usize| Elapsed::from_secs(f64_from_usize(i) * 0.5);
        values
            .iter()
            .enumerate()
            .map(|(i, &a)| Sample { t: at(i), a })
            .collect()
    }

    #[test]
    fn the_first_reading_of_the_new_level_is_found() {
        let found = split(&samples(&[2.0, 2.01, 1.99, 2.0, 0.2, 0.21, 0.2])).unwrap();
        assert_eq!(found.t, Elapsed::from_secs(2.0));
        assert!((found.before_a - 2.0).abs() < 0.01 && (found.after_a - 0.2).abs() < 0.01);
        assert!(!found.ramp && found.f > 1000.0);
    }

    #[test]
    fn a_slope_is_a_ramp() {
        let slope: Vec<f64> = (0..20).map(|i| 1.0 - 0.04 * f64::from(i)).collect();
        assert!(split(&samples(&slope)).unwrap().ramp);
    }
}
