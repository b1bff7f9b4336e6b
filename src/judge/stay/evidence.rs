//! What the meter said that is no evidence: a display on HOLD, the zero of a dead input, what a
//! charger puts in, and what was left out by hand.
//!
//! One rule for each, everywhere.

use super::scan::BlockScan;
use crate::judge::rules::{
    FINE_PLACE_A, FINE_SHARE, FLICKER_SHARE, HOLE_S, LOOK_S, SETTLE_S, STILL_ALONE_TIMES,
    STILL_BLOCKS, STILL_TIMES,
};
use crate::reading::Elapsed;
use crate::reading::number::f64_from_usize;
use crate::session::mark::Did;
use crate::session::{Placed, Session};
use crate::signal::second;
use crate::signal::track::Block;

/// Why a stretch is no evidence.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// The display shows no current at all, after it had shown one.
    Dead,
    /// No digit moves.
    Frozen,
    /// Current flows into the battery.
    Charged,
    /// Somebody said so.
    LeftOut,
}

/// A stretch that is no evidence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hidden {
    /// Why.
    pub fault: Fault,
    /// From when.
    pub from: Elapsed,
    /// Until when.
    pub to: Elapsed,
}

impl Hidden {
    /// How long it lasts, in seconds.
    pub fn lasts_s(&self) -> f64 {
        self.to.secs_since(self.from)
    }
}

/// Every such stretch, in order.
#[derive(Clone, Debug, Default)]
pub struct Evidence {
    /// The stretches.
    pub hidden: Vec<Hidden>,
    /// The same in seconds, those that overlap as one.
    joined_s: Vec<(f64, f64)>,
}

/// A display that stands at one value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Still {
    pub(super) from: Elapsed,
    pub(super) to: Elapsed,
    pub(super) a: f32,
    pub(super) resolution_a: f32,
}

impl Still {
    pub(super) fn lasts_s(&self) -> f64 {
        self.to.secs_since(self.from)
    }
}

impl Evidence {
    /// Of a whole record, which was `scanned`.
    pub fn of(session: &Session, scanned: &BlockScan) -> Self {
        let mut hidden = dead(scanned);
        hidden.extend(frozen(session, scanned));
        hidden.extend(charged(scanned));
        hidden.extend(left_out(session));
        hidden.sort_by_key(|stretch| stretch.from);
        let mut joined_s: Vec<(f64, f64)> = Vec::new();
        for Hidden { from, to, .. } in &hidden {
            match joined_s.last_mut() {
                Some(last) if last.1 >= from.secs() => last.1 = last.1.max(to.secs()),
                _ => joined_s.push((from.secs(), to.secs())),
            }
        }
        Self { hidden, joined_s }
    }

    /// Whether nothing that the meter said at `t_s` counts.
    pub fn hides(&self, t_s: f64) -> bool {
        let begun = self.joined_s.partition_point(|(from_s, _)| *from_s <= t_s);
        let last = begun.checked_sub(1).and_then(|at| self.joined_s.get(at));
        last.is_some_and(|(_, to_s)| t_s < *to_s)
    }

    /// What in `from..to` is none, from when to when.
    pub fn within(&self, from: Elapsed, to: Elapsed) -> impl Iterator<Item = (Elapsed, Elapsed)> {
        let hidden = self.hidden.iter().map(|hidden| (hidden.from, hidden.to));
        hidden.filter(move |(begins, ends)| *begins < to && *ends > from)
    }

    /// The fault that reaches to the end of the record, long enough to hide it.
    pub fn at(&self, end: Elapsed) -> Option<&Hidden> {
        // What somebody left out says nothing of the meter.
        let mut newest = self.hidden.iter().rev();
        let last = newest.find(|one| one.fault != Fault::LeftOut)?;
        (end.secs_since(last.to) <= HOLE_S / 12.0 && last.lasts_s() > HOLE_S).then_some(last)
    }
}

/// Zeros among currents: a blown meter fuse, a lead off, a display that shows nothing. Where the
/// whole record is zero there is no other level, and the verdict says so itself.
fn dead(scanned: &BlockScan) -> Vec<Hidden> {
    let (zeros, others) = (scanned.zeros.blocks, scanned.read - scanned.zeros.blocks);
    if zeros == 0 || others * 9 < zeros {
        return Vec::new();
    }
    hidden(Fault::Dead, &scanned.zeros.spans)
}

fn hidden(fault: Fault, spans: &[(Elapsed, Elapsed)]) -> Vec<Hidden> {
    let spans = spans.iter().copied();
    spans.map(|(from, to)| Hidden { fault, from, to }).collect()
}

/// A charger, or an engine: what flows into the battery says nothing of what the car draws. Where
/// most of the record is negative the clamp or the leads are turned round, and the verdict says so.
fn charged(scanned: &BlockScan) -> Vec<Hidden> {
    if 2 * scanned.charged.blocks > scanned.read {
        return Vec::new();
    }
    hidden(Fault::Charged, &scanned.charged.spans)
}

fn left_out(session: &Session) -> impl Iterator<Item = Hidden> + '_ {
    let stretches = session.done(Did::LeaveOut);
    stretches.filter_map(|placed| {
        let (from, to) = placed.mark.from.zip(placed.mark.to)?;
        let fault = Fault::LeftOut;
        Some(Hidden { fault, from, to })
    })
}

fn frozen(session: &Session, scanned: &BlockScan) -> Vec<Hidden> {
    let blocks = session.signal().track().blocks();
    if f64_from_usize(blocks.len()) < STILL_BLOCKS {
        return Vec::new();
    }
    let [other_s, longest_s] = scanned.stills.two_longest_s;
    let deeds = || {
        session
            .marks()
            .filter(|placed| placed.mark.did.touches() && placed.mark.did != Did::Zero)
    };
    let is_frozen = |still: &Still| {
        let lasts_s = still.lasts_s();
        let next_s = if lasts_s < longest_s {
            longest_s
        } else {
            other_s
        };
        let inside = |placed: &Placed| {
            placed.at() > still.from.plus_secs(2.0) && placed.at() < still.to.plus_secs(-5.0)
        };
        let crossed = || deeds().any(inside);
        let fine = f64::from(still.resolution_a)
            <= FINE_PLACE_A.min(FINE_SHARE * f64::from(still.a.abs()));
        fine && lasts_s > 2.0 * LOOK_S
            || lasts_s > 2.0 * SETTLE_S
                && f64::from(still.resolution_a) <= second::FINE_A
                && (crossed() && lasts_s > STILL_TIMES * next_s
                    || lasts_s > STILL_ALONE_TIMES * next_s.max(HOLE_S / 4.0))
                && flickers(blocks, still)
    };
    let found = scanned.stills.long.iter().filter(|still| is_frozen(still));
    found
        .map(|still| Hidden {
            fault: Fault::Frozen,
            from: still.from.plus_secs(1.0),
            to: still.to,
        })
        .collect()
}

/// Whether the display moves at currents like this one, when it is not at this one: a quiet car on
/// a coarse display repeats itself honestly.
fn flickers(blocks: &[Block], still: &Still) -> bool {
    let like = |block: &&Block| {
        let outside = block.begins() < still.from || block.begins() >= still.to;
        let near = (block.mean_a - still.a).abs() <= still.a.abs() / 2.0;
        outside && near && block.is_read()
    };
    let seen = blocks.iter().filter(like).count();
    let moves = |block: &&Block| {
        block.min_a.total_cmp(&block.max_a).is_ne() || block.mean_a.total_cmp(&still.a).is_ne()
    };
    let moving = blocks.iter().filter(like).filter(moves).count();
    moving > 1 && f64_from_usize(moving) >= FLICKER_SHARE * f64_from_usize(seen)
}

/// Whether the meter saw nothing. A coarse display shows zero for what a sleeping car draws.
pub(super) fn is_zero(block: &Block) -> bool {
    let largest_a = f64::from(block.max_a.abs().max(block.min_a.abs()));
    let is_fine = f64::from(block.resolution_a) <= second::FINE_A;
    block.is_read() && is_fine && largest_a < second::ZERO_A
}

#[cfg(test)]
mod tests;
