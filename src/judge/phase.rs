//! The phases of a record: what the signal shows, read with what is known from outside it.
//!
//! No test of the signal can tell a plateau from the end. `hold` says what else has to be true;
//! `walker` goes through the record once, change by change and mark by mark.

mod descent;
mod left;
pub mod stages;
mod wake;
mod walker;

pub use descent::Descent;

use super::finding::{Phase, Wake};
use super::hold::{AWAKE_A, Ground, Known, LIMIT_SHARE};
use super::verdict::odd::CURRENT_MIN_A;
use crate::reading::Elapsed;
use crate::session::Session;
use crate::session::mark::Mark;
use crate::signal::Change;
use walker::Walker;

/// Evidence missing for longer than this is shown as blind.
pub const BLIND_S: f64 = 60.0;

/// A stretch in one phase.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Which.
    pub phase: Phase,
    /// Since when.
    pub from: Elapsed,
    /// Until when.
    pub to: Elapsed,
}

/// A stretch proven settled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settling {
    /// From when on its readings may be used.
    pub data_from: Elapsed,
    /// When it was proven.
    pub proven: Elapsed,
    /// When its level was first proven, before any wakes out of it.
    pub since: Elapsed,
    /// When it ended.
    pub to: Elapsed,
    /// Its level when proven, in ampere.
    pub level_a: f64,
    /// What proved it.
    pub ground: Ground,
    /// How many removals and refits came before it.
    pub fuse_state: usize,
    /// How the car came down to it, when the car did so by itself.
    pub descent: Option<Descent>,
}

impl Settling {
    /// Whether the car sleeps at this level: one above the limit may be a car that something
    /// keeps awake, unless somebody said that it slept, and no current at all is a dead meter.
    #[must_use]
    pub fn is_sleep(&self, limit_a: f64) -> bool {
        let low = self.level_a <= limit_a * (1.0 + LIMIT_SHARE);
        let said = self.ground == Ground::SaidAsleep && self.level_a < AWAKE_A;
        (low || said) && self.level_a >= CURRENT_MIN_A
    }
}

/// The record, walked through.
#[derive(Clone, Debug, Default)]
pub struct Walk {
    /// The phases in order.
    pub stretches: Vec<Stretch>,
    /// The settled stretches in order.
    pub settlings: Vec<Settling>,
    /// Wakes that ended by themselves, in order.
    pub wakes: Vec<Wake>,
    /// When the time-out began to run.
    pub clock_from: Option<Elapsed>,
    /// Whether nothing shows that the car was locked: a mark, the card, or a fall out of awake.
    pub is_unlocked: bool,
    /// Since when it was left alone, as far as anybody saw.
    pub left_since: Option<Elapsed>,
    /// Whether a mark or the card says that it was locked.
    pub is_locked: bool,
    /// When the present level began: the last change, mark or gap.
    pub boundary: Elapsed,
    /// The change that began the present level, if a change did.
    pub last_change: Option<Change>,
    /// What was off its supply in each fuse state, sorted.
    pub states: Vec<Vec<String>>,
    /// Since when the car had been left alone at each removal and refit, in order.
    pub left_alone: Vec<Option<Elapsed>>,
    /// The level at the last test, in ampere.
    pub level_a: Option<f64>,
    /// For how long the present level has to stand to count as re-settled, in seconds.
    pub resettle_s: Option<f64>,
    /// The mark that asks for the present re-settle.
    pub resettle_after: Option<Mark>,
}

impl Walk {
    /// From `t` on the record is in this phase.
    fn enter(&mut self, phase: Phase, t: Elapsed) {
        if let Some(last) = self.stretches.last_mut() {
            if last.phase == phase {
                last.to = last.to.max(t);
                return;
            }
            last.to = t;
        }
        // A stretch that is overtaken from behind (a wake recognised late) never was.
        while self.stretches.last().is_some_and(|last| last.from >= t) {
            self.stretches.pop();
        }
        if let Some(last) = self.stretches.last_mut() {
            last.to = t;
            if last.phase == phase {
                return;
            }
        }
        self.stretches.push(Stretch {
            phase,
            from: t,
            to: t,
        });
    }
}

/// Walks through the record.
#[must_use]
pub fn walk(session: &Session, limit_a: f64, timeout_s: f64) -> Walk {
    let signal = session.signal();
    let start = signal.first_t().unwrap_or_default();
    let mut walker = Walker::at(start, session, Known::new(session, limit_a, timeout_s));
    let mut changes = signal.changes().iter().copied().peekable();
    let mut marks = session.marks().peekable();
    let mut gaps = signal.gaps().iter().copied().peekable();
    for tick in signal.ticks() {
        while let Some(gap) = gaps.next_if(|gap| gap.to <= tick.t) {
            walker.on_gap(gap);
        }
        loop {
            let change_t = changes.peek().map(|change| change.t);
            let mark_t = marks.peek().map(|placed| placed.at());
            let change_first = change_t.is_some_and(|c| mark_t.is_none_or(|m| c <= m));
            if change_first && change_t <= Some(tick.t) {
                changes.next().inspect(|change| walker.on_change(*change));
            } else if mark_t.is_some_and(|m| m <= tick.t) {
                marks.next().inspect(|placed| walker.on_mark(placed));
            } else {
                break;
            }
        }
        walker.on_tick(*tick);
    }
    changes.for_each(|change| walker.on_change(change));
    marks.for_each(|placed| walker.on_mark(placed));
    gaps.for_each(|gap| walker.on_gap(gap));
    let mut walk = walker.finish(signal.last_t().unwrap_or_default());
    stages::take_back(session, timeout_s, &mut walk);
    walk
}
