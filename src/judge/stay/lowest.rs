//! The lowest floor from each moment to the end of a stay: what the car comes down to. It never falls
//! and mostly stays, so that runs of it are kept.

/// A value for each point, as runs of the same.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Lowest {
    runs: Vec<Run>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Run {
    /// One past its last point.
    end: usize,
    lowest_a: f32,
}

impl Lowest {
    /// Of the floor at each point, in ampere.
    pub(super) fn of(lows: &[f32]) -> Self {
        let mut runs: Vec<Run> = Vec::new();
        let mut lowest_a = f32::INFINITY;
        for (i, low_a) in lows.iter().enumerate().rev() {
            if runs.is_empty() || *low_a < lowest_a {
                lowest_a = lowest_a.min(*low_a);
                runs.push(Run {
                    end: i + 1,
                    lowest_a,
                });
            }
        }
        runs.reverse();
        Self { runs }
    }

    /// How many points there are.
    pub(super) fn len(&self) -> usize {
        self.runs.last().map_or(0, |run| run.end)
    }

    /// From point `at` to the end, in ampere.
    pub(super) fn get(&self, at: usize) -> Option<f64> {
        let run = self.runs.partition_point(|run| run.end <= at);
        self.runs.get(run).map(|run| f64::from(run.lowest_a))
    }

    /// One for each point, in ampere.
    pub(super) fn iter(&self) -> impl Iterator<Item = f64> + Clone + '_ {
        let begins = std::iter::once(0).chain(self.runs.iter().map(|run| run.end));
        let runs = self.runs.iter().zip(begins);
        runs.flat_map(|(run, begin)| std::iter::repeat_n(f64::from(run.lowest_a), run.end - begin))
    }

    /// Each point after which it is another, with what it is there and then, in ampere.
    pub(super) fn rises(&self) -> impl Iterator<Item = (usize, f64, f64)> + '_ {
        let pairs = self.runs.iter().zip(self.runs.iter().skip(1));
        pairs.map(|(here, next)| (here.end - 1, here.lowest_a.into(), next.lowest_a.into()))
    }

    /// Forgets all from `end` on.
    pub(super) fn truncate(&mut self, end: usize) {
        let kept = if end == 0 {
            0
        } else {
            self.runs.partition_point(|run| run.end < end) + 1
        };
        self.runs.truncate(kept);
        if let Some(last) = self.runs.last_mut() {
            last.end = last.end.min(end);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn plain(lows: &[f32]) -> Vec<f64> {
        let from = |i: usize| lows[i..].iter().copied().fold(f32::INFINITY, f32::min);
        (0..lows.len()).map(|i| f64::from(from(i))).collect()
    }

    #[test]
    fn nothing_has_no_lowest_and_infinity_is_one() {
        let none = Lowest::of(&[]);
        assert_eq!((none.len(), none.get(0), none.iter().count()), (0, None, 0));
        let open = Lowest::of(&[1.0, f32::INFINITY]);
        assert_eq!(open.iter().collect::<Vec<_>>(), [1.0, f64::INFINITY]);
    }

    proptest! {
        #[test]
        fn the_runs_are_the_lowest_of_all_that_come(
            lows in prop::collection::vec((0u8..9).prop_map(f32::from), 0..40),
            end in 0usize..50,
        ) {
            let mut lowest = Lowest::of(&lows);
            let expected = plain(&lows);
            prop_assert_eq!(lowest.len(), lows.len());
            prop_assert_eq!(&lowest.iter().collect::<Vec<_>>(), &expected);
            let each: Vec<f64> = (0..lows.len()).filter_map(|i| lowest.get(i)).collect();
            prop_assert_eq!(&each, &expected);
            let rises: Vec<_> = lowest.rises().collect();
            let pairs = expected.iter().zip(expected.iter().skip(1)).enumerate();
            let jumps = pairs.filter(|(_, (here, next))| here < next);
            let jumps: Vec<_> = jumps.map(|(i, (here, next))| (i, *here, *next)).collect();
            prop_assert_eq!(rises, jumps);
            lowest.truncate(end);
            let end = end.min(lows.len());
            prop_assert_eq!(lowest.iter().collect::<Vec<_>>(), &expected[..end]);
            prop_assert_eq!(lowest.len(), end);
        }
    }
}
