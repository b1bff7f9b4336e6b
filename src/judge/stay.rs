//! Stays: the record cut wherever somebody touched the car, and what each piece shows.
//!
//! A stay is a stretch in one state of the car during which nobody touched it. Whatever touches it
//! (a lock, an unlock, a removal, a refit) ends one stay and begins the next; a lock after a
//! removal begins a new one in the same state. What a stay shows comes from the signal alone;
//! whether the car slept in it needs knowledge from outside (`asleep`).

mod analysis;
pub mod asleep;
mod basis;
mod cut;
pub mod evidence;
mod excursion;
mod floor;
pub(super) mod later;
mod lowest;
mod opening;
mod past;
mod put_back;
mod rise;
mod scan;
mod series;
pub mod shown;
mod slope;
mod step;
#[cfg(test)]
pub(super) mod testkit;
mod texture;

use std::collections::HashMap;
use std::sync::Arc;

use super::levels;
use super::rules::SPARSE_S;
use super::setup::Setup;
use crate::reading::Elapsed;
use crate::signal::track;
use asleep::SleepProof;
pub use basis::Basis;
pub use opening::Opening;
pub use past::Past;
pub use scan::BlockScan;
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
    /// Which one it is in by the marks alone.
    pub marked: usize,
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
    pub fn lasts_s(&self) -> f64 {
        self.to.secs_since(self.from)
    }

    /// What it shows, if the car slept in it.
    pub fn rested(&self) -> Option<&Shown> {
        self.shown.as_deref().filter(|_| self.rest.ground.is_some())
    }

    /// When the newest reading came, and whether it fell, where readings come one by one and it is
    /// another level than the one before.
    pub(super) fn turned(&self, basis: &Basis<'_>) -> Option<(Elapsed, bool)> {
        let track = basis.session.signal().track();
        let mut newest = track::read(track.between(self.from, self.to.plus_secs(1.0))).rev();
        let (last, before) = (newest.next()?, newest.next()?);
        let is_typed = last.begins().secs_since(before.begins()) > SPARSE_S;
        let is_other = !levels::same(last.a(), before.a());
        (is_typed && is_other).then_some((last.begins(), last.a() < before.a()))
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
    pub fn standing(&self) -> Option<&Shown> {
        self.shown.as_deref().filter(|_| self.rest.stands())
    }
}

/// The whole record in stays.
#[derive(Clone, Debug, Default)]
pub struct Stays {
    /// The states that the car was in, each once, in the order in which they came.
    pub setups: Vec<Arc<Setup>>,
    /// The stays, in order.
    pub all: Vec<Stay>,
    /// How many of them are as they were in the judgement before.
    pub known: usize,
    numbers: HashMap<Arc<Setup>, usize>,
    by_setup: Vec<Vec<usize>>,
    standing: Vec<Vec<usize>>,
    woke: Vec<bool>,
}

impl Stays {
    /// Cuts the record and looks at each piece.
    pub fn of(basis: &Basis<'_>) -> Self {
        let mut stays = cut::cut(basis);
        basis.restore(&mut stays);
        let mut i = stays.known;
        while i < stays.all.len() {
            stays.look_at(basis, i);
            i += 1;
        }
        stays.index();
        stays
    }

    /// Looks at one stay; the ones before it are known. A rise that lasts becomes the next stay.
    fn look_at(&mut self, basis: &Basis<'_>, i: usize) {
        self.follow(basis, i);
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
        if let Some(setup) = put_back::put_back(&self.setups, earlier, stay) {
            stay.setup = setup;
        }
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

    /// Puts the stay numbered `i` into the state that follows from the one before it, where that is
    /// another than the marks tell.
    fn follow(&mut self, basis: &Basis<'_>, i: usize) {
        let Some([before, stay]) = i.checked_sub(1).and_then(|last| self.all.get(last..=i)) else {
            return;
        };
        let Opening::Deed(id, _) = stay.opening else {
            return;
        };
        let setups = &self.setups;
        let marked = [before.marked, stay.marked].map(|at| setups.get(at));
        let shown = setups
            .get(before.setup)
            .filter(|_| before.setup != before.marked);
        let (Some(placed), Some(shown), [Some(old), Some(new)]) = (basis.placed(id), shown, marked)
        else {
            return;
        };
        let mut next = Setup::clone(shown);
        next.change(&placed.mark);
        next.guesses = next
            .guesses
            .min(shown.guesses + new.guesses.saturating_sub(old.guesses));
        let setup = self.number(&next);
        if let Some(stay) = self.all.get_mut(i) {
            stay.setup = setup;
        }
    }

    /// The number of a state, which may be a new one.
    fn number(&mut self, setup: &Setup) -> usize {
        if let Some(known) = self.number_of(setup) {
            return known;
        }
        let setup = Arc::new(setup.clone());
        self.setups.push(Arc::clone(&setup));
        self.numbers.insert(setup, self.setups.len() - 1);
        self.setups.len() - 1
    }

    /// The number of a state that the car was in.
    pub fn number_of(&self, setup: &Setup) -> Option<usize> {
        self.numbers.get(setup).copied()
    }

    /// All stays in this state, in order.
    pub fn in_setup(&self, setup: usize) -> impl DoubleEndedIterator<Item = &Stay> {
        self.numbered(self.by_setup.get(setup), usize::MAX)
    }

    /// Those in which the car stood, of those before the stay numbered `until`, in order.
    pub fn standing_before(
        &self,
        setup: usize,
        until: usize,
    ) -> impl DoubleEndedIterator<Item = &Stay> {
        self.numbered(self.standing.get(setup), until)
    }

    fn numbered<'a>(
        &'a self,
        numbers: Option<&'a Vec<usize>>,
        until: usize,
    ) -> impl DoubleEndedIterator<Item = &'a Stay> {
        let numbers = numbers.map_or(&[][..], Vec::as_slice);
        let count = numbers.partition_point(|at| *at < until);
        let numbers = numbers.get(..count).unwrap_or(&[]);
        numbers.iter().filter_map(|at| self.all.get(*at))
    }

    /// The number of the newest stay in which the car stood in this state.
    pub fn newest_standing(&self, setup: usize) -> Option<usize> {
        self.standing.get(setup)?.last().copied()
    }

    /// Whether the car woke in this state at all.
    pub fn has_wakes(&self, setup: usize) -> bool {
        self.woke.get(setup).copied().unwrap_or(false)
    }

    /// Sorts the stays by their states, once all are looked at.
    fn index(&mut self) {
        self.by_setup = vec![Vec::new(); self.setups.len()];
        self.standing = self.by_setup.clone();
        self.woke = vec![false; self.setups.len()];
        for (at, stay) in self.all.iter().enumerate() {
            if let Some(of_it) = self.by_setup.get_mut(stay.setup) {
                of_it.push(at);
            }
            let Some(shown) = stay.standing() else {
                continue;
            };
            if let Some(standing) = self.standing.get_mut(stay.setup) {
                standing.push(at);
            }
            if let Some(woke) = self.woke.get_mut(stay.setup) {
                *woke |= !shown.wakes.is_empty();
            }
        }
    }
}
