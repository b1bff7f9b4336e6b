//! The readings of a stay, as its analysis sees them: one value a second, or wider.

use std::ops::Range;
use std::slice;

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
#[derive(Clone, Debug)]
pub(super) struct Series<'a> {
    points: Points<'a>,
    /// How far apart they usually are, in seconds.
    pub step_s: f64,
}

/// A week has six hundred thousand points of one block each: they are made when they are asked for.
#[derive(Clone, Debug)]
enum Points<'a> {
    OfBlocks(OfBlocks<'a>),
    Wide(Vec<Point>),
}

/// Blocks that are a point each.
#[derive(Clone, Debug)]
struct OfBlocks<'a> {
    blocks: &'a [Block],
    /// Which block of the record the first of them is.
    first: usize,
    /// What over-range counts as, in ampere.
    top_a: f64,
    /// How far apart they usually are, and how long one vouches at most, in milliseconds.
    step_ms: u32,
    longest_ms: u32,
    runs: Vec<Run>,
}

/// Neighbouring blocks that all are points.
#[derive(Clone, Debug)]
struct Run {
    /// How many points stand before them.
    before: usize,
    blocks: Range<usize>,
}

impl OfBlocks<'_> {
    fn point(&self, at: usize) -> Option<Point> {
        let block = self.blocks.get(at)?;
        let for_ms = self.blocks.get(at + 1).map_or(self.step_ms, |next| {
            let apart_ms =
                u32::try_from(next.begins().ms() - block.begins().ms()).unwrap_or(u32::MAX);
            apart_ms.min(if next.is_after_gap() {
                self.step_ms
            } else {
                self.longest_ms
            })
        });
        let mean_a = if block.is_over() {
            f32_from_f64(self.top_a.max(block.a()))
        } else {
            block.mean_a
        };
        Some(Point {
            from: block.begins(),
            for_ms,
            mean_a,
            first: u32::try_from(self.first + at).ok()?,
            count: 1,
            over: block.is_over(),
        })
    }
}

impl<'a> Series<'a> {
    /// From `blocks`, the first of which is the `first`-th of the record and begins `hidden` where
    /// it tells nothing; over-range counts as `top_a`.
    pub(super) fn of(
        blocks: &'a [Block],
        first: usize,
        top_a: f64,
        hidden: impl Fn(f64) -> bool,
    ) -> Self {
        let step_s = usual_step_s(blocks);
        let mut runs: Vec<Run> = Vec::new();
        for (at, block) in blocks.iter().enumerate() {
            if hidden(block.begins().secs()) || !(block.is_read() || block.is_over()) {
                continue;
            }
            match runs.last_mut() {
                Some(run) if run.blocks.end == at => run.blocks.end += 1,
                last => {
                    let before = last.map_or(0, |run| run.before + run.blocks.len());
                    let blocks = at..at + 1;
                    runs.push(Run { before, blocks });
                }
            }
        }
        let points = Points::OfBlocks(OfBlocks {
            blocks,
            first,
            top_a,
            step_ms: milliseconds(step_s),
            longest_ms: milliseconds(4.0 * step_s),
            runs,
        });
        Self { points, step_s }
    }

    /// Of these points.
    pub(super) const fn wide(points: Vec<Point>, step_s: f64) -> Self {
        let points = Points::Wide(points);
        Self { points, step_s }
    }

    /// How many points it has.
    pub(super) fn len(&self) -> usize {
        match &self.points {
            Points::OfBlocks(of) => of
                .runs
                .last()
                .map_or(0, |run| run.before + run.blocks.len()),
            Points::Wide(points) => points.len(),
        }
    }

    /// Its points.
    pub(super) fn iter(&self) -> Iter<'_> {
        self.iter_from(0)
    }

    /// Its points from the `at`-th on.
    pub(super) fn iter_from(&self, at: usize) -> Iter<'_> {
        Iter(match &self.points {
            Points::OfBlocks(of) => {
                let run = of.runs.partition_point(|run| run.before <= at);
                let mut runs = of.runs.get(run.saturating_sub(1)..).unwrap_or(&[]).iter();
                let blocks = runs.next().map_or(0..0, |run| {
                    run.blocks.start + (at - run.before)..run.blocks.end
                });
                Told::OfBlocks { of, runs, blocks }
            }
            Points::Wide(points) => Told::Wide(points.get(at..).unwrap_or(&[]).iter()),
        })
    }

    /// The `at`-th point.
    pub(super) fn get(&self, at: usize) -> Option<Point> {
        self.iter_from(at).next()
    }

    /// The last point.
    pub(super) fn last(&self) -> Option<Point> {
        self.get(self.len().checked_sub(1)?)
    }

    /// Forgets all from the `end`-th point on.
    pub(super) fn truncate(&mut self, end: usize) {
        match &mut self.points {
            Points::OfBlocks(of) => {
                of.runs.retain(|run| run.before < end);
                if let Some(run) = of.runs.last_mut() {
                    let room = run.blocks.start + (end - run.before);
                    run.blocks.end = run.blocks.end.min(room);
                }
            }
            Points::Wide(points) => points.truncate(end),
        }
    }

    /// The same in blocks of `times` as many, counted from the end: what comes and goes faster is
    /// averaged.
    pub(super) fn widened(&self, times: usize) -> Series<'static> {
        let mut points = self.iter_from(self.len() % times);
        let mut wide = Vec::with_capacity(self.len() / times);
        let mut chunk: Vec<Point> = Vec::with_capacity(times);
        loop {
            chunk.clear();
            chunk.extend(points.by_ref().take(times));
            let Some((first, last)) = chunk.first().zip(chunk.last()) else {
                return Series::wide(wide, self.step_s * f64_from_usize(times));
            };
            let for_s: f64 = chunk.iter().map(Point::for_s).sum();
            let charge_as: f64 = chunk.iter().map(|point| point.a() * point.for_s()).sum();
            wide.push(Point {
                from: first.from,
                for_ms: milliseconds(for_s),
                mean_a: f32_from_f64(charge_as / for_s),
                first: first.first,
                // What is hidden in between counts too, and may be long.
                count: u16::try_from(last.blocks().1 - first.first).unwrap_or(u16::MAX),
                over: chunk.iter().any(|point| point.over),
            });
        }
    }

    pub(super) fn values(&self) -> Vec<f32> {
        let mut values = Vec::with_capacity(self.len());
        values.extend(self.iter().map(|point| point.mean_a));
        values
    }
}

/// The points of a series, one after another.
#[derive(Clone, Debug)]
pub(super) struct Iter<'a>(Told<'a>);

#[derive(Clone, Debug)]
enum Told<'a> {
    OfBlocks {
        of: &'a OfBlocks<'a>,
        /// What comes behind the run that is told now.
        runs: slice::Iter<'a, Run>,
        /// What is still to be told of it.
        blocks: Range<usize>,
    },
    Wide(slice::Iter<'a, Point>),
}

impl Iterator for Iter<'_> {
    type Item = Point;

    fn next(&mut self) -> Option<Point> {
        match &mut self.0 {
            Told::OfBlocks { of, runs, blocks } => loop {
                if let Some(at) = blocks.next() {
                    return of.point(at);
                }
                *blocks = runs.next()?.blocks.clone();
            },
            Told::Wide(points) => points.next().copied(),
        }
    }
}

fn milliseconds(span_s: f64) -> u32 {
    u32::try_from(Elapsed::from_secs(span_s).ms()).unwrap_or(u32::MAX)
}

/// The middle distance of neighbouring blocks, never below a second.
pub(super) fn usual_step_s(blocks: &[Block]) -> f64 {
    let pairs = blocks.iter().zip(blocks.iter().skip(1));
    let joined = pairs.filter(|(_, next)| !next.is_after_gap());
    // At once as large as it can become: grown, it would lie there twice for a moment.
    let mut apart_s = Vec::with_capacity(blocks.len());
    apart_s.extend(joined.map(|(block, next)| next.begins().secs_since(block.begins())));
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
    use crate::signal::track::Reads;

    fn lasting(blocks: &[Block]) -> Vec<f64> {
        let series = Series::of(blocks, 0, 5.0, |_| false);
        series.iter().map(|point| point.for_s()).collect()
    }

    /// A reading speaks until the next one, but not through a gap, nor for longer than four times
    /// what readings usually are apart.
    #[test]
    fn a_reading_vouches_for_no_more_than_was_seen() {
        let mut blocks = [0, 10, 20, 30, 130, 140].map(|t_s| block(t_s, 0.03));
        assert_eq!(lasting(&blocks), [10.0, 10.0, 10.0, 40.0, 10.0, 10.0]);
        blocks[4].reads = Reads::of(1).after_gap(true);
        assert_eq!(lasting(&blocks), [10.0, 10.0, 10.0, 10.0, 10.0, 10.0]);
        close(usual_step_s(&blocks), 10.0);
        close(usual_step_s(&blocks[..1]), 1.0);
    }

    /// Over-range is at least what was ever shown; what is hidden, or holds no reading, is left out.
    #[test]
    fn only_what_was_read_is_a_point_and_over_range_is_the_largest() {
        let mut blocks = [0, 1, 2, 3].map(|t_s| block(t_s, 0.03));
        blocks[1] = Block {
            reads: Reads::of(0).over(true),
            mean_a: 0.0,
            ..blocks[1]
        };
        blocks[2].reads = Reads::of(0);
        let series = Series::of(&blocks, 100, 5.0, |t_s| t_s > 2.5);
        let told: Vec<_> = series
            .iter()
            .map(|p| (p.t_s(), p.over, p.blocks()))
            .collect();
        assert_eq!(told, [(0.0, false, (100, 101)), (1.0, true, (101, 102))]);
        close(series.get(1).unwrap().a(), 5.0);
    }

    /// Two runs parted by what is hidden: told from any point on, and cut anywhere.
    #[test]
    fn points_are_counted_over_what_is_hidden() {
        let blocks = [0, 1, 2, 3, 4, 5, 6].map(|t_s| block(t_s, 0.03));
        let of = || Series::of(&blocks, 0, 5.0, |t_s| (2.0..4.0).contains(&t_s));
        let told = |points: Iter<'_>| points.map(|point| point.first).collect::<Vec<_>>();
        let series = of();
        assert_eq!(series.len(), 5);
        for (from, expected) in [
            (0, &[0, 1, 4, 5, 6][..]),
            (1, &[1, 4, 5, 6]),
            (2, &[4, 5, 6]),
            (4, &[6]),
            (5, &[]),
            (9, &[]),
        ] {
            assert_eq!(told(series.iter_from(from)), expected, "from {from}");
        }
        assert_eq!(series.last().unwrap().first, 6);
        for (end, expected) in [
            (9, &[0, 1, 4, 5, 6][..]),
            (3, &[0, 1, 4]),
            (2, &[0, 1]),
            (1, &[0]),
            (0, &[]),
        ] {
            let mut cut = of();
            cut.truncate(end);
            assert_eq!(
                (told(cut.iter()), cut.len()),
                (expected.to_vec(), expected.len()),
                "to {end}"
            );
        }
    }

    /// Seven seconds in twos: the oldest is left over, and a mean is weighed by time.
    #[test]
    fn wider_blocks_are_counted_from_the_end() {
        let plain = series(&[(1, 9.0), (3, 0.02), (3, 0.04)], 1);
        let mut points: Vec<Point> = plain.iter().collect();
        points[3].for_ms = 3000;
        points[5].over = true;
        let wide = Series::wide(points, 1.0).widened(2);
        let told: Vec<_> = wide
            .iter()
            .map(|p| (p.t_s(), p.for_s(), p.over, p.blocks()))
            .collect();
        let expected = [
            (1.0, 2.0, false, (1, 3)),
            (3.0, 4.0, false, (3, 5)),
            (5.0, 2.0, true, (5, 7)),
        ];
        assert_eq!(told, expected);
        close(wide.get(1).unwrap().a(), (3.0 * 0.02 + 0.04) / 4.0);
        close(wide.step_s, 2.0);
    }
}
