//! The stretch since the last change: its level, and when a block no longer belongs to it.
//!
//! Two alarms: the median of three blocks leaves the level, or a two-sided cumulative sum trips.
//! The allowance is wide instead of exact, because real noise is correlated.

use super::cusum::Cusum;
use crate::reading::{Elapsed, number::f64_from_u64};

/// Smaller lasting changes are left to the slow test.
const ALLOWED_MIN_A: f64 = 0.005;
/// Awake modules wander in proportion to what they draw: by this share until the segment has shown
/// its own spread, and then still by the other.
const ALLOWED_SHARE_FRESH: f64 = 0.03;
const ALLOWED_SHARE: f64 = 0.02;
const ALLOWED_SIGMAS: f64 = 5.0;
/// A display toggling between two places is no change.
const ALLOWED_PLACES: f64 = 1.5;
/// Once the segment's own spread is known it counts too, and catches wander slower than a block.
const ALLOWED_SPREADS: f64 = 4.5;
const SPREAD_FROM_BLOCKS: u64 = 30;

/// The blocks since the last change.
#[derive(Clone, Debug)]
pub struct Segment {
    from: Elapsed,
    count: u64,
    mean_a: f64,
    squares: f64,
    sums: Cusum,
    last: [f64; 3],
}

impl Segment {
    /// A segment that begins at `from`, expected near `level_a` until its blocks say otherwise.
    pub fn starting(from: Elapsed, level_a: f64) -> Self {
        Self {
            from,
            count: 0,
            mean_a: level_a,
            squares: 0.0,
            sums: Cusum::default(),
            last: [level_a; 3],
        }
    }

    /// When it began.
    pub const fn from(&self) -> Elapsed {
        self.from
    }

    /// Its mean so far, in ampere.
    pub const fn level_a(&self) -> f64 {
        self.mean_a
    }

    /// How many blocks it has.
    pub const fn count(&self) -> u64 {
        self.count
    }

    /// The standard deviation of its blocks, in ampere; `None` for fewer than two.
    pub fn spread_a(&self) -> Option<f64> {
        (self.count > 1).then(|| (self.squares / f64_from_u64(self.count - 1)).sqrt())
    }

    /// How far a block may lie from the level.
    pub fn allowance_a(&self, sigma_a: f64, resolution_a: f64) -> f64 {
        let known = self.count >= SPREAD_FROM_BLOCKS;
        let spread_a = self.spread_a().filter(|_| known).unwrap_or(0.0);
        let share = if known {
            ALLOWED_SHARE
        } else {
            ALLOWED_SHARE_FRESH
        };
        ALLOWED_MIN_A
            .max(ALLOWED_SIGMAS * sigma_a)
            .max(ALLOWED_PLACES * resolution_a)
            .max(share * self.mean_a.abs())
            .max(ALLOWED_SPREADS * spread_a)
    }

    /// Takes a block; `true` when it and its neighbours no longer belong to this segment.
    pub fn push(&mut self, value_a: f64, sigma_a: f64, resolution_a: f64) -> bool {
        let allowed_a = self.allowance_a(sigma_a, resolution_a);
        self.last.rotate_left(1);
        let [.., newest] = &mut self.last;
        *newest = value_a;
        if self.count == 0 {
            self.last = [value_a; 3];
            self.mean_a = value_a;
        }
        let off_a = value_a - self.mean_a;
        let tripped = self.sums.push(off_a / allowed_a);
        if (median_of_three(self.last) - self.mean_a).abs() > allowed_a || tripped {
            return true;
        }
        self.learn(value_a);
        false
    }

    /// Takes a block that is known to belong.
    pub fn learn(&mut self, value_a: f64) {
        self.count += 1;
        let off_a = value_a - self.mean_a;
        self.mean_a += off_a / f64_from_u64(self.count);
        self.squares += off_a * (value_a - self.mean_a);
    }
}

/// The median of three values.
pub const fn median_of_three([a, b, c]: [f64; 3]) -> f64 {
    a.max(b).min(a.min(b).max(c))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_new_level_raises_the_alarm_by_its_second_block() {
        let mut segment = Segment::starting(Elapsed::ZERO, 0.2);
        for _ in 0..40 {
            assert!(!segment.push(0.2, 0.001, 0.001));
        }
        assert!(
            !segment.push(0.185, 0.001, 0.001),
            "one block may be a glitch"
        );
        assert!(segment.push(0.185, 0.001, 0.001));
    }

    #[test]
    fn a_shift_within_the_allowance_trips_the_sum() {
        let mut segment = Segment::starting(Elapsed::ZERO, 0.1);
        for _ in 0..200 {
            assert!(!segment.push(0.1, 0.0005, 0.001));
        }
        assert!((0..40).any(|_| segment.push(0.1045, 0.0005, 0.001)));
    }

    #[test]
    fn a_spread_that_was_seen_counts_more_than_a_share_of_the_level() {
        let mut segment = Segment::starting(Elapsed::ZERO, 2.0);
        let wiggle = |i: u32| if i.is_multiple_of(2) { 0.005 } else { -0.005 };
        for i in 0..60 {
            assert!(!segment.push(2.0 + wiggle(i), 0.005, 0.001));
        }
        // 50 mA: ten times the noise, and no more than 2.5 % of 2 A.
        assert!((0..3).any(|i| segment.push(1.95 + wiggle(i), 0.005, 0.001)));
    }
}
