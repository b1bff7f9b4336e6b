//! The trace: for every column of the plot the lowest and the highest current in it, so that a
//! spike of one reading is seen in a week.

use crate::chart::Window;
use crate::reading::Elapsed;
use crate::signal::track::{Block, Track};

/// Columns of the trace in one cell of the screen.
pub const PER_CELL: u16 = 2;

/// What one column shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TraceColumn {
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

impl TraceColumn {
    /// The lowest and the highest current.
    pub const fn extremes(&self) -> Option<(f64, f64)> {
        match *self {
            Self::Seen { min_a, max_a, .. } => Some((min_a, max_a)),
            Self::Held(a) => Some((a, a)),
            Self::Nothing | Self::Gap | Self::Over => None,
        }
    }

    /// Whether the meter was beyond its range.
    pub const fn is_over(&self) -> bool {
        matches!(self, Self::Over | Self::Seen { over: true, .. })
    }
}

/// The samples of a stretch in `columns` columns.
pub fn samples(track: &Track, window: Window, columns: u16) -> Vec<TraceColumn> {
    let mut held = None;
    let sample = |Window { from, to }| {
        let sample = match track.extent(from, to) {
            Some(extent) if extent.min_a <= extent.max_a => TraceColumn::Seen {
                min_a: f64::from(extent.min_a),
                max_a: f64::from(extent.max_a),
                over: extent.over,
            },
            Some(_) => TraceColumn::Over,
            None => missing(track, from, to, held),
        };
        held = match sample {
            TraceColumn::Seen { .. } => track
                .between(from, to)
                .last()
                .filter(|block| block.is_read())
                .map(Block::a),
            TraceColumn::Held(a) => Some(a),
            TraceColumn::Nothing | TraceColumn::Gap | TraceColumn::Over => None,
        };
        sample
    };
    window.columns(columns).map(sample).collect()
}

/// A column without readings: a gap, between two readings of a slow meter, or outside the record.
fn missing(track: &Track, start: Elapsed, end: Elapsed, held: Option<f64>) -> TraceColumn {
    let next = track.between(end, Elapsed::from_ms(i64::MAX)).first();
    match (next, held) {
        (None, _) => TraceColumn::Nothing,
        (Some(next), Some(a)) if !next.is_after_gap() => TraceColumn::Held(a),
        (Some(_), _) => {
            let before = track.between(Elapsed::from_ms(i64::MIN), start);
            if before.is_empty() {
                TraceColumn::Nothing
            } else {
                TraceColumn::Gap
            }
        }
    }
}

/// The lowest and highest current of the samples.
pub fn bounds(samples: &[TraceColumn]) -> Option<(f64, f64)> {
    samples
        .iter()
        .filter_map(TraceColumn::extremes)
        .reduce(|(low, high), (min_a, max_a)| (low.min(min_a), high.max(max_a)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::signal::track::{Moment, Reads};

    fn made(blocks: impl IntoIterator<Item = Block>) -> Track {
        let mut track = Track::default();
        blocks.into_iter().for_each(|block| track.push(block));
        track
    }

    fn window(to_s: f64) -> Window {
        Window {
            from: Elapsed::ZERO,
            to: Elapsed::from_secs(to_s),
        }
    }

    fn block(t_s: f64, a: f32, after_gap: bool) -> Block {
        Block {
            from: Moment::of(Elapsed::from_secs(t_s)),
            reads: Reads::of(1).after_gap(after_gap),
            mean_a: a,
            min_a: a,
            max_a: a,
            resolution_a: 0.001,
        }
    }

    fn picture(track: &Track, to_s: f64, columns: u16) -> String {
        samples(track, window(to_s), columns)
            .iter()
            .map(|sample| match sample {
                TraceColumn::Nothing => ' ',
                TraceColumn::Gap => '?',
                TraceColumn::Held(_) => '-',
                TraceColumn::Seen { .. } => '*',
                TraceColumn::Over => '^',
            })
            .collect()
    }

    #[test]
    fn one_high_second_in_a_week_is_seen() {
        let mut blocks: Vec<Block> = (0..604_800_i32)
            .map(|t| block(f64::from(t), 0.02, false))
            .collect();
        blocks[300_001].max_a = 4.0;
        let week = samples(&made(blocks), window(604_800.0), 400);
        let highest = bounds(&week).unwrap().1;
        assert!((highest - 4.0).abs() < 1e-6);
    }

    #[test]
    fn a_slow_meter_is_joined_and_a_gap_is_not() {
        let record = made([
            block(1.0, 1.0, false),
            block(4.0, 1.0, false),
            block(8.0, 1.0, true),
        ]);
        assert_eq!(picture(&record, 10.0, 10), " *--*???* ");
    }

    #[test]
    fn over_range_is_no_number() {
        let mut over = block(2.0, 0.0, false);
        over.reads = Reads::of(0).over(true);
        (over.min_a, over.max_a) = (f32::INFINITY, f32::NEG_INFINITY);
        let record = made([block(1.0, 1.0, false), over, block(3.0, 1.0, false)]);
        assert_eq!(picture(&record, 5.0, 5), " *^* ");
    }
}
