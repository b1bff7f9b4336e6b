//! One second of readings on its way to becoming a block.

use super::gate::Written;
use super::track::{Block, Moment, Reads};
use crate::reading::Elapsed;
use crate::reading::number::{f32_from_f64, f64_from_i64};

/// Gathers the readings of one second.
#[derive(Clone, Debug)]
pub struct Second {
    start_ms: i64,
    from: Elapsed,
    sum_a: f64,
    count: u32,
    gated_sum_a: f64,
    gated: u32,
    min_a: f64,
    max_a: f64,
    resolution_a: f64,
    over: bool,
    /// How many readings were zero, and the lowest of the others.
    zeros: u32,
    lowest_other_a: f64,
}

/// A display as fine as this shows no car's current as zero, in ampere; a coarser one repeats itself
/// honestly (common practice, no source) ...
pub const FINE_A: f64 = 0.002_5;
/// ... and a zero among others above this, in ampere, is a lead that is loose or a contact that arcs
/// (common practice, no source).
const OTHERS_A: f64 = 0.010;
/// Zero, but for a meter's offset, in ampere: half of what no car draws less than.
pub const ZERO_A: f64 = 0.000_5;

impl Second {
    /// Which second of the record `t` falls into.
    pub const fn index_of(t: Elapsed) -> i64 {
        t.ms().div_euclid(1000)
    }

    /// The second that begins with something seen at `t`.
    pub const fn starting(t: Elapsed) -> Self {
        Self {
            start_ms: Self::index_of(t) * 1000,
            from: t,
            sum_a: 0.0,
            count: 0,
            gated_sum_a: 0.0,
            gated: 0,
            min_a: f64::INFINITY,
            max_a: f64::NEG_INFINITY,
            resolution_a: f64::INFINITY,
            over: false,
            zeros: 0,
            lowest_other_a: f64::INFINITY,
        }
    }

    /// Whether `t` belongs to this second.
    pub const fn holds(&self, t: Elapsed) -> bool {
        let since_ms = t.ms().saturating_sub(self.start_ms);
        0 <= since_ms && since_ms < 1000
    }

    /// Adds a reading; a spike stays out of what the detectors see, and never out of the mean.
    pub fn add(&mut self, written: Written, spike: bool) {
        let sample = written.sample;
        self.resolution_a = self.resolution_a.min(written.resolution_a);
        self.min_a = self.min_a.min(sample.a);
        if sample.a.abs() < ZERO_A {
            self.zeros = self.zeros.saturating_add(1);
        } else {
            self.lowest_other_a = self.lowest_other_a.min(sample.a);
        }
        self.max_a = self.max_a.max(sample.a);
        self.sum_a += sample.a;
        self.count = self.count.saturating_add(1);
        if !spike {
            self.gated_sum_a += sample.a;
            self.gated = self.gated.saturating_add(1);
        }
    }

    /// Adds an over-range reading.
    pub const fn add_over(&mut self) {
        self.over = true;
    }

    /// The mean without lone spikes, for the detectors, in ampere; `None` of nothing but spikes.
    pub fn gated_a(&self) -> Option<f64> {
        (self.gated > 0).then(|| self.gated_sum_a / f64_from_i64(i64::from(self.gated)))
    }

    /// The finished block.
    pub fn close(&self, after_gap: bool) -> Block {
        let is_loose = self.zeros > 0
            && self.resolution_a <= FINE_A
            && self.lowest_other_a.is_finite()
            && self.lowest_other_a > OTHERS_A;
        let (dropped, min_a) = if is_loose {
            (self.zeros, self.lowest_other_a)
        } else {
            (0, self.min_a)
        };
        let read = self.count.saturating_sub(dropped);
        let count = i64::from(read);
        let mean_a = if count > 0 {
            self.sum_a / f64_from_i64(count)
        } else {
            0.0
        };
        Block {
            from: Moment::of(self.from),
            reads: Reads::of(u16::try_from(read).unwrap_or(u16::MAX))
                .over(self.over)
                .after_gap(after_gap),
            mean_a: f32_from_f64(mean_a),
            min_a: f32_from_f64(min_a),
            max_a: f32_from_f64(self.max_a),
            resolution_a: f32_from_f64(self.resolution_a),
        }
    }
}
