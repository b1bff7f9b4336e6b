//! What everything is judged against and measured with, and what an earlier judgement remembers.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::Arc;

use super::evidence::Evidence;
use super::past::Past;
use super::shown::Shown;
use super::{Stay, Stays, analysis};
use crate::judge::announced::{self, OpenFall};
use crate::judge::comparison::Trials;
use crate::judge::deeds;
use crate::judge::finding::Level;
use crate::judge::memory::{FirstLookKey, Memory};
use crate::reading::Elapsed;
use crate::session::mark::MarkId;
use crate::session::{Placed, Session};

/// What everything is judged against and measured with.
#[derive(Clone, Debug)]
pub struct Basis<'a> {
    /// Where the readings are.
    pub session: &'a Session,
    /// The limit in force, in ampere.
    pub limit_a: f64,
    /// The sleep time-out in force, in seconds.
    pub timeout_s: f64,
    /// The largest current that the meter ever showed, in ampere: over-range is at least that.
    pub top_a: f64,
    /// What the meter said that is no evidence.
    pub evidence: Evidence,
    /// What was done to the car, in order.
    pub deeds: Vec<&'a Placed>,
    /// Falls in announced runs of which nobody has said whose they are.
    pub open_falls: Vec<OpenFall>,
    marks: BTreeMap<MarkId, &'a Placed>,
    memory: RefCell<Memory>,
    end: Elapsed,
}

impl<'a> Basis<'a> {
    /// Looks over what came since the judgement that `memory` is of.
    pub fn of(session: &'a Session, limit_a: f64, timeout_s: f64, mut memory: Memory) -> Self {
        memory.begin(session);
        let deeds = deeds::deeds(session);
        Self {
            session,
            limit_a,
            timeout_s,
            top_a: memory.scan.top_a,
            evidence: Evidence::of(session, &memory.scan),
            open_falls: announced::open_falls(session, &deeds),
            deeds,
            memory: RefCell::new(memory),
            marks: session
                .marks()
                .map(|placed| (placed.mark.id, placed))
                .collect(),
            end: session
                .signal()
                .last_t()
                .into_iter()
                .chain(session.marks().map(Placed::at))
                .max()
                .unwrap_or_default(),
        }
    }

    /// What is to be remembered, with the `stays` and `trials` of this judgement.
    pub fn into_memory(self, stays: Stays, trials: Trials) -> Memory {
        let past = Past::of(&self, stays, trials);
        let mut memory = self.memory.into_inner();
        memory.past = past;
        memory
    }

    /// The trials of the judgement before.
    pub(in crate::judge) fn earlier_trials(&self) -> Trials {
        self.memory.borrow_mut().past.take_trials()
    }

    /// Puts the stays that are as they were in the judgement before in the place of those `cut` anew.
    pub(super) fn restore(&self, cut: &mut Stays) {
        let mut past = std::mem::take(&mut self.memory.borrow_mut().past);
        past.restore(self, cut);
        self.memory.borrow_mut().past = past;
    }

    /// What this stay shows.
    pub(super) fn shown(&self, stay: &Stay) -> Option<Arc<Shown>> {
        self.memory
            .borrow_mut()
            .shown(self, stay, || analysis::shown(self, stay))
    }

    /// The first look at a mark, found by `look` unless it is remembered.
    pub(in crate::judge) fn first_look(
        &self,
        key: FirstLookKey,
        look: impl FnOnce() -> Option<Level>,
    ) -> Option<Level> {
        self.memory.borrow_mut().look(self, key, look)
    }

    /// The mark of this number.
    pub fn placed(&self, id: MarkId) -> Option<&'a Placed> {
        self.marks.get(&id).copied()
    }

    /// The newest moment of the record: its last reading or mark.
    pub const fn end(&self) -> Elapsed {
        self.end
    }
}
