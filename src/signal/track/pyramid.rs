//! A min-max pyramid over blocks: each level holds the extremes of eight of the level below.

use super::Extent;

const FAN: usize = 8;

#[derive(Clone, Debug, Default)]
pub(super) struct Pyramid {
    levels: Vec<Vec<Extent>>,
}

impl Pyramid {
    pub(super) fn push(&mut self, extent: Extent) {
        let mut carried = extent;
        let mut depth = 0;
        loop {
            if self.levels.len() == depth {
                self.levels.push(Vec::new());
            }
            let Some(level) = self.levels.get_mut(depth) else {
                return;
            };
            level.push(carried);
            if !level.len().is_multiple_of(FAN) {
                return;
            }
            let full = level.get(level.len() - FAN..).unwrap_or(&[]);
            carried = join(full);
            depth += 1;
        }
    }

    /// Extremes of the blocks `start..end`.
    pub(super) fn extent(&self, mut start: usize, mut end: usize) -> Extent {
        let mut found = Extent::NOTHING;
        for level in &self.levels {
            if start >= end {
                break;
            }
            let inner_start = start.next_multiple_of(FAN);
            let inner_end = end - end % FAN;
            if inner_start >= inner_end {
                return found.join(join(level.get(start..end).unwrap_or(&[])));
            }
            found = found.join(join(level.get(start..inner_start).unwrap_or(&[])));
            found = found.join(join(level.get(inner_end..end).unwrap_or(&[])));
            start = inner_start / FAN;
            end = inner_end / FAN;
        }
        found
    }
}

fn join(extents: &[Extent]) -> Extent {
    extents
        .iter()
        .fold(Extent::NOTHING, |joined, extent| joined.join(*extent))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_stretch_has_the_extremes_of_its_blocks() {
        let value = |i: u16| f32::from(i.wrapping_mul(7919) % 1009);
        let mut pyramid = Pyramid::default();
        for i in 0..700 {
            pyramid.push(Extent {
                min_a: value(i),
                max_a: value(i) + 1.0,
                over: i == 333,
            });
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
            let found = pyramid.extent(usize::from(start), usize::from(end));
            assert_eq!((found.min_a, found.max_a), plain, "{start}..{end}");
            assert_eq!(found.over, (start..end).contains(&333));
        }
    }
}
