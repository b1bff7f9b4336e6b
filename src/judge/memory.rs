//! What is over, kept from one second to the next: a second on the board costs the open stay only,
//! whatever lies behind it.
//!
//! The blocks of the record are looked over once (`scan`). Stays and trials that nothing has changed
//! in or before stay as they were (`past`). Single looks are kept by all that they depend on, so a
//! strike or a mark placed late redoes only those that it touches. Nothing has to be forgotten by
//! hand: what a judgement did not ask for is dropped.

use std::collections::HashMap;
use std::hash::Hash;
use std::mem;
use std::sync::Arc;

use super::finding::Level;
use super::stay::shown::Shown;
use super::stay::{Basis, BlockScan, Opening, Past, Stay};
use crate::reading::Elapsed;
use crate::session::Session;
use crate::session::card::Card;
use crate::session::mark::MarkId;

/// Kept from one judgement of a session to the next.
#[derive(Clone, Debug, Default)]
pub struct Memory {
    card: Option<Card>,
    pub(super) scan: BlockScan,
    pub(super) past: Past,
    stays: Kept<StayKey, Option<Arc<Shown>>>,
    looks: Kept<FirstLookKey, Option<Level>>,
}

/// What the two last judgements asked for.
#[derive(Clone, Debug)]
struct Kept<K, V> {
    before: HashMap<K, V>,
    now: HashMap<K, V>,
}

impl<K, V> Default for Kept<K, V> {
    fn default() -> Self {
        Self {
            before: HashMap::new(),
            now: HashMap::new(),
        }
    }
}

impl<K: Eq + Hash, V: Clone> Kept<K, V> {
    fn get(&mut self, key: K, find: impl FnOnce() -> V) -> V {
        let value = self
            .before
            .remove(&key)
            .or_else(|| self.now.get(&key).cloned())
            .unwrap_or_else(find);
        self.now.insert(key, value.clone());
        value
    }

    fn next(&mut self) {
        self.before = mem::take(&mut self.now);
    }
}

/// All that a closed stay's look depends on beside the record itself.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct StayKey {
    from: Elapsed,
    to: Elapsed,
    opening: Opening,
    clock: Elapsed,
    timeout: u64,
    top: u64,
    zeroed: Option<Elapsed>,
    hidden: Vec<(Elapsed, Elapsed)>,
}

impl StayKey {
    /// Of this stay as it is now.
    pub fn of(basis: &Basis<'_>, stay: &Stay) -> Self {
        Self {
            from: stay.from,
            to: stay.to,
            opening: stay.opening,
            clock: stay.clock,
            timeout: basis.timeout_s.to_bits(),
            top: basis.top_a.to_bits(),
            zeroed: basis.session.zeroed_by(stay.to),
            hidden: basis.evidence.within(stay.from, stay.to).collect(),
        }
    }
}

/// All that a first look depends on beside the record itself.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct FirstLookKey {
    /// The mark.
    pub mark: MarkId,
    /// From when to when readings before it and after it count.
    pub window: [Elapsed; 4],
    /// The stay before it, whose quiet minutes say what the car does by itself.
    pub before: Option<StayKey>,
}

/// Blocks this close to the newest reading may not be closed yet, in seconds.
pub(super) const FRESH_S: f64 = 10.0;

impl Memory {
    /// A new judgement begins: what belongs to another card is forgotten, what was read since is
    /// looked at.
    pub fn begin(&mut self, session: &Session) {
        if self.card.as_ref() != Some(session.card()) {
            *self = Self {
                card: Some(session.card().clone()),
                scan: mem::take(&mut self.scan),
                ..Self::default()
            };
        }
        self.scan.go_on(session.signal().track().blocks());
        self.stays.next();
        self.looks.next();
    }

    /// What `stay` shows: found once, where it is over.
    pub fn shown(
        &mut self,
        basis: &Basis<'_>,
        stay: &Stay,
        look: impl FnOnce() -> Option<Shown>,
    ) -> Option<Arc<Shown>> {
        if stay.is_open || !is_past(basis, stay.to) {
            return look().map(Arc::new);
        }
        let key = StayKey::of(basis, stay);
        self.stays.get(key, || look().map(Arc::new))
    }

    /// The first look at a mark: taken once, where it is over.
    pub fn look(
        &mut self,
        basis: &Basis<'_>,
        key: FirstLookKey,
        look: impl FnOnce() -> Option<Level>,
    ) -> Option<Level> {
        let [.., to] = key.window;
        if is_past(basis, to) {
            self.looks.get(key, look)
        } else {
            look()
        }
    }
}

fn is_past(basis: &Basis<'_>, t: Elapsed) -> bool {
    let newest = basis.session.signal().last_t().unwrap_or_default();
    t.plus_secs(FRESH_S) <= newest
}
