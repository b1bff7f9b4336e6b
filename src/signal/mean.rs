//! The mean of a flat stretch and how well it is known, when neighbours resemble each other.
//!
//! The initial monotone sequence ("Practical Markov chain Monte Carlo", Statist. Sci. 7, 1992,
//! 473), widened for what a short series cannot know of its own slow wander.

use crate::reading::number::f64_from_usize;
use crate::reading::statistics::{self, squares_about};

/// A correlation time below this is noise of its own estimate.
const TAU_MIN: f64 = 0.5;
/// Fewer degrees of freedom are not believed either: t would run away.
const DOF_MIN: f64 = 4.0;
/// A short series has not seen its own slow wander, and a level is proven settled just when it
/// happens to look quiet: the variance of its mean grows by this many correlation times over its
/// length, and its degrees of freedom shrink by the divisor. Found by simulation, with noise that
/// is white or has correlation times of 2 and 4 s: from 60 blocks on, intervals of any stretch
/// hold in 95 to 98 %, those of a stretch just proven settled in 94 to 96 % (`benches/reach.rs`).
const UNSEEN: f64 = 16.0;
const DOF_DIVISOR: f64 = 3.0;
/// Longer series are halved by pair means before the autocorrelation is taken.
const GEYER_MAX: usize = 600;

/// A mean with its standard error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mean {
    /// The mean.
    pub value: f64,
    /// Its standard error, correlation taken into account.
    pub se: f64,
    /// Degrees of freedom of the standard error.
    pub dof: f64,
    /// Standard deviation of the values.
    pub sd: f64,
    /// How many values.
    pub count: usize,
}

/// Mean and standard error of a stationary series; `None` for fewer than two values.
pub fn mean(series: &[f64]) -> Option<Mean> {
    if series.len() < FEW {
        return few(series);
    }
    let n = f64_from_usize(series.len());
    let value = centre(series);
    let squares = n * autocovariance(series, value, 0);
    let sd = (squares / (n - 1.0)).sqrt();
    if squares <= 0.0 {
        return Some(Mean {
            value,
            se: 0.0,
            dof: n - 1.0,
            sd: 0.0,
            count: series.len(),
        });
    }
    let own = geyer(series);
    let fourths: f64 = series.iter().map(|x| (x - value).powi(4)).sum();
    // Where a few large deviations make the spread, it is known as badly as they are few (a
    // normal distribution has three times the square of its variance).
    let few = 3.0 * squares * squares / fourths;
    Some(Mean {
        value,
        se: own.se * (1.0 + UNSEEN * own.tau / n).sqrt(),
        dof: (own.dof.min(n - 1.0).min(few) / DOF_DIVISOR).max(DOF_MIN),
        sd,
        count: series.len(),
    })
}

/// Fewer values show no correlation.
const FEW: usize = 4;

/// Two or three values, typed by hand: as if they were independent, with the few degrees of freedom
/// that they have.
fn few(series: &[f64]) -> Option<Mean> {
    let n = f64_from_usize(series.len());
    let value = centre(series);
    let squares = squares_about(series, value);
    let sd = (squares / (n - 1.0)).sqrt();
    (series.len() > 1).then(|| Mean {
        value,
        se: sd / n.sqrt(),
        dof: n - 1.0,
        sd,
        count: series.len(),
    })
}

/// The arithmetic mean, with what the sum lost to rounding put back; not a number for nothing.
pub fn centre(series: &[f64]) -> f64 {
    let n = f64_from_usize(series.len());
    let rough = statistics::mean(series);
    rough + series.iter().map(|x| x - rough).sum::<f64>() / n
}

/// How values `lag` apart go together about `mean`, with the divisor n at every lag, which keeps
/// the sequence positive definite.
pub fn autocovariance(series: &[f64], mean: f64, lag: usize) -> f64 {
    let pairs = series.iter().zip(series.iter().skip(lag));
    let sum = pairs.map(|(a, b)| (a - mean) * (b - mean)).sum::<f64>();
    sum / f64_from_usize(series.len())
}

/// What the initial monotone sequence says of a series.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Correlated {
    /// Standard error of the mean.
    pub se: f64,
    /// Degrees of freedom of the standard error.
    pub dof: f64,
    /// Integrated correlation time, in values.
    pub tau: f64,
}

/// A display that toggles between two codes alternates by itself, which says nothing about how
/// well the current is known: the variance of a mean counts at least as this share of that of
/// independent values. The estimate for independent values strays less far from theirs.
const ALTERNATING_LEAST: f64 = 0.5;

/// Standard error of the mean by the initial monotone sequence.
pub fn geyer(series: &[f64]) -> Correlated {
    let count = series.len();
    let n = f64_from_usize(count);
    let mean = centre(series);
    let gamma = |lag: usize| autocovariance(series, mean, lag);
    let g0 = gamma(0);
    if count > GEYER_MAX {
        let halved = geyer(&pair_means(series));
        return Correlated {
            se: halved.se.max((ALTERNATING_LEAST * g0 / n).sqrt()),
            tau: 2.0 * halved.tau,
            ..halved
        };
    }
    if g0 <= 0.0 {
        return Correlated {
            se: 0.0,
            dof: n - 1.0,
            tau: 0.0,
        };
    }
    let mut sum = 0.0;
    let mut lowest = f64::INFINITY;
    for k in 0..count / 4 {
        let pair = gamma(2 * k) + gamma(2 * k + 1);
        if pair <= 0.0 {
            break;
        }
        lowest = lowest.min(pair);
        sum += lowest;
    }
    let variance = (2.0 * sum - g0).max(ALTERNATING_LEAST * g0);
    let tau = (variance / g0).max(0.0);
    let corrected = variance * n / (n - (n / 2.0).min(tau));
    Correlated {
        se: (corrected / n).sqrt(),
        dof: (n / tau.max(TAU_MIN) - 1.0).max(DOF_MIN),
        tau,
    }
}

fn pair_means(series: &[f64]) -> Vec<f64> {
    series
        .chunks_exact(2)
        .filter_map(|pair| {
            if let [a, b] = pair {
                Some((a + b) / 2.0)
            } else {
                None
            }
        })
        .collect()
}

/// The largest sensible window: half an hour of blocks. A longer one knows the mean no better
/// than the meter's own accuracy does.
pub const WINDOW_MAX_S: f64 = 1800.0;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_toggling_display_does_not_make_a_mean_sure() {
        for n in [60, 300, 900] {
            let series: Vec<f64> = (0..n)
                .map(|k| if k % 2 == 0 { 0.04 } else { 0.05 })
                .collect();
            let white = 0.005 / f64_from_usize(n).sqrt();
            let se = geyer(&series).se;
            assert!((0.6 * white..1.2 * white).contains(&se), "{n}: {se}");
        }
    }

    #[test]
    fn a_constant_has_no_spread() {
        let found = mean(&[0.05; 100]).unwrap();
        assert!((found.value - 0.05).abs() < 1e-12 && found.se.abs() < 1e-12);
    }

    #[test]
    fn a_strict_alternation_is_no_trap() {
        let series: Vec<f64> = (0..1201u32).map(|i| f64::from(i % 2)).collect();
        let found = mean(&series).unwrap();
        assert!(found.se.is_finite() && found.dof > 1.0, "{found:?}");
    }

    #[test]
    fn correlated_values_count_for_fewer() {
        // Blocks of ten equal values: a tenth of the independent ones.
        let series: Vec<f64> = (0..400u32)
            .map(|i| f64::from((i / 10).wrapping_mul(2_654_435_761) % 97))
            .collect();
        let found = mean(&series).unwrap();
        let naive = found.sd / 20.0;
        assert!(found.se > 2.0 * naive, "{} against {naive}", found.se);
    }
}
