//! The slow test: a small lasting shift that no single block shows.
//!
//! The mean of the last minute against the ten minutes before it, in ten-second means. Finds
//! 8-12 mA under a noise of 5-8 mA.

use std::collections::VecDeque;

use crate::reading::number::f64_from_usize;
use crate::reading::statistics::{mean, squares_about};

const MEAN_S: i64 = 10;
const RECENT: usize = 6;
const BEFORE: usize = 60;
/// Below this there is no use for an alarm.
const SHIFT_MIN_A: f64 = 0.003;
const SHIFT_SHARE: f64 = 0.06;
const SHIFT_SIGMAS: f64 = 5.0;

/// Ten-second means of the present segment.
#[derive(Clone, Debug, Default)]
pub struct SlowShift {
    means: VecDeque<f64>,
    index: Option<i64>,
    sum_a: f64,
    count: usize,
}

impl SlowShift {
    /// Takes a block of second `second`; `true` when the last minute differs from before it.
    pub fn push(&mut self, second: i64, value_a: f64, resolution_a: f64) -> bool {
        let index = second.div_euclid(MEAN_S);
        let closed = self.index.is_some_and(|open| open != index) && self.count > 0;
        if closed {
            if self.means.len() == RECENT + BEFORE {
                self.means.pop_front();
            }
            self.means
                .push_back(self.sum_a / f64_from_usize(self.count));
            self.sum_a = 0.0;
            self.count = 0;
        }
        self.index = Some(index);
        self.sum_a += value_a;
        self.count += 1;
        closed && self.shifted(resolution_a)
    }

    /// Forgets everything: a new segment begins.
    pub fn restart(&mut self) {
        self.means.clear();
        self.index = None;
        self.sum_a = 0.0;
        self.count = 0;
    }

    fn shifted(&mut self, resolution_a: f64) -> bool {
        let means = self.means.make_contiguous();
        let Some((old, recent)) = means
            .split_last_chunk::<RECENT>()
            .filter(|(old, _)| old.len() >= RECENT)
        else {
            return false;
        };
        let n_before = f64_from_usize(old.len());
        let n_recent = f64_from_usize(RECENT);
        let (before_a, recent_a) = (mean(old), mean(recent));
        let spread_a = (squares_about(old, before_a) / (n_before - 1.0)).sqrt();
        let needed_a = SHIFT_MIN_A
            .max(SHIFT_SHARE * before_a.abs())
            .max(resolution_a / 2.0)
            .max(SHIFT_SIGMAS * spread_a * (1.0 / n_recent + 1.0 / n_before).sqrt());
        (recent_a - before_a).abs() > needed_a
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn eight_milliamps_more_are_found_within_two_minutes() {
        let mut shift = SlowShift::default();
        let noisy = |s: i64| if s % 2 == 0 { 0.005 } else { -0.005 };
        assert!(!(0..600).any(|s| shift.push(s, 0.110 + noisy(s), 0.001)));
        assert!((600..720).any(|s| shift.push(s, 0.118 + noisy(s), 0.001)));
    }
}
