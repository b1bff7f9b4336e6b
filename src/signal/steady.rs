//! Flat or not: an equivalence test of the drift over several windows.
//!
//! Flat means that the slope, with its own uncertainty, could not move the level by more than a
//! small amount in five minutes ("A comparison of the two one-sided tests procedure and the power
//! approach for assessing the equivalence of average bioavailability", J. Pharmacokinet. Biopharm.
//! 15, 1987, 657). Flatness alone never proves sleep: a 2 A plateau is flat.

use std::collections::VecDeque;

use crate::reading::number::{f64_from_i64, f64_from_u64, f64_from_usize};

/// Width of the bins that the slope is fitted to, and how often the test is made.
pub const BIN_S: i64 = 5;
/// The windows, in seconds. Several, because a quiet car is flat in two minutes and a noisy one
/// needs ten.
pub const WINDOWS_S: [i64; 8] = [60, 90, 120, 150, 180, 240, 360, 600];

/// The drift that matters is the one over this time: about a re-settle.
const HORIZON_S: f64 = 300.0;
const DRIFT_MIN_A: f64 = 0.002;
const DRIFT_SHARE: f64 = 0.03;
const DRIFT_SPREADS: f64 = 0.75;
/// Calm is flat with this many times the allowance: enough where a drift does no harm.
const CALM: f64 = 2.5;
/// A coarse display cannot show a drift smaller than half its last place.
const COARSE_A: f64 = 0.005;
/// One-sided 95 % of Student's t for the usual ten or more degrees of freedom.
const T_ONE_SIDED: f64 = 1.7;
const GROUPS: usize = 24;
const GROUPS_MIN: usize = 6;

/// What the test said at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flatness {
    /// Bit `i` set: flat over `WINDOWS_S[i]`.
    pub windows: u8,
    /// The same with a wider allowance.
    pub calm: u8,
    /// Mean of the last 30 s, in ampere.
    pub level_a: f64,
}

/// How fast a level drifts, in ampere a second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slope {
    /// The slope.
    pub a_per_s: f64,
    /// Its standard error.
    pub se_a_per_s: f64,
}

#[derive(Clone, Copy, Debug)]
struct Bin {
    index: i64,
    count: u64,
    sum_a: f64,
    squares: f64,
}

/// Five-second bins of the present segment.
#[derive(Clone, Debug, Default)]
pub struct Steady {
    bins: VecDeque<Bin>,
}

impl Steady {
    /// Takes a block of second `second`; when a bin is full, the test is made.
    pub fn push(&mut self, second: i64, value_a: f64, resolution_a: f64) -> Option<Flatness> {
        let index = second.div_euclid(BIN_S);
        let closed = self.bins.back().is_some_and(|bin| bin.index != index);
        let flatness = if closed {
            Some(self.test(resolution_a))
        } else {
            None
        };
        if closed || self.bins.is_empty() {
            let oldest = index - WINDOWS_S.iter().max().copied().unwrap_or(0) / BIN_S;
            while self.bins.front().is_some_and(|bin| bin.index < oldest) {
                self.bins.pop_front();
            }
            self.bins.push_back(Bin {
                index,
                count: 0,
                sum_a: 0.0,
                squares: 0.0,
            });
        }
        if let Some(bin) = self.bins.back_mut() {
            bin.count += 1;
            bin.sum_a += value_a;
            bin.squares += value_a * value_a;
        }
        flatness
    }

    /// Forgets everything: a new segment begins.
    pub fn restart(&mut self) {
        self.bins.clear();
    }

    fn test(&self, resolution_a: f64) -> Flatness {
        let last = self.bins.back().map_or(0, |bin| bin.index);
        let (mut windows, mut calm) = (0, 0);
        for (bit, window_s) in WINDOWS_S.iter().enumerate() {
            let drift = self.drift_over(last, window_s / BIN_S, resolution_a);
            windows |= u8::from(drift.is_some_and(|drift| drift <= 1.0)) << bit;
            calm |= u8::from(drift.is_some_and(|drift| drift <= CALM)) << bit;
        }
        let recent = self.bins.iter().filter(|bin| bin.index > last - 30 / BIN_S);
        let (sum_a, count) = recent.fold((0.0, 0), |(s, n), bin| (s + bin.sum_a, n + bin.count));
        Flatness {
            windows,
            calm,
            level_a: sum_a / f64_from_u64(count.max(1)),
        }
    }

    /// The drift over a window of `length` bins, in allowances; `None` without enough of them.
    fn drift_over(&self, last: i64, length: i64, resolution_a: f64) -> Option<f64> {
        let start = self.window(last, length)?;
        let (mut count, mut sum_a, mut squares) = (0, 0.0, 0.0);
        for bin in self.bins.range(start..) {
            count += bin.count;
            sum_a += bin.sum_a;
            squares += bin.squares;
        }
        let n = f64_from_u64(count);
        let level_a = sum_a / n;
        let spread_a = (squares / n - level_a * level_a).max(0.0).sqrt();
        let coarse_a = if resolution_a >= COARSE_A {
            resolution_a / 2.0
        } else {
            0.0
        };
        let allowed_a = DRIFT_MIN_A
            .max(DRIFT_SHARE * level_a.abs())
            .max(DRIFT_SPREADS * spread_a)
            .max(coarse_a);
        let slope = self.slope_from(start)?;
        let worst = slope.a_per_s.abs() + T_ONE_SIDED * slope.se_a_per_s;
        Some(worst * HORIZON_S / allowed_a)
    }

    /// The slope over the newest `window_s` seconds; `None` when the level is younger than that.
    #[must_use]
    pub fn slope_over(&self, window_s: i64) -> Option<Slope> {
        let last = self.bins.back()?.index;
        self.slope_from(self.window(last, window_s / BIN_S)?)
    }

    /// Where a window of `length` bins begins; `None` without enough of them.
    fn window(&self, last: i64, length: i64) -> Option<usize> {
        let first = last - length + 1;
        let start = self.bins.partition_point(|bin| bin.index < first);
        let enough = self.bins.len() - start >= GROUPS_MIN;
        let oldest = self.bins.get(start).filter(|_| enough)?;
        (oldest.index <= first + length / 10).then_some(start)
    }

    fn slope_from(&self, start: usize) -> Option<Slope> {
        let size = (self.bins.len() - start).div_ceil(GROUPS);
        let first = self.bins.get(start)?.index;
        slope(self.bins.range(start..), size, first)
    }
}

/// Least-squares slope of the means of `size` neighbouring bins.
fn slope<'a>(bins: impl Iterator<Item = &'a Bin>, size: usize, first: i64) -> Option<Slope> {
    let (mut n, mut t1, mut a1, mut tt, mut ta, mut aa) = (0usize, 0.0, 0.0, 0.0, 0.0, 0.0);
    let (mut taken, mut count, mut sum_a, mut sum_t) = (0usize, 0u64, 0.0, 0.0);
    let mut add = |t: f64, a: f64| {
        n += 1;
        t1 += t;
        a1 += a;
        tt += t * t;
        ta += t * a;
        aa += a * a;
    };
    for bin in bins {
        let t_s = f64_from_i64((bin.index - first) * BIN_S);
        count += bin.count;
        sum_a += bin.sum_a;
        sum_t += t_s * f64_from_u64(bin.count);
        taken += 1;
        if taken == size {
            let weight = f64_from_u64(count);
            add(sum_t / weight, sum_a / weight);
            (taken, count, sum_a, sum_t) = (0, 0, 0.0, 0.0);
        }
    }
    if n < 5 {
        return None;
    }
    let groups = f64_from_usize(n);
    let stt = tt - t1 * t1 / groups;
    let sta = ta - t1 * a1 / groups;
    let saa = aa - a1 * a1 / groups;
    let b = sta / stt;
    let left = (saa - b * sta).max(0.0);
    Some(Slope {
        a_per_s: b,
        se_a_per_s: (left / (groups - 2.0) / stt).sqrt(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn windows_after(seconds: i64, value: impl Fn(i64) -> f64) -> u8 {
        let mut steady = Steady::default();
        (0..=seconds)
            .filter_map(|s| steady.push(s, value(s), 0.001))
            .last()
            .unwrap()
            .windows
    }

    #[test]
    fn a_level_is_flat_and_a_slope_is_not() {
        let wiggle = |s: i64| if s % 3 == 0 { 0.001 } else { -0.0005 };
        assert_eq!(windows_after(125, |s| 0.05 + wiggle(s)) & 0b100, 0b100);
        // 6 mA in five minutes at a level of 60 mA.
        assert_eq!(
            windows_after(300, |s| 0.06 - 2e-5 * f64_from_i64(s) + wiggle(s)),
            0
        );
    }

    #[test]
    fn a_window_longer_than_the_segment_is_never_flat() {
        assert_eq!(windows_after(100, |_| 2.0) & !0b11, 0);
    }
}
