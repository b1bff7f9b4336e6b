//! What the signal shows beside its blocks: changes and gaps.

use crate::reading::Elapsed;

/// A change of level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change {
    /// The first reading of the new level.
    pub t: Elapsed,
    /// Level before, in ampere.
    pub from_a: f64,
    /// Level after, in ampere.
    pub to_a: f64,
    /// A slope rather than a step: it ends a segment but is no step.
    pub ramp: bool,
    /// It happened somewhere in a gap that ends at `t`.
    pub in_gap: bool,
}

/// Two alarms closer than this in one direction are one edge cut by the blocks.
const ONE_EDGE_S: f64 = 3.5;

impl Change {
    /// Whether `next` is the rest of this change rather than another one.
    pub fn is_one_edge_with(&self, next: &Self) -> bool {
        next.t.secs_since(self.t) < ONE_EDGE_S
            && (self.to_a > self.from_a) == (next.to_a > next.from_a)
    }
}

/// A stretch without evidence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// The last reading before it.
    pub from: Elapsed,
    /// The first reading after it.
    pub to: Elapsed,
}

impl Gap {
    /// How long it lasts, in seconds.
    pub fn lasts_s(&self) -> f64 {
        self.to.secs_since(self.from)
    }
}
