//! The record in one-second blocks: what the plot draws and what levels are computed from.

mod block;
mod pyramid;

use crate::reading::Elapsed;
pub use block::{Block, Moment, Reads};
use pyramid::Pyramid;

/// The place that the display has now is the finest written in this many blocks: it does not change
/// with every lost zero.
const STEADY_RESOLUTION: usize = 10;

/// Those of `blocks` that hold a reading.
pub fn read(blocks: &[Block]) -> impl DoubleEndedIterator<Item = &Block> {
    blocks.iter().filter(|block| block.is_read())
}

/// What was read in `blocks`, a mean for each, in ampere.
pub fn values(blocks: &[Block]) -> Vec<f64> {
    read(blocks).map(Block::a).collect()
}

/// Extremes of a stretch of the record.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extent {
    /// Lowest reading, in ampere; infinite when there was nothing but over-range.
    pub min_a: f32,
    /// Highest reading, in ampere; minus infinite when there was nothing but over-range.
    pub max_a: f32,
    /// Whether any reading was over-range.
    pub over: bool,
}

impl Extent {
    /// Of nothing at all: the neutral element of [`Extent::join`].
    const NOTHING: Self = Self {
        min_a: f32::INFINITY,
        max_a: f32::NEG_INFINITY,
        over: false,
    };

    const fn of(block: &Block) -> Self {
        Self {
            min_a: block.min_a,
            max_a: block.max_a,
            over: block.is_over(),
        }
    }

    fn join(self, other: Self) -> Self {
        Self {
            min_a: self.min_a.min(other.min_a),
            max_a: self.max_a.max(other.max_a),
            over: self.over || other.over,
        }
    }
}

/// All blocks so far, in order of time.
#[derive(Clone, Debug, Default)]
pub struct Track {
    blocks: Vec<Block>,
    pyramid: Pyramid,
}

impl Track {
    /// Adds a closed block. Blocks come in order of time.
    pub fn push(&mut self, block: Block) {
        self.blocks.push(block);
        self.pyramid.push(&self.blocks);
    }

    /// The same track as it stood at `t`.
    #[must_use]
    pub fn until(&self, t: Elapsed) -> Self {
        let mut earlier = Self::default();
        for block in self.between(Elapsed::from_ms(i64::MIN), t) {
            earlier.push(*block);
        }
        earlier
    }

    /// The closed blocks, in order of time.
    pub fn blocks(&self) -> &[Block] {
        &self.blocks
    }

    /// The blocks that begin at or after `from` and before `to`.
    pub fn between(&self, from: Elapsed, to: Elapsed) -> &[Block] {
        let (start, end) = self.bounds(from, to);
        self.blocks.get(start..end).unwrap_or(&[])
    }

    /// What was read in `from..to`, a mean for each second, in ampere.
    pub fn values(&self, from: Elapsed, to: Elapsed) -> Vec<f64> {
        values(self.between(from, to))
    }

    /// Extremes of the readings in `from..to`; `None` where there is no reading.
    ///
    /// Costs the logarithm of the number of blocks, so that a week can be drawn column by column.
    pub fn extent(&self, from: Elapsed, to: Elapsed) -> Option<Extent> {
        let (start, end) = self.bounds(from, to);
        (start < end).then(|| self.pyramid.extent(&self.blocks, start, end))
    }

    /// The finest place written among `blocks`, in ampere: a lost last zero, or a coarser range for
    /// a moment, does not make the rest coarser.
    pub fn finest_a(blocks: &[Block]) -> f64 {
        let places = read(blocks).map(|block| block.resolution_a);
        let finest = places.fold(f32::INFINITY, f32::min);
        if finest.is_finite() {
            f64::from(finest)
        } else {
            0.0
        }
    }

    /// The meter's last place now, in ampere.
    pub(super) fn steady_resolution_a(&self) -> f64 {
        let newest = self.blocks.len().saturating_sub(STEADY_RESOLUTION);
        Self::finest_a(self.blocks.get(newest..).unwrap_or(&[]))
    }

    /// The first block that begins at or after `from`, and the first that begins at or after `to`.
    pub fn bounds(&self, from: Elapsed, to: Elapsed) -> (usize, usize) {
        let start = self.blocks.partition_point(|block| block.begins() < from);
        let end = self.blocks.partition_point(|block| block.begins() < to);
        (start, end.max(start))
    }
}
