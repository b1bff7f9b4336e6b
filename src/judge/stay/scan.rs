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
        if blocks.len() < self.seen {
            // The record ends earlier than it did: the work was said to be finished before.
            *self = Self::default();
        }
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
            let to = block.begins().plus_secs(1.0);
            match self.spans.last_mut().filter(|_| self.goes_on) {
                Some(last) => last.1 = to,
                None => self.spans.push((block.begins(), to)),
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
        let stands =
            block.is_read() && !block.is_over() && block.min_a.total_cmp(&block.max_a).is_eq();
        let same = |still: &&mut Still| still.a.total_cmp(&block.mean_a).is_eq();
        if let Some(still) = self.now.as_mut().filter(|_| stands).filter(same) {
            still.to = block.begins().plus_secs(1.0);
        } else {
            self.closed_s = self.two_longest_s;
            self.now = stands.then(|| {
                let to = block.begins().plus_secs(1.0);
                let (from, a, resolution_a) = (block.begins(), block.mean_a, block.resolution_a);
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

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "whole seconds are exact")]
mod tests {
    use super::*;
    use crate::judge::stay::testkit::{at, block};
    use crate::signal::track::Reads;

    fn scanned(readings: &[(u32, f32)]) -> BlockScan {
        let blocks: Vec<Block> = readings.iter().map(|(t_s, a)| block(*t_s, *a)).collect();
        let mut scan = BlockScan::default();
        // In two goes, as from one judgement to the next.
        scan.go_on(&blocks[..blocks.len() / 2]);
        scan.go_on(&blocks);
        scan
    }

    #[test]
    fn zeros_and_what_a_charger_puts_in_are_runs() {
        let scan = scanned(&[
            (0, 0.03),
            (1, 0.0),
            (2, 0.0),
            (3, 0.3),
            (4, -0.2),
            (5, -0.05),
            (6, 0.0),
        ]);
        assert_eq!(
            (scan.read, scan.zeros.blocks, scan.charged.blocks),
            (7, 3, 1)
        );
        assert_eq!(scan.zeros.spans, [(at(1), at(3)), (at(6), at(7))]);
        assert_eq!(scan.charged.spans, [(at(4), at(5))]);
        assert!((scan.top_a - 0.3).abs() < 1e-6);
    }

    /// Stands of four minutes are long enough to be frozen; the two longest are told, but for zeros,
    /// which another rule hides.
    #[test]
    fn stands_of_the_display_are_weighed_by_the_two_longest() {
        let stands = |stretches: &[(u32, f32)]| {
            let values = stretches
                .iter()
                .flat_map(|(count, a)| (0..*count).map(|_| *a));
            scanned(&(0..).zip(values).collect::<Vec<_>>()).stills
        };
        let stills = stands(&[(100, 0.03), (250, 0.04), (50, 0.05), (300, 0.0)]);
        assert_eq!(stills.two_longest_s, [100.0, 250.0]);
        let long: Vec<_> = stills
            .long
            .iter()
            .map(|still| (still.from, still.to))
            .collect();
        assert_eq!(long, [(at(100), at(350))]);
        assert_eq!(
            stands(&[(230, 0.04), (9, 0.05)]).long,
            [],
            "not yet four minutes"
        );
        let [near_zero, least] = [0.000_4, 0.000_6].map(|a| stands(&[(9, 0.05), (300, a)]));
        assert_eq!(
            (near_zero.two_longest_s, near_zero.long),
            ([0.0, 9.0], vec![])
        );
        assert_eq!(least.two_longest_s, [9.0, 300.0]);
    }

    #[test]
    fn over_range_and_a_second_that_moves_are_no_stand() {
        let moving = Block {
            max_a: 0.04,
            ..block(1, 0.03)
        };
        let over = Block {
            reads: Reads::of(1).over(true),
            ..block(2, 0.03)
        };
        let unread = Block {
            reads: Reads::of(0),
            ..block(3, 0.03)
        };
        for odd in [moving, over, unread] {
            let mut stills = Stills::default();
            stills.push(&odd);
            stills.push(&block(4, 0.03));
            assert_eq!(stills.two_longest_s, [0.0, 1.0], "{odd:?}");
        }
    }
}
