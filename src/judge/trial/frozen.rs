//! A display that stands still: the meter was on HOLD, or its link repeats one value.

use crate::reading::{Elapsed, number, quantity};
use crate::session::Session;
use crate::signal::track::{Block, Track};

/// So long without one digit moving is no car (common practice, no source) ...
const STILL_S: f64 = 240.0;
/// ... and this much of it lies before the mark.
const BEFORE_S: f64 = 120.0;
/// ... when the last place is as fine as this: modules asleep move by more (common practice, no
/// source). A coarser display repeats itself honestly.
const FINE_A: f64 = 2.5e-4;
/// Nobody needs to know of more: a week-long record must not be walked through for each trial.
const BACK_S: f64 = 3.0 * 3600.0;
/// Unless this meter was seen to flicker at a current like this one: so near, for so many seconds,
/// in this share of them.
const LIKE: f64 = 0.5;
const SEEN_MIN: usize = 60;
const FLICKER_SHARE: f64 = 0.5;

/// For how long no digit has moved, in words, when that is through a mark at `at` and until `to`.
pub(super) fn frozen(session: &Session, at: Elapsed, to: Elapsed) -> Option<String> {
    let track = session.signal().track();
    let blocks = track.between(at.plus_secs(-BACK_S), to);
    let used = || blocks.iter().filter(|block| block.count > 0);
    let shown = used().next_back()?;
    let stands = |block: &&Block| !moves(block) && block.mean_a.total_cmp(&shown.mean_a).is_eq();
    let still: Vec<&Block> = used().rev().take_while(stands).collect();
    let from = still.last()?.from;
    let is_through = at.secs_since(from) >= BEFORE_S && to > at;
    let still_s = to.secs_since(from);
    if !is_through || still_s < STILL_S {
        return None;
    }
    let resolution_a = Track::finest_a(blocks);
    let fine = resolution_a > 0.0 && resolution_a <= FINE_A;
    (fine || flickers(blocks, shown)).then(|| quantity::span(still_s))
}

/// Whether the display moves within the second.
fn moves(block: &Block) -> bool {
    block.min_a.total_cmp(&block.max_a).is_ne()
}

/// Whether the meter moves at currents like this one.
fn flickers(blocks: &[Block], shown: &Block) -> bool {
    let like = |block: &&Block| {
        let apart_a = (block.mean_a - shown.mean_a).abs();
        block.count > 1 && f64::from(apart_a) <= LIKE * f64::from(shown.mean_a.abs())
    };
    let alike = || {
        let others = blocks.iter().filter(like);
        others.filter(|block| block.mean_a.total_cmp(&shown.mean_a).is_ne())
    };
    let (seen, moving) = (
        alike().count(),
        alike().filter(|block| moves(block)).count(),
    );
    seen >= SEEN_MIN
        && number::f64_from_usize(moving) >= FLICKER_SHARE * number::f64_from_usize(seen)
}
