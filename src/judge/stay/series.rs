//! The readings of a stay, as its analysis sees them: one value a second, or wider.

use crate::reading::Elapsed;
use crate::reading::number::{f32_from_f64, f64_from_usize};
use crate::reading::statistics::median;
use crate::signal::track::Block;

/// One value of the series. Small: a week has six hundred thousand of them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Point {
    /// When it begins.
    pub from: Elapsed,
    /// How long it vouches for, in milliseconds.
    pub for_ms: u32,
    /// The mean current in it, in ampere.
    pub mean_a: f32,
    /// The first block of the record that it is made of.
    pub first: u32,
    /// How many blocks.
    pub count: u16,
    /// Whether the meter was over its range in it.
    pub over: bool,
}

impl Point {
    /// When it begins, in seconds of the record.
    pub(super) fn t_s(&self) -> f64 {
        self.from.secs()
    }

    /// How long it vouches for, in seconds.
    pub(super) fn for_s(&self) -> f64 {
        f64::from(self.for_ms) / 1000.0
    }

    /// When what it vouches for ends, in seconds.
    pub(super) fn end_s(&self) -> f64 {
        self.t_s() + self.for_s()
    }

    /// The mean current in it, in ampere.
    pub(super) fn a(&self) -> f64 {
        f64::from(self.mean_a)
    }

    /// Which blocks of the record it is made of: the first, and one past the last.
    pub(super) fn blocks(&self) -> (u32, u32) {
        (self.first, self.first + u32::from(self.count))
    }
}

/// The points of a stay, in order.
#[derive(Clone, Debug, Default)]
pub(super) struct Series {
    pub points: Vec<Point>,
    /// How far apart they usually are, in seconds.
    pub step_s: f64,
}

impl Series {
    /// From `blocks`, the first of which is the `first`-th of the record and begins `hidden` where
    /// it tells nothing; over-range counts as `top_a`.
    pub(super) fn of(
        blocks: &[Block],
        first: usize,
        top_a: f64,
        hidden: impl Fn(f64) -> bool,
    ) -> Self {
        let step_s = usual_step_s(blocks);
        let longest_s = 4.0 * step_s;
        let nexts = blocks.iter().skip(1).map(Some).chain([None]);
        let points = blocks
            .iter()
            .zip(nexts)
            .enumerate()
            .filter_map(|(i, (block, next))| {
                let t_s = block.from.secs();
                if hidden(t_s) || !(block.is_read() || block.over) {
                    return None;
                }
                let for_s = next.map_or(step_s, |next| {
                    let apart_s = next.from.secs_since(block.from);
                    if next.after_gap {
                        step_s.min(apart_s)
                    } else {
                        apart_s.min(longest_s)
                    }
                });
                let a = if block.over {
                    top_a.max(block.a())
                } else {
                    block.a()
                };
                Some(Point {
                    from: block.from,
                    for_ms: milliseconds(for_s),
                    mean_a: f32_from_f64(a),
                    first: u32::try_from(first + i).ok()?,
                    count: 1,
                    over: block.over,
                })
            });
        // Nearly every block is a point, and a week of them is not copied as it grows.
        let mut all = Vec::with_capacity(blocks.len());
        all.extend(points);
        Self {
            points: all,
            step_s,
        }
    }

    /// The same in blocks of `times` as many, counted from the end: what comes and goes faster is
    /// averaged.
    pub(super) fn widened(&self, times: usize) -> Self {
        let skip = self.points.len() % times;
        let points = self
            .points
            .get(skip..)
            .unwrap_or(&[])
            .chunks_exact(times)
            .filter_map(|chunk| {
                let (first, last) = (chunk.first()?, chunk.last()?);
                let for_s: f64 = chunk.iter().map(Point::for_s).sum();
                let charge_as: f64 = chunk.iter().map(|point| point.a() * point.for_s()).sum();
                Some(Point {
                    from: first.from,
                    for_ms: milliseconds(for_s),
                    mean_a: f32_from_f64(charge_as / for_s),
                    first: first.first,
                    // What is hidden in between counts too, and may be long.
                    count: u16::try_from(last.blocks().1 - first.first).unwrap_or(u16::MAX),
                    over: chunk.iter().any(|point| point.over),
                })
            });
        Self {
            points: points.collect(),
            step_s: self.step_s * f64_from_usize(times),
        }
    }

    pub(super) fn values(&self) -> Vec<f32> {
        self.points.iter().map(|point| point.mean_a).collect()
    }
}

fn milliseconds(span_s: f64) -> u32 {
    u32::try_from(Elapsed::from_secs(span_s).ms()).unwrap_or(u32::MAX)
}

/// The middle distance of neighbouring blocks, never below a second.
pub(super) fn usual_step_s(blocks: &[Block]) -> f64 {
    let nexts = blocks.iter().skip(1);
    let apart = blocks.iter().zip(nexts).filter(|(_, next)| !next.after_gap);
    let mut apart_s: Vec<f64> = apart
        .map(|(block, next)| next.from.secs_since(block.from))
        .collect();
    median(&mut apart_s).unwrap_or(1.0).max(1.0)
}

/// How many points are worth looking at: of typed readings two make a level.
pub(super) const fn fewest(is_sparse: bool) -> usize {
    if is_sparse { 2 } else { 3 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::stay::testkit::{block, close, series};

    fn lasting(blocks: &[Block]) -> Vec<f64> {
        let series = Series::of(blocks, 0, 5.0, |_| false);
        series.points.iter().map(Point::for_s).collect()
    }

    /// A reading speaks until the next one, but not through a gap, nor for longer than four times
    /// what readings usually are apart.
    #[test]
    fn a_reading_vouches_for_no_more_than_was_seen() {
        let mut blocks = [0, 10, 20, 30, 130, 140].map(|t_s| block(t_s, 0.03));
        assert_eq!(lasting(&blocks), [10.0, 10.0, 10.0, 40.0, 10.0, 10.0]);
        blocks[4].after_gap = true;
        assert_eq!(lasting(&blocks), [10.0, 10.0, 10.0, 10.0, 10.0, 10.0]);
        close(usual_step_s(&blocks), 10.0);
        close(usual_step_s(&blocks[..1]), 1.0);
    }

    /// Over-range is at least what was ever shown; what is hidden, or holds no reading, is left out.
    #[test]
    fn only_what_was_read_is_a_point_and_over_range_is_the_largest() {
        let mut blocks = [0, 1, 2, 3].map(|t_s| block(t_s, 0.03));
        blocks[1] = Block {
            over: true,
            count: 0,
            mean_a: 0.0,
            ..blocks[1]
        };
        blocks[2].count = 0;
        let series = Series::of(&blocks, 100, 5.0, |t_s| t_s > 2.5);
        let told: Vec<_> = series
            .points
            .iter()
            .map(|p| (p.t_s(), p.over, p.blocks()))
            .collect();
        assert_eq!(told, [(0.0, false, (100, 101)), (1.0, true, (101, 102))]);
        close(series.points[1].a(), 5.0);
    }

    /// Seven seconds in twos: the oldest is left over, and a mean is weighed by time.
    #[test]
    fn wider_blocks_are_counted_from_the_end() {
        let mut plain = series(&[(1, 9.0), (3, 0.02), (3, 0.04)], 1);
        plain.points[3].for_ms = 3000;
        plain.points[5].over = true;
        let wide = plain.widened(2);
        let told: Vec<_> = wide
            .points
            .iter()
            .map(|p| (p.t_s(), p.for_s(), p.over, p.blocks()))
            .collect();
        let expected = [
            (1.0, 2.0, false, (1, 3)),
            (3.0, 4.0, false, (3, 5)),
            (5.0, 2.0, true, (5, 7)),
        ];
        assert_eq!(told, expected);
        close(wide.points[1].a(), (3.0 * 0.02 + 0.04) / 4.0);
        close(wide.step_s, 2.0);
    }
}
