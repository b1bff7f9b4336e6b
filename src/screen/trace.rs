//! The trace: for every column of the plot the lowest and the highest current in it, so that a
//! spike of one reading is seen in a week.

use crate::reading::{Elapsed, number};
use crate::signal::track::{Block, Track};

/// Columns of the trace in one cell of the screen.
pub const PER_CELL: u16 = 2;

/// What one column shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sample {
    /// Before the record, or after it.
    Nothing,
    /// Evidence is missing here.
    Gap,
    /// No reading falls into this column; the current before it still holds.
    Held(f64),
    /// Readings between these.
    Seen {
        /// The lowest, in ampere.
        min_a: f64,
        /// The highest, in ampere.
        max_a: f64,
        /// Whether the meter was beyond its range too.
        over: bool,
    },
    /// Nothing but over-range.
    Over,
}

/// What the trace needs to know of a record.
pub trait Record {
    /// Lowest and highest current in `from..to`, and whether any reading was over-range; `None`
    /// without a reading.
    fn extremes(&self, from: Elapsed, to: Elapsed) -> Option<(f32, f32, bool)>;
    /// The blocks that begin in `from..to`.
    fn between(&self, from: Elapsed, to: Elapsed) -> &[Block];
}

impl Record for Track {
    fn extremes(&self, from: Elapsed, to: Elapsed) -> Option<(f32, f32, bool)> {
        self.extent(from, to)
            .map(|extent| (extent.min_a, extent.max_a, extent.over))
    }

    fn between(&self, from: Elapsed, to: Elapsed) -> &[Block] {
        Self::between(self, from, to)
    }
}

/// The samples of `from..to` in `columns` columns.
#[must_use]
pub fn samples(record: &impl Record, from: Elapsed, to: Elapsed, columns: u16) -> Vec<Sample> {
    let width_s = to.secs_since(from) / f64::from(columns.max(1));
    let edge = |column: u16| from.plus_secs(width_s * f64::from(column));
    let mut held = None;
    let mut out = Vec::with_capacity(usize::from(columns));
    for column in 0..columns {
        let (start, end) = (edge(column), edge(column.saturating_add(1)));
        let sample = match record.extremes(start, end) {
            Some((min_a, max_a, over)) if min_a <= max_a => Sample::Seen {
                min_a: f64::from(min_a),
                max_a: f64::from(max_a),
                over,
            },
            Some(_) => Sample::Over,
            None => missing(record, start, end, held),
        };
        held = match sample {
            Sample::Seen { .. } => record
                .between(start, end)
                .last()
                .filter(|block| block.count > 0)
                .map(|block| f64::from(block.mean_a)),
            Sample::Held(a) => Some(a),
            Sample::Nothing | Sample::Gap | Sample::Over => None,
        };
        out.push(sample);
    }
    out
}

/// A column without readings: a gap, between two readings of a slow meter, or outside the record.
fn missing(record: &impl Record, start: Elapsed, end: Elapsed, held: Option<f64>) -> Sample {
    let next = record.between(end, Elapsed::from_ms(i64::MAX)).first();
    match (next, held) {
        (None, _) => Sample::Nothing,
        (Some(next), Some(a)) if !next.after_gap => Sample::Held(a),
        (Some(_), _) => {
            let before = record.between(Elapsed::from_ms(i64::MIN), start);
            if before.is_empty() {
                Sample::Nothing
            } else {
                Sample::Gap
            }
        }
    }
}

/// The lowest and highest current of the samples.
#[must_use]
pub fn bounds(samples: &[Sample]) -> Option<(f64, f64)> {
    samples
        .iter()
        .filter_map(|sample| match sample {
            Sample::Seen { min_a, max_a, .. } => Some((*min_a, *max_a)),
            Sample::Held(a) => Some((*a, *a)),
            Sample::Nothing | Sample::Gap | Sample::Over => None,
        })
        .reduce(|(low, high), (min_a, max_a)| (low.min(min_a), high.max(max_a)))
}

/// The cell in which moment `t` falls, of `cells` cells that show `from..to`; `None` outside.
#[must_use]
pub fn cell_of(t: Elapsed, from: Elapsed, to: Elapsed, cells: u16) -> Option<u16> {
    let share = t.secs_since(from) / to.secs_since(from).max(1e-3);
    if !(0.0..=1.0).contains(&share) {
        return None;
    }
    let cell = number::round_to_u16((share * f64::from(cells)).floor());
    Some(cell.min(cells.saturating_sub(1)))
}

#[cfg(test)]
mod tests {
    use super::*;

    struct Made(Vec<Block>);

    impl Record for Made {
        fn extremes(&self, from: Elapsed, to: Elapsed) -> Option<(f32, f32, bool)> {
            self.between(from, to)
                .iter()
                .map(|block| (block.min_a, block.max_a, block.over))
                .reduce(|a, b| (a.0.min(b.0), a.1.max(b.1), a.2 || b.2))
        }

        fn between(&self, from: Elapsed, to: Elapsed) -> &[Block] {
            let start = self.0.partition_point(|block| block.from < from);
            let end = self.0.partition_point(|block| block.from < to);
            &self.0[start..end.max(start)]
        }
    }

    fn block(t_s: f64, a: f32, after_gap: bool) -> Block {
        Block {
            from: Elapsed::from_secs(t_s),
            mean_a: a,
            min_a: a,
            max_a: a,
            resolution_a: 0.001,
            count: 1,
            over: false,
            after_gap,
        }
    }

    fn picture(record: &Made, to_s: f64, columns: u16) -> String {
        samples(record, Elapsed::ZERO, Elapsed::from_secs(to_s), columns)
            .iter()
            .map(|sample| match sample {
                Sample::Nothing => ' ',
                Sample::Gap => '?',
                Sample::Held(_) => '-',
                Sample::Seen { .. } => '*',
                Sample::Over => '^',
            })
            .collect()
    }

    #[test]
    fn one_high_second_in_a_week_is_seen() {
        let mut blocks: Vec<Block> = (0..604_800_i32)
            .map(|t| block(f64::from(t), 0.02, false))
            .collect();
        blocks[300_001].max_a = 4.0;
        let week = samples(
            &Made(blocks),
            Elapsed::ZERO,
            Elapsed::from_secs(604_800.0),
            400,
        );
        let highest = bounds(&week).unwrap().1;
        assert!((highest - 4.0).abs() < 1e-6);
    }

    #[test]
    fn a_slow_meter_is_joined_and_a_gap_is_not() {
        let record = Made(vec![
            block(1.0, 1.0, false),
            block(4.0, 1.0, false),
            block(8.0, 1.0, true),
        ]);
        assert_eq!(picture(&record, 10.0, 10), " *--*???* ");
    }

    #[test]
    fn over_range_is_no_number() {
        let mut over = block(2.0, 0.0, false);
        over.count = 0;
        over.over = true;
        (over.min_a, over.max_a) = (f32::INFINITY, f32::NEG_INFINITY);
        let record = Made(vec![block(1.0, 1.0, false), over, block(3.0, 1.0, false)]);
        assert_eq!(picture(&record, 5.0, 5), " *^* ");
    }

    #[test]
    fn moments_fall_into_their_cells() {
        let at = |t_s| {
            let t = Elapsed::from_secs(t_s);
            cell_of(t, Elapsed::ZERO, Elapsed::from_secs(100.0), 10)
        };
        assert_eq!(at(0.0), Some(0));
        assert_eq!(at(19.9), Some(1));
        assert_eq!(at(100.0), Some(9));
        assert_eq!(at(100.1), None);
    }
}
