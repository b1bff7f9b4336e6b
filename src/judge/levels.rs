//! The settled level of each fuse state: what the ledger and its contradictions are made of.

use super::phase::{Settling, Walk};
use super::uncertainty::{self, Estimate};
use crate::session::Session;

/// No car with its battery connected draws less: clocks and sleeping modules take milliamperes
/// (common practice, no source).
const DEAD_A: f64 = 0.001;

/// Whether this is the level of a meter that sees no current at all: a blown fuse of its own, or a
/// lead that has come off.
#[must_use]
pub const fn is_dead(level_a: f64) -> bool {
    level_a.abs() < DEAD_A
}

/// A settled level, and what was off its supply when it was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StateLevel<'a> {
    /// How many removals and refits came before it.
    pub fuse_state: usize,
    /// What was off its supply, sorted.
    pub out: &'a [String],
    /// The level.
    pub level: Estimate,
}

/// The last settled level of each fuse state, in order: wakes settle again and again at the same
/// one. A meter that sees nothing tells no level.
#[must_use]
pub fn levels<'a>(session: &Session, walk: &'a Walk) -> Vec<StateLevel<'a>> {
    walk.settlings
        .chunk_by(|a, b| a.fuse_state == b.fuse_state)
        .filter_map(<[Settling]>::last)
        .filter_map(|settling| {
            Some(StateLevel {
                fuse_state: settling.fuse_state,
                out: walk.states.get(settling.fuse_state)?,
                level: uncertainty::estimate(session, settling.data_from, settling.to)
                    .filter(|level| !is_dead(level.a))?,
            })
        })
        .collect()
}
