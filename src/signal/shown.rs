//! What the signal shows beside its blocks: changes, flatness, gaps.

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
    /// How far a block of the old level could have strayed: what a real rise must exceed.
    pub allowance_a: f64,
}

/// What the flatness test said, every five seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tick {
    /// When.
    pub t: Elapsed,
    /// Mean of the last half minute, in ampere.
    pub level_a: f64,
    /// Bit `i` set: flat over `steady::WINDOWS_S[i]`.
    pub flat: u8,
}

/// A stretch without evidence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// The last reading before it.
    pub from: Elapsed,
    /// The first reading after it.
    pub to: Elapsed,
}
