//! Lanes of labels above a plot, whatever their width is counted in. They are filled from the right
//! end to the left, so that the newest label has its place first.

/// Where the leftmost label of each lane begins, from the lowest lane up.
#[derive(Clone, Debug)]
pub struct Lanes<W>(Vec<W>);

impl<W: PartialOrd + Copy> Lanes<W> {
    /// Empty lanes of a plot that ends at `end`.
    pub fn new(count: usize, end: W) -> Self {
        Self(vec![end; count])
    }

    /// Puts a label into the first lane that has a place for it: `place` is told where that lane's
    /// leftmost label begins, and tells where this one would begin, and whatever else it likes.
    pub fn first<T>(&mut self, place: impl Fn(W) -> Option<(W, T)>) -> Option<(usize, W, T)> {
        self.0.iter_mut().enumerate().find_map(|(lane, taken)| {
            let (from, rest) = place(*taken)?;
            *taken = from;
            Some((lane, from, rest))
        })
    }

    /// Puts a label that reaches from `from` to `to` above all that begin left of its end, so that
    /// no line down from a label crosses another.
    pub fn above(&mut self, from: W, to: W) -> Option<usize> {
        let reached = self.0.iter().rposition(|taken| *taken < to);
        let lane = reached.map_or(0, |lane| lane.saturating_add(1));
        *self.0.get_mut(lane)? = from;
        Some(lane)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_stands_above_those_it_would_run_into() {
        let mut lanes = Lanes::new(3, f64::INFINITY);
        assert_eq!(lanes.above(80.0, 120.0), Some(0));
        assert_eq!(lanes.above(70.0, 110.0), Some(1));
        assert_eq!(lanes.above(60.0, 75.0), Some(2));
        assert_eq!(lanes.above(50.0, 65.0), None);
        assert_eq!(lanes.above(10.0, 40.0), Some(0));
    }

    #[test]
    fn a_label_takes_the_first_lane_with_a_place() {
        let mut lanes = Lanes::new(2, 10_u16);
        let mut put = |at: u16| {
            let place = |taken: u16| (at + 3 < taken).then_some((at, ()));
            lanes.first(place).map(|(lane, ..)| lane)
        };
        assert_eq!(
            [put(6), put(5), put(4), put(1)],
            [Some(0), Some(1), None, Some(0)]
        );
    }
}
