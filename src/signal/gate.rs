//! The spike gate: a lone reading far from both neighbours is no change of level.
//!
//! A median of three, one reading late (Hampel's identifier with half width 1). The reading stays
//! in the record and on the plot; only the detectors do not see it.

use crate::reading::Elapsed;

/// A current and its moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// When.
    pub t: Elapsed,
    /// What the meter showed, in ampere.
    pub a: f64,
}

/// A sample as it was written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Written {
    /// What.
    pub sample: Sample,
    /// Its last place, in ampere.
    pub resolution_a: f64,
}

/// A spike is at least this far from its neighbours: below it, no phase depends on one reading.
const SPIKE_MIN_A: f64 = 0.020;
/// ... and this share of its own size.
const SPIKE_SHARE: f64 = 0.10;
/// ... and this many times the noise.
const SPIKE_SIGMAS: f64 = 6.0;
/// ... and this many times the distance of the two neighbours, else it stands on a slope.
const SPIKE_SPREAD: f64 = 3.0;
/// Slower than this a lone reading may be a true short wake.
const SPIKE_SPAN_S: f64 = 5.0;

/// Holds two readings back to judge the middle one.
#[derive(Clone, Debug, Default)]
pub struct Gate {
    before: Option<Sample>,
    middle: Option<Written>,
}

impl Gate {
    /// Takes a reading and lets the one before it through, saying whether it was a spike.
    pub fn pass(&mut self, next: Written, sigma_a: f64) -> Option<(Written, bool)> {
        let (before, middle) = (self.before, self.middle);
        let spike = match (before, middle) {
            (Some(before), Some(middle)) => is_spike(before, middle.sample, next.sample, sigma_a),
            _ => false,
        };
        if !spike {
            self.before = middle.map(|middle| middle.sample);
        }
        self.middle = Some(next);
        middle.map(|middle| (middle, spike))
    }

    /// Lets the held reading through: evidence stops here.
    pub fn flush(&mut self) -> Option<Written> {
        self.before = None;
        self.middle.take()
    }
}

fn is_spike(before: Sample, middle: Sample, next: Sample, sigma_a: f64) -> bool {
    let outside = (middle.a - before.a.max(next.a)).max(before.a.min(next.a) - middle.a);
    // Asked first: hardly any reading comes past it.
    if outside <= SPIKE_MIN_A || next.t.secs_since(before.t) >= SPIKE_SPAN_S {
        return false;
    }
    let far = (SPIKE_SIGMAS * sigma_a)
        .max(SPIKE_SPREAD * (before.a - next.a).abs())
        .max(SPIKE_SHARE * middle.a.abs());
    outside > far
}

#[cfg(test)]
mod tests {
    use super::*;

    fn through(values: &[f64]) -> Vec<f64> {
        let mut gate = Gate::default();
        let mut t_ms = 0;
        let mut passed = Vec::new();
        for &a in values {
            t_ms += 500;
            let next = Written {
                sample: Sample {
                    t: Elapsed::from_ms(t_ms),
                    a,
                },
                resolution_a: 0.001,
            };
            passed.extend(
                gate.pass(next, 0.001)
                    .filter(|(_, spike)| !spike)
                    .map(|(passed, _)| passed.sample),
            );
        }
        passed.extend(gate.flush().map(|held| held.sample));
        passed.into_iter().map(|sample| sample.a).collect()
    }

    #[test]
    fn a_lone_spike_is_dropped_and_a_step_is_not() {
        assert_eq!(
            through(&[0.05, 0.05, 3.0, 0.05, 0.05]),
            [0.05, 0.05, 0.05, 0.05]
        );
        assert_eq!(
            through(&[0.05, 0.05, 3.0, 3.0, 3.0]),
            [0.05, 0.05, 3.0, 3.0, 3.0]
        );
        assert_eq!(through(&[0.05, 0.05, 0.06, 0.05]), [0.05, 0.05, 0.06, 0.05]);
    }
}
