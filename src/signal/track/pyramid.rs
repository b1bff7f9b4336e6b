//! A min-max pyramid over blocks: each level holds the extremes of eight of the level below, the lowest
//! those of eight blocks.

use super::{Block, Extent};

const FAN: usize = 8;

#[derive(Clone, Debug, Default)]
pub(super) struct Pyramid {
    levels: Vec<Vec<Extent>>,
}

impl Pyramid {
    /// Takes in the newest of all `blocks`.
    pub(super) fn push(&mut self, blocks: &[Block]) {
        let Some(mut carried) = newest_full(blocks).map(|full| join(full.iter().map(Extent::of)))
        else {
            return;
        };
        for depth in 0.. {
            if self.levels.len() == depth {
                self.levels.push(Vec::new());
            }
            let Some(level) = self.levels.get_mut(depth) else {
                return;
            };
            level.push(carried);
            let Some(full) = newest_full(level) else {
                return;
            };
            carried = join(full.iter().copied());
        }
    }

    /// Extremes of `blocks[start..end]`.
    pub(super) fn extent(&self, blocks: &[Block], start: usize, end: usize) -> Extent {
        let of_blocks = |from, to| join(blocks.get(from..to).into_iter().flatten().map(Extent::of));
        let (mut found, mut inner) = outer(start, end, of_blocks);
        for level in &self.levels {
            let Some((start, end)) = inner else { break };
            let of_level = |from, to| join(level.get(from..to).into_iter().flatten().copied());
            let (more, further) = outer(start, end, of_level);
            found = found.join(more);
            inner = further;
        }
        found
    }
}

/// The newest [`FAN`] of them, where those are all that the next level waits for.
fn newest_full<T>(all: &[T]) -> Option<&[T]> {
    let is_full = all.len().is_multiple_of(FAN);
    is_full
        .then(|| all.get(all.len().checked_sub(FAN)?..))
        .flatten()
}

/// What of `start..end` is in no whole [`FAN`], and where the rest stands in the next level.
fn outer(
    start: usize,
    end: usize,
    extent: impl Fn(usize, usize) -> Extent,
) -> (Extent, Option<(usize, usize)>) {
    let (inner_start, inner_end) = (start.next_multiple_of(FAN), end - end % FAN);
    if inner_start >= inner_end {
        return (extent(start, end), None);
    }
    let edges = extent(start, inner_start).join(extent(inner_end, end));
    (edges, Some((inner_start / FAN, inner_end / FAN)))
}

fn join(extents: impl Iterator<Item = Extent>) -> Extent {
    extents.fold(Extent::NOTHING, Extent::join)
}

#[cfg(test)]
mod tests {
    use super::super::{Moment, Reads};
    use super::*;
    use crate::reading::Elapsed;

    #[test]
    fn any_stretch_has_the_extremes_of_its_blocks() {
        let value = |i: u16| f32::from(i.wrapping_mul(7919) % 1009);
        let mut pyramid = Pyramid::default();
        let mut blocks = Vec::new();
        for i in 0..700 {
            blocks.push(Block {
                from: Moment::of(Elapsed::from_ms(i64::from(i) * 1000)),
                reads: Reads::of(1).over(i == 333),
                mean_a: value(i),
                min_a: value(i),
                max_a: value(i) + 1.0,
                resolution_a: 0.001,
            });
            pyramid.push(&blocks);
        }
        for (start, end) in [
            (0u16, 700u16),
            (1, 699),
            (8, 64),
            (63, 65),
            (300, 340),
            (512, 513),
        ] {
            let plain = (start..end)
                .map(value)
                .fold((f32::INFINITY, 0f32), |(low, high), v| {
                    (low.min(v), high.max(v + 1.0))
                });
            let found = pyramid.extent(&blocks, usize::from(start), usize::from(end));
            assert_eq!((found.min_a, found.max_a), plain, "{start}..{end}");
            assert_eq!(found.over, (start..end).contains(&333));
        }
    }
}
