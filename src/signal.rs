//! What the current itself shows: blocks, changes of level, flat stretches, gaps, charge.
//!
//! Pure, and knows nothing of marks, limits or time-outs: those are knowledge from outside the
//! signal and belong to `judge`. So a mark struck or placed late, or a changed limit, never asks
//! for a second pass over the readings.

pub mod track;

use crate::reading::{Elapsed, Measured};
use track::Track;

/// Folds readings, one at a time, into what the signal shows.
#[derive(Clone, Debug, Default)]
pub struct Classifier {
    track: Track,
}

impl Classifier {
    /// Takes one reading into account.
    pub fn step(&mut self, _t: Elapsed, _value: Measured) {}

    /// Evidence stops here: what comes next is not joined to what came before.
    pub fn interrupt(&mut self, _t: Elapsed) {}

    /// The record in one-second blocks.
    #[must_use]
    pub const fn track(&self) -> &Track {
        &self.track
    }
}
