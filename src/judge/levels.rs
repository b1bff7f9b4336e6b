//! The settled level of each state, in order: what the ledger and its contradictions are made of.

use std::collections::HashMap;
use std::sync::Arc;

use super::finding::Trial;
use super::rules::{DEAD_A, SAME_A, SAME_SHARE};
use super::stay::{Stay, Stays};
use super::uncertainty::Estimate;
use crate::session::mark::Did;

/// Whether this is the level of a meter that sees no current at all: a blown fuse of its own, or a
/// lead that has come off.
#[must_use]
pub const fn is_dead(level_a: f64) -> bool {
    level_a.abs() < DEAD_A
}

/// Whether two levels are the same level, but for what any car does by itself.
#[must_use]
pub fn same(one_a: f64, other_a: f64) -> bool {
    (one_a - other_a).abs() <= SAME_A.max(SAME_SHARE * one_a.abs().max(other_a.abs()))
}

/// How many trials came before the first new part; no end of them where there is none.
#[must_use]
pub fn before_repair(trials: &[Trial]) -> usize {
    let repaired = trials.iter().position(|trial| trial.did == Did::Swap);
    repaired.unwrap_or(usize::MAX)
}

/// A settled level, and what was off its supply when it was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct StateLevel {
    /// How many removals and refits came before it.
    pub fuse_state: usize,
    /// What was off its supply, sorted.
    pub out: Arc<[String]>,
    /// The level.
    pub level: Estimate,
}

/// The number of the state before each removal and refit and after the last.
#[must_use]
pub fn states(stays: &Stays) -> Vec<usize> {
    let tried = stays.all.iter().filter(|stay| is_tried(stay));
    [0].into_iter()
        .chain(tried.map(|stay| stay.setup))
        .collect()
}

/// The last settled level of each state. A meter that sees nothing tells no level, and neither does
/// a state that is a guess.
#[must_use]
pub fn levels(stays: &Stays) -> Vec<StateLevel> {
    let mut outs: HashMap<usize, Arc<[String]>> = HashMap::new();
    let mut found: Vec<StateLevel> = Vec::new();
    let mut fuse_state = 0;
    for stay in &stays.all {
        fuse_state += usize::from(is_tried(stay));
        let Some(shown) = stay.standing().filter(|shown| !is_dead(shown.level.a)) else {
            continue;
        };
        if is_guess(stays, stay.setup) || stay.rest.so_far && came_down_later(stays, stay) {
            continue;
        }
        found.pop_if(|known| known.fuse_state == fuse_state);
        found.push(StateLevel {
            fuse_state,
            out: Arc::clone(
                outs.entry(stay.setup)
                    .or_insert_with(|| out_in(stays, stay.setup)),
            ),
            level: shown.level,
        });
    }
    found
}

fn is_guess(stays: &Stays, setup: usize) -> bool {
    stays
        .setups
        .get(setup)
        .is_some_and(|setup| setup.guesses > 0)
}

/// Whether the state of this stay turned out to rest at another level.
fn came_down_later(stays: &Stays, stay: &Stay) -> bool {
    let newest = stays
        .newest_standing(stay.setup)
        .and_then(|at| stays.all.get(at));
    newest.is_some_and(|newest| newest.from > stay.from && !newest.rest.so_far)
}

fn out_in(stays: &Stays, setup: usize) -> Arc<[String]> {
    let setup = stays.setups.get(setup);
    setup
        .into_iter()
        .flat_map(|setup| &setup.out)
        .cloned()
        .collect()
}

const fn is_tried(stay: &Stay) -> bool {
    stay.opening.tried().is_some()
}

#[cfg(test)]
mod tests;
