//! Stays: the record cut wherever somebody touched the car, and what each piece shows.
//!
//! A stay is a stretch in one state of the car during which nobody touched it. Whatever touches it
//! (a lock, an unlock, a removal, a refit) ends one stay and begins the next; a lock after a
//! removal begins a new one in the same state. What a stay shows comes from the signal alone;
//! whether the car slept in it needs knowledge from outside (`asleep`).

mod analysis;
pub mod asleep;
mod cut;
pub mod evidence;
mod excursion;
mod floor;
pub(super) mod later;
mod opening;
mod rise;
mod series;
pub mod shown;
mod step;
mod texture;

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::Arc;

use super::deeds;
use super::finding::Level;
use super::memory::{FirstLookKey, Memory};
use super::setup::Setup;
use crate::reading::Elapsed;
use crate::session::mark::MarkId;
use crate::session::{Placed, Session};
use crate::signal::track;
use asleep::SleepProof;
use evidence::Evidence;
pub use opening::Opening;
use shown::Shown;

/// A stretch in one state during which nobody touched the car.
#[derive(Clone, Debug)]
pub struct Stay {
    /// When it began.
    pub from: Elapsed,
    /// When it ended, or the end of the record.
    pub to: Elapsed,
    /// What began it.
    pub opening: Opening,
    /// Which state the car is in: an index into [`Stays::setups`].
    pub setup: usize,
    /// Whether it is the last one, and goes on.
    pub is_open: bool,
    /// Since when the time-out has been running.
    pub clock: Elapsed,
    /// Whether the car had been left to sleep before: locked, or come down by itself since it was
    /// opened.
    pub was_left: bool,
    /// What it shows; `None` where it is too short to show anything.
    pub shown: Option<Arc<Shown>>,
    /// Whether the car slept in it.
    pub rest: SleepProof,
}

impl Stay {
    /// How long it lasted, in seconds.
    #[must_use]
    pub fn lasts_s(&self) -> f64 {
        self.to.secs_since(self.from)
    }

    /// What it shows, if the car slept in it.
    #[must_use]
    pub fn rested(&self) -> Option<&Shown> {
        self.shown.as_deref().filter(|_| self.rest.ground.is_some())
    }

    /// Since when the car has to fall asleep by itself: a removal may wake nothing, and yet begin a
    /// wait of its own.
    pub(super) fn begun_after_removal(&self) -> Elapsed {
        if self.opening.is_removal() {
            self.clock.max(self.from)
        } else {
            self.clock
        }
    }

    /// The time-out runs anew from where whoever touched the car left it.
    fn wait_since_touched(&mut self) {
        if let Some(left) = self.shown.as_deref().and_then(|shown| shown.left) {
            self.clock = self.clock.max(left);
        }
    }

    /// The same, or if it stands as it did before a removal, so far.
    #[must_use]
    pub fn standing(&self) -> Option<&Shown> {
        self.shown.as_deref().filter(|_| self.rest.stands())
    }
}

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
    marks: BTreeMap<MarkId, &'a Placed>,
    memory: RefCell<Memory>,
    end: Elapsed,
}

impl<'a> Basis<'a> {
    /// Looks over the whole record once.
    #[must_use]
    pub fn of(session: &'a Session, limit_a: f64, timeout_s: f64) -> Self {
        let blocks = session.signal().track().blocks();
        let tops = track::read(blocks).map(|block| f64::from(block.max_a));
        Self {
            session,
            limit_a,
            timeout_s,
            top_a: tops.fold(0.0, f64::max),
            evidence: Evidence::of(session),
            deeds: deeds::deeds(session),
            memory: RefCell::default(),
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

    /// The same with what an earlier judgement of this session remembers.
    #[must_use]
    pub fn remembering(self, mut memory: Memory) -> Self {
        memory.begin(self.session.card());
        Self {
            memory: RefCell::new(memory),
            ..self
        }
    }

    /// What is to be remembered.
    #[must_use]
    pub fn into_memory(self) -> Memory {
        self.memory.into_inner()
    }

    /// What this stay shows.
    pub(super) fn shown(&self, stay: &Stay) -> Option<Arc<Shown>> {
        self.memory
            .borrow_mut()
            .shown(self, stay, || analysis::shown(self, stay))
    }

    /// The first look at a mark, found by `look` unless it is remembered.
    pub(super) fn first_look(
        &self,
        key: FirstLookKey,
        look: impl FnOnce() -> Option<Level>,
    ) -> Option<Level> {
        self.memory.borrow_mut().look(self, key, look)
    }

    /// The mark of this number.
    #[must_use]
    pub fn placed(&self, id: MarkId) -> Option<&'a Placed> {
        self.marks.get(&id).copied()
    }

    /// The newest moment of the record: its last reading or mark.
    #[must_use]
    pub const fn end(&self) -> Elapsed {
        self.end
    }
}

/// The whole record in stays.
#[derive(Clone, Debug, Default)]
pub struct Stays {
    /// The states that the car was in, each once, in the order in which they came.
    pub setups: Vec<Setup>,
    /// The stays, in order.
    pub all: Vec<Stay>,
    by_setup: Vec<Vec<usize>>,
    woke: Vec<bool>,
}

impl Stays {
    /// Cuts the record and looks at each piece.
    #[must_use]
    pub fn of(basis: &Basis<'_>) -> Self {
        let mut stays = cut::cut(basis);
        let mut i = 0;
        while i < stays.all.len() {
            stays.look_at(basis, i);
            i += 1;
        }
        stays.index();
        stays
    }

    /// Looks at one stay; the ones before it are known. A rise that lasts becomes the next stay.
    fn look_at(&mut self, basis: &Basis<'_>, i: usize) {
        let (earlier, rest) = self.all.split_at_mut(i);
        let Some((stay, rest)) = rest.split_first_mut() else {
            return;
        };
        if !stay.opening.stirs() || stay.opening.is_removal() {
            stay.clock = earlier.last().map_or(stay.from, |before| before.clock);
        }
        stay.was_left = asleep::was_left_before(earlier, stay);
        stay.shown = basis.shown(stay);
        stay.wait_since_touched();
        stay.rest = asleep::rest(basis, earlier, stay);
        let mut later = Vec::new();
        while let Some(parted) = later::parted(basis, earlier, stay, rest.first()) {
            let [before, after] = *parted;
            *stay = before;
            later.push(after);
        }
        for after in later {
            self.all.insert(i + 1, after);
        }
    }

    /// All stays in this state, in order.
    pub fn in_setup(&self, setup: usize) -> impl DoubleEndedIterator<Item = &Stay> {
        let of_it = self.by_setup.get(setup).map_or(&[][..], Vec::as_slice);
        of_it.iter().filter_map(|at| self.all.get(*at))
    }

    /// Whether the car woke in this state at all.
    #[must_use]
    pub fn has_wakes(&self, setup: usize) -> bool {
        self.woke.get(setup).copied().unwrap_or(false)
    }

    /// Sorts the stays by their states, once all are looked at.
    fn index(&mut self) {
        self.by_setup = vec![Vec::new(); self.setups.len()];
        self.woke = vec![false; self.setups.len()];
        for (at, stay) in self.all.iter().enumerate() {
            if let Some(of_it) = self.by_setup.get_mut(stay.setup) {
                of_it.push(at);
            }
            let wakes = stay.standing().is_some_and(|shown| !shown.wakes.is_empty());
            if let Some(woke) = self.woke.get_mut(stay.setup) {
                *woke |= wakes;
            }
        }
    }
}
