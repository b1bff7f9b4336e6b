//! The settled level of each fuse state: what the ledger and its contradictions are made of.

use super::phase::{Settling, Walk};
use super::uncertainty::{self, Estimate};
use crate::session::Session;

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
/// one.
#[must_use]
pub fn levels<'a>(session: &Session, walk: &'a Walk) -> Vec<StateLevel<'a>> {
    walk.settlings
        .chunk_by(|a, b| a.fuse_state == b.fuse_state)
        .filter_map(<[Settling]>::last)
        .filter_map(|settling| {
            Some(StateLevel {
                fuse_state: settling.fuse_state,
                out: walk.states.get(settling.fuse_state)?,
                level: uncertainty::estimate(session, settling.data_from, settling.to)?,
            })
        })
        .collect()
}
