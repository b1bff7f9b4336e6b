//! The newest raw readings: what a change is located in.

use super::gate::Sample;
use crate::reading::Elapsed;

/// Raw readings kept to locate a change: two minutes at up to thirty a second.
const KEPT_MAX: usize = 4096;
const KEPT_S: f64 = 130.0;
/// Never fewer than this are kept, however slow the meter.
const KEPT_MIN: usize = 64;

/// A bounded number of readings, oldest first; what is too old goes when its room is wanted.
#[derive(Clone, Debug, Default)]
pub struct Recent {
    kept: Vec<Sample>,
}

impl Recent {
    /// Takes the newest reading.
    #[inline]
    pub fn push(&mut self, sample: Sample) {
        if self.kept.len() == self.kept.capacity() {
            self.make_room();
        }
        self.kept.push(sample);
    }

    #[cold]
    fn make_room(&mut self) {
        self.forget();
        // As much room as there are readings: those are moved once each.
        self.kept.reserve(self.kept.len().max(KEPT_MIN));
    }

    /// The readings from `start` on, without those too old to matter.
    pub fn since(&mut self, start: Elapsed) -> &[Sample] {
        self.forget();
        let first = self.kept.partition_point(|sample| sample.t < start);
        self.kept.get(first..).unwrap_or(&[])
    }

    fn forget(&mut self) {
        let Some(now) = self.kept.last().map(|newest| newest.t) else {
            return;
        };
        let is_old = |sample: &Sample| now.secs_since(sample.t) > KEPT_S;
        let (count, old) = (self.kept.len(), self.kept.partition_point(is_old));
        let unneeded = old.min(count.saturating_sub(KEPT_MIN));
        self.kept
            .drain(..unneeded.max(count.saturating_sub(KEPT_MAX)));
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
            });
        }
        let kept = recent.since(Elapsed::ZERO);
        assert_eq!(kept.len(), 261);
        assert_eq!(recent.since(Elapsed::from_ms(499_000)).len(), 2);
    }
}
