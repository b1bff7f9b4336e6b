//! The record in one-second blocks: what the plot draws and what levels are computed from.

use crate::reading::Elapsed;

/// One second of readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Block {
    /// When its first reading came.
    pub from: Elapsed,
    /// Mean of its readings, in ampere.
    pub mean_a: f32,
    /// Lowest reading.
    pub min_a: f32,
    /// Highest reading.
    pub max_a: f32,
    /// How many readings; zero for a block of nothing but over-range.
    pub count: u16,
    /// Whether any reading in it was over-range.
    pub over: bool,
    /// Whether evidence is missing between the block before and this one: not to be joined.
    pub after_gap: bool,
}

/// Extremes of a stretch of the record.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extent {
    /// Lowest reading, in ampere.
    pub min_a: f32,
    /// Highest reading, in ampere.
    pub max_a: f32,
    /// Mean of the blocks, in ampere.
    pub mean_a: f32,
    /// Whether any reading was over-range.
    pub over: bool,
}

/// All blocks so far, in order of time.
#[derive(Clone, Debug, Default)]
pub struct Track {
    blocks: Vec<Block>,
}

impl Track {
    /// The closed blocks, in order of time.
    #[must_use]
    pub fn blocks(&self) -> &[Block] {
        &self.blocks
    }

    /// The blocks that begin at or after `from` and before `to`.
    #[must_use]
    pub fn between(&self, from: Elapsed, to: Elapsed) -> &[Block] {
        let start = self.blocks.partition_point(|block| block.from < from);
        let end = self.blocks.partition_point(|block| block.from < to);
        self.blocks.get(start..end.max(start)).unwrap_or(&[])
    }

    /// Extremes of the readings in `from..to`; `None` where there is no reading.
    #[must_use]
    pub fn extent(&self, from: Elapsed, to: Elapsed) -> Option<Extent> {
        let _ = (from, to);
        None
    }
}
