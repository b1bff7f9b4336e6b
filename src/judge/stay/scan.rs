//! One look at every block of the record, resumed where the last judgement left off: which stretches
//! are zero, charged or still, and how large a current the meter ever showed.

use super::evidence::{self, Still};
use crate::judge::rules::{CHARGED_A, DEAD_A, SETTLE_S};
use crate::reading::Elapsed;
use crate::signal::track::Block;

/// What was seen of the record so far.
#[derive(Clone, Debug, Default)]
pub struct BlockScan {
    seen: usize,
    /// The largest current that the meter ever showed, in ampere.
    pub top_a: f64,
    /// How many blocks hold a reading.
    pub(super) read: usize,
    pub(super) zeros: Runs,
    pub(super) charged: Runs,
    pub(super) stills: Stills,
}

impl BlockScan {
    /// Looks at the blocks that it has not seen yet.
    pub fn go_on(&mut self, blocks: &[Block]) {
        for block in blocks.get(self.seen..).unwrap_or(&[]) {
            if block.is_read() {
                self.read += 1;
                self.top_a = self.top_a.max(f64::from(block.max_a));
            }
            self.zeros.push(block, evidence::is_zero(block));
            let is_charged = block.is_read() && block.a() < -CHARGED_A;
            self.charged.push(block, is_charged);
            self.stills.push(block);
        }
        self.seen = blocks.len();
    }
}

/// Runs of blocks of one kind.
#[derive(Clone, Debug, Default)]
pub(super) struct Runs {
    /// How many blocks are of it.
    pub(super) blocks: usize,
    /// From when to when each lasts.
    pub(super) spans: Vec<(Elapsed, Elapsed)>,
    goes_on: bool,
}

impl Runs {
    fn push(&mut self, block: &Block, is_one: bool) {
        if is_one {
            self.blocks += 1;
            let to = block.from.plus_secs(1.0);
            match self.spans.last_mut().filter(|_| self.goes_on) {
                Some(last) => last.1 = to,
                None => self.spans.push((block.from, to)),
            }
        }
        self.goes_on = is_one;
    }
}

/// Stretches of at least a few seconds in which the display stood at one value.
#[derive(Clone, Debug, Default)]
pub(super) struct Stills {
    /// Those long enough to be frozen.
    pub(super) long: Vec<Still>,
    /// How long the second longest and the longest of all are, in seconds.
    pub(super) two_longest_s: [f64; 2],
    now: Option<Still>,
    /// Those of the record but for the one that still goes on.
    closed_s: [f64; 2],
}

impl Stills {
    fn push(&mut self, block: &Block) {
        let stands = block.is_read() && !block.over && block.min_a.total_cmp(&block.max_a).is_eq();
        let same = |still: &&mut Still| still.a.total_cmp(&block.mean_a).is_eq();
        if let Some(still) = self.now.as_mut().filter(|_| stands).filter(same) {
            still.to = block.from.plus_secs(1.0);
        } else {
            self.closed_s = self.two_longest_s;
            self.now = stands.then(|| {
                let to = block.from.plus_secs(1.0);
                let (from, a, resolution_a) = (block.from, block.mean_a, block.resolution_a);
                Still {
                    from,
                    to,
                    a,
                    resolution_a,
                }
            });
        }
        self.weigh();
    }

    /// Counts the one that goes on among the others.
    fn weigh(&mut self) {
        let Some(still) = self.now else {
            return;
        };
        if f64::from(still.a.abs()) < DEAD_A / 2.0 {
            return;
        }
        let [second_s, first_s] = self.closed_s;
        let lasts_s = still.lasts_s();
        self.two_longest_s = [second_s.max(lasts_s.min(first_s)), first_s.max(lasts_s)];
        if lasts_s > 2.0 * SETTLE_S {
            match self.long.last_mut().filter(|last| last.from == still.from) {
                Some(last) => *last = still,
                None => self.long.push(still),
            }
        }
    }
}
