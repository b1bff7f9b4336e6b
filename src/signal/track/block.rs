//! One second of readings, in as few bytes as it takes: there are six hundred thousand in a week.

use crate::reading::Elapsed;

/// One second of readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Block {
    /// When its first reading came.
    pub from: Moment,
    /// Of how many readings the mean is, and what else to know of them.
    pub reads: Reads,
    /// Mean of all its readings, in ampere.
    pub mean_a: f32,
    /// Lowest reading; infinite without one.
    pub min_a: f32,
    /// Highest reading; minus infinite without one.
    pub max_a: f32,
    /// The finest place written in it, in ampere.
    pub resolution_a: f32,
}

impl Block {
    /// When its first reading came.
    pub fn begins(&self) -> Elapsed {
        self.from.elapsed()
    }

    /// How many readings the mean is of; zero for nothing but over-range.
    pub const fn count(&self) -> u16 {
        self.reads.0 & Reads::MOST
    }

    /// Whether it holds a reading.
    pub const fn is_read(&self) -> bool {
        self.count() > 0
    }

    /// Whether any reading in it was over-range.
    pub const fn is_over(&self) -> bool {
        self.reads.0 & Reads::OVER != 0
    }

    /// Whether evidence is missing between the block before and this one: not to be joined.
    pub const fn is_after_gap(&self) -> bool {
        self.reads.0 & Reads::AFTER_GAP != 0
    }

    /// Mean of all its readings, in ampere; nothing where it has none.
    pub fn a(&self) -> f64 {
        f64::from(self.mean_a)
    }
}

/// How many readings a block is of, and two flags, in two bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reads(u16);

impl Reads {
    const OVER: u16 = 1 << 15;
    const AFTER_GAP: u16 = 1 << 14;
    /// More than any meter sends in a second.
    const MOST: u16 = Self::AFTER_GAP - 1;

    /// Of so many.
    pub fn of(count: u16) -> Self {
        Self(count.min(Self::MOST))
    }

    /// The same; whether a reading was over-range.
    #[must_use]
    pub const fn over(self, is_over: bool) -> Self {
        self.flag(Self::OVER, is_over)
    }

    /// The same; whether evidence is missing before them.
    #[must_use]
    pub const fn after_gap(self, is_after_gap: bool) -> Self {
        self.flag(Self::AFTER_GAP, is_after_gap)
    }

    const fn flag(self, bit: u16, on: bool) -> Self {
        Self(if on { self.0 | bit } else { self.0 & !bit })
    }
}

/// A moment of the session in six bytes; four thousand years off it stands still.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Moment {
    high: i16,
    middle: u16,
    low: u16,
}

impl Moment {
    const LATEST_MS: i64 = (1 << 47) - 1;

    /// This one.
    #[expect(
        clippy::as_conversions,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "the parts of a number of 48 bits"
    )]
    pub fn of(t: Elapsed) -> Self {
        let ms = t.ms().clamp(-Self::LATEST_MS - 1, Self::LATEST_MS);
        Self {
            high: (ms >> 32) as i16,
            middle: (ms >> 16) as u16,
            low: ms as u16,
        }
    }

    fn elapsed(self) -> Elapsed {
        let [middle, low] = [self.middle, self.low].map(i64::from);
        Elapsed::from_ms(i64::from(self.high) << 32 | middle << 16 | low)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(ms: i64) -> Elapsed {
        Moment::of(Elapsed::from_ms(ms)).elapsed()
    }

    #[test]
    fn a_moment_comes_out_as_it_went_in() {
        assert_eq!(size_of::<Block>(), 24);
        for ms in [
            0,
            1,
            -1,
            65_535,
            65_536,
            604_799_900,
            -7_654_321_000,
            1 << 46,
        ] {
            assert_eq!(at(ms), Elapsed::from_ms(ms));
        }
        assert_eq!(at(i64::MAX).ms(), (1 << 47) - 1);
        assert_eq!(at(i64::MIN).ms(), -(1 << 47));
    }

    #[test]
    fn the_flags_and_the_count_leave_each_other_alone() {
        for count in [0, 1, Reads::MOST, u16::MAX] {
            for (over, gap) in [(false, false), (true, false), (false, true), (true, true)] {
                let block = Block {
                    from: Moment::of(Elapsed::ZERO),
                    reads: Reads::of(count).over(!over).over(over).after_gap(gap),
                    mean_a: 0.0,
                    min_a: 0.0,
                    max_a: 0.0,
                    resolution_a: 0.0,
                };
                assert_eq!(block.count(), count.min(Reads::MOST));
                assert_eq!((block.is_over(), block.is_after_gap()), (over, gap));
            }
        }
    }
}
