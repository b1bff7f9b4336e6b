//! The newest raw readings: what a change is located in.

use std::collections::VecDeque;

use super::gate::Sample;
use crate::reading::Elapsed;

/// Raw readings kept to locate a change: two minutes at up to thirty a second.
const KEPT_MAX: usize = 4096;
const KEPT_S: f64 = 130.0;
/// Never fewer than this are kept, however slow the meter.
const KEPT_MIN: usize = 64;
/// A bounded number of readings, oldest first.
#[derive(Clone, Debug, Default)]
pub struct Recent {
    kept: VecDeque<Sample>,
}

impl Recent {
    /// Takes the newest reading and forgets those too old to matter.
    pub fn push(&mut self, sample: Sample) {
        self.kept.push_back(sample);
        while self.kept.len() > KEPT_MAX || (self.kept.len() > KEPT_MIN && self.is_stale(sample.t))
        {
            self.kept.pop_front();
        }
    }

    fn is_stale(&self, now: Elapsed) -> bool {
        self.kept
            .front()
            .is_some_and(|oldest| now.secs_since(oldest.t) > KEPT_S)
    }

    /// The readings from `start` on.
    pub fn since(&mut self, start: Elapsed) -> &[Sample] {
        let samples = self.kept.make_contiguous();
        let first = samples.partition_point(|sample| sample.t < start);
        samples.get(first..).unwrap_or(&[])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_older_than_two_minutes_is_forgotten() {
        let mut recent = Recent::default();
        for i in 0..1000 {
            recent.push(Sample {
                t: Elapsed::from_ms(i * 500),
                a: 0.05,
                resolution_a: 0.001,
            });
        }
        let kept = recent.since(Elapsed::ZERO);
        assert_eq!(kept.len(), 261);
        assert_eq!(recent.since(Elapsed::from_ms(499_000)).len(), 2);
    }
}
