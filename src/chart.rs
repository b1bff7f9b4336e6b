//! What every plot of a record is made of, in cells or in print: the stretch of time that it shows,
//! the current axis, round times, labels and their lanes, stretches that touch.

pub mod currents;
pub mod label;
pub mod lanes;
pub mod ticks;

use crate::reading::{Elapsed, number};

/// The stretch of a session that a plot shows from its left end to its right one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Window {
    /// The left end.
    pub from: Elapsed,
    /// The right end.
    pub to: Elapsed,
}

impl Window {
    /// How long it is, in seconds.
    pub fn span_s(self) -> f64 {
        self.to.secs_since(self.from)
    }

    /// How far from the left `t` stands: 0 at the left end, 1 at the right one.
    pub fn share(self, t: Elapsed) -> f64 {
        t.secs_since(self.from) / self.span_s().max(1e-3)
    }

    /// The moment that stands so far from the left.
    pub fn moment(self, share: f64) -> Elapsed {
        self.from.plus_secs(share * self.span_s())
    }

    /// The stretches that `count` columns of equal width stand for.
    pub fn columns(self, count: u16) -> impl Iterator<Item = Self> {
        let width_s = self.span_s() / f64::from(count.max(1));
        let edge = move |column: u16| self.from.plus_secs(width_s * f64::from(column));
        (0..count).map(move |column| Self {
            from: edge(column),
            to: edge(column.saturating_add(1)),
        })
    }

    /// The cell in which `t` falls, of `cells` cells; `None` outside.
    pub fn cell(self, t: Elapsed, cells: u16) -> Option<u16> {
        let share = self.share(t);
        let cell = number::round_to_u16((share * f64::from(cells)).floor());
        let last = cells.saturating_sub(1);
        (0.0..=1.0).contains(&share).then(|| cell.min(last))
    }

    /// The first cell of a stretch and the one after its last, as far as it can be seen.
    pub fn cells(self, from: Elapsed, to: Elapsed, cells: u16) -> Option<(u16, u16)> {
        let first = self.cell(from.max(self.from), cells)?;
        let last = self.cell(to.min(self.to), cells)?;
        Some((first, last.saturating_add(1)))
    }

    /// The window that holds this one and another.
    #[must_use]
    pub fn join(self, other: Self) -> Self {
        Self {
            from: self.from.min(other.from),
            to: self.to.max(other.to),
        }
    }

    /// The same window, `secs` later.
    #[must_use]
    pub fn later(self, secs: f64) -> Self {
        Self {
            from: self.from.plus_secs(secs),
            to: self.to.plus_secs(secs),
        }
    }
}

/// Stretches in order, from and to, those that touch joined: a week of wakes shares its columns.
pub fn joined<W: PartialOrd + Copy>(stretches: impl IntoIterator<Item = (W, W)>) -> Vec<(W, W)> {
    let mut out: Vec<(W, W)> = Vec::new();
    for (from, to) in stretches {
        match out.last_mut().filter(|(_, end)| from <= *end) {
            Some((_, end)) if to > *end => *end = to,
            Some(_) => {}
            None => out.push((from, to)),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    const WINDOW: Window = Window {
        from: Elapsed::ZERO,
        to: Elapsed::from_ms(100_000),
    };

    #[test]
    fn moments_fall_into_their_cells() {
        let at = |t_s| WINDOW.cell(Elapsed::from_secs(t_s), 10);
        assert_eq!(at(0.0), Some(0));
        assert_eq!(at(19.9), Some(1));
        assert_eq!(at(100.0), Some(9));
        assert_eq!(at(100.1), None);
    }

    #[test]
    fn columns_follow_one_another_without_a_gap() {
        let columns: Vec<Window> = WINDOW.columns(7).collect();
        assert_eq!(columns.len(), 7);
        assert!(columns.windows(2).all(|pair| pair[0].to == pair[1].from));
        assert_eq!((columns[0].from, columns[6].to), (WINDOW.from, WINDOW.to));
    }

    #[test]
    fn what_touches_is_one_stretch() {
        let stretches = [(0, 2), (2, 3), (5, 9), (6, 7), (10, 11)];
        assert_eq!(joined(stretches), [(0, 3), (5, 9), (10, 11)]);
    }
}
