//! What the meter said that is no evidence: a display on HOLD, the zero of a dead input, and what a
//! charger puts in.
//!
//! One rule for each, everywhere.

use crate::judge::rules::{
    CHARGED_A, DEAD_A, HOLE_S, LOOK_S, SETTLE_S, STILL_ALONE_TIMES, STILL_TIMES,
};
use crate::reading::Elapsed;
use crate::session::mark::Did;
use crate::session::{Placed, Session};
use crate::signal::second;
use crate::signal::track::{self, Block};

/// Why a stretch is no evidence.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// The display shows no current at all, after it had shown one.
    Dead,
    /// No digit moves.
    Frozen,
    /// Current flows into the battery.
    Charged,
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
    #[must_use]
    pub fn lasts_s(&self) -> f64 {
        self.to.secs_since(self.from)
    }
}

/// Every such stretch, in order.
#[derive(Clone, Debug, Default)]
pub struct Evidence {
    /// The stretches.
    pub hidden: Vec<Hidden>,
}

/// A display that stands at one value.
struct Still {
    from: Elapsed,
    to: Elapsed,
    a: f32,
    resolution_a: f32,
}

impl Still {
    fn lasts_s(&self) -> f64 {
        self.to.secs_since(self.from)
    }
}

/// A display whose place is finer than a car's own unrest, which is some tenths of a milliampere,
/// and this small a share of what it shows, moves within ten minutes (common practice, no source).
const FINE_A: f64 = 0.000_2;
const FINE_SHARE: f64 = 0.005;
/// Fewer readings than this a minute cannot be told to stand still.
const STILL_BLOCKS: usize = 100;

impl Evidence {
    /// Of a whole record.
    #[must_use]
    pub fn of(session: &Session) -> Self {
        let blocks = session.signal().track().blocks();
        let mut hidden = dead(blocks);
        hidden.extend(frozen(session, blocks));
        hidden.extend(charged(blocks));
        hidden.sort_by_key(|stretch| stretch.from);
        Self { hidden }
    }

    /// Whether nothing that the meter said at `t_s` counts.
    #[must_use]
    pub fn hides(&self, t_s: f64) -> bool {
        self.hidden
            .iter()
            .any(|stretch| stretch.from.secs() <= t_s && t_s < stretch.to.secs())
    }

    /// The fault that reaches to the end of the record, long enough to hide it.
    #[must_use]
    pub fn at(&self, end: Elapsed) -> Option<&Hidden> {
        let last = self.hidden.last()?;
        (end.secs_since(last.to) <= HOLE_S / 12.0 && last.lasts_s() > HOLE_S).then_some(last)
    }
}

/// Zeros among currents: a blown meter fuse, a lead off, a display that shows nothing. Where the
/// whole record is zero there is no other level, and the verdict says so itself.
fn dead(blocks: &[Block]) -> Vec<Hidden> {
    let used = || track::read(blocks);
    let zeros = used().filter(|block| is_zero(block)).count();
    let others = used().count() - zeros;
    if zeros == 0 || others * 9 < zeros {
        return Vec::new();
    }
    hidden(Fault::Dead, runs(blocks, is_zero))
}

fn hidden(fault: Fault, runs: Vec<(Elapsed, Elapsed)>) -> Vec<Hidden> {
    let runs = runs.into_iter();
    runs.map(|(from, to)| Hidden { fault, from, to }).collect()
}

/// A charger, or an engine: what flows into the battery says nothing of what the car draws. Where
/// most of the record is negative the clamp or the leads are turned round, and the verdict says so.
fn charged(blocks: &[Block]) -> Vec<Hidden> {
    let is_charged = |block: &Block| block.is_read() && f64::from(block.mean_a) < -CHARGED_A;
    let negative = blocks.iter().filter(|block| is_charged(block)).count();
    if 2 * negative > track::read(blocks).count() {
        return Vec::new();
    }
    hidden(Fault::Charged, runs(blocks, is_charged))
}

fn frozen(session: &Session, blocks: &[Block]) -> Vec<Hidden> {
    let stills: Vec<Still> = stills(blocks).collect();
    let mut lengths: Vec<f64> = stills.iter().map(Still::lasts_s).collect();
    lengths.sort_by(f64::total_cmp);
    let longest_s = lengths.last().copied().unwrap_or(0.0);
    let other_s = lengths
        .len()
        .checked_sub(2)
        .and_then(|i| lengths.get(i))
        .copied()
        .unwrap_or(0.0);
    let deeds = || {
        session
            .marks()
            .filter(|placed| !matches!(placed.mark.did, Did::Note | Did::Zero))
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
        let crossed = deeds().any(inside);
        let fine =
            f64::from(still.resolution_a) <= FINE_A.min(FINE_SHARE * f64::from(still.a.abs()));
        fine && lasts_s > 2.0 * LOOK_S
            || lasts_s > 2.0 * SETTLE_S
                && f64::from(still.resolution_a) <= second::FINE_A
                && flickers(blocks, still)
                && (crossed && lasts_s > STILL_TIMES * next_s
                    || lasts_s > STILL_ALONE_TIMES * next_s.max(HOLE_S / 4.0))
    };
    let found = stills.iter().filter(|still| is_frozen(still));
    found
        .map(|still| Hidden {
            fault: Fault::Frozen,
            from: still.from.plus_secs(1.0),
            to: still.to,
        })
        .collect()
}

impl Still {
    fn of(run: &[Block]) -> Option<Self> {
        let (first, last) = (run.first()?, run.last()?);
        Some(Self {
            from: first.from,
            to: last.from.plus_secs(1.0),
            a: first.mean_a,
            resolution_a: first.resolution_a,
        })
    }
}

/// Whether the display moves at currents like this one, when it is not at this one: a quiet car on
/// a coarse display repeats itself honestly.
fn flickers(blocks: &[Block], still: &Still) -> bool {
    let like = |block: &&Block| {
        let outside = block.from < still.from || block.from >= still.to;
        let near = (block.mean_a - still.a).abs() <= LIKE * still.a.abs();
        outside && near && block.is_read()
    };
    let seen = blocks.iter().filter(like).count();
    let moves = |block: &&Block| {
        block.min_a.total_cmp(&block.max_a).is_ne() || block.mean_a.total_cmp(&still.a).is_ne()
    };
    let moving = blocks.iter().filter(like).filter(moves).count();
    seen >= SEEN_BLOCKS && moving * FLICKER >= seen
}

/// Currents like one another, and how much has to be seen of them (common practice, no source).
const LIKE: f32 = 0.5;
const SEEN_BLOCKS: usize = 12;
/// One block in so many has to move.
const FLICKER: usize = 10;

/// Every stretch of at least a few seconds in which the display stood at one value.
fn stills(blocks: &[Block]) -> impl Iterator<Item = Still> + '_ {
    let enough = blocks.len() >= STILL_BLOCKS;
    let blocks = if enough { blocks } else { &[] };
    let stands = |block: &Block| {
        block.is_read() && !block.over && block.min_a.total_cmp(&block.max_a).is_eq()
    };
    blocks
        .chunk_by(move |one, next| {
            stands(one) && stands(next) && one.mean_a.total_cmp(&next.mean_a).is_eq()
        })
        .filter(|run| run.len() > 2)
        .filter_map(Still::of)
        .filter(|still| f64::from(still.a.abs()) >= DEAD_A / 2.0)
}

/// Whether the meter saw nothing. A coarse display shows zero for what a sleeping car draws.
fn is_zero(block: &Block) -> bool {
    let largest_a = f64::from(block.max_a.abs().max(block.min_a.abs()));
    let is_fine = f64::from(block.resolution_a) <= second::FINE_A;
    block.is_read() && is_fine && largest_a < second::ZERO_A
}

/// Runs of blocks of one kind.
fn runs(blocks: &[Block], is_one: impl Fn(&Block) -> bool) -> Vec<(Elapsed, Elapsed)> {
    let runs = blocks.chunk_by(|one, next| is_one(one) == is_one(next));
    let ends = |run: &[Block]| Some((run.first()?.from, run.last()?.from.plus_secs(1.0)));
    runs.filter(|run| run.first().is_some_and(&is_one))
        .filter_map(ends)
        .collect()
}
