//! Whether a level moves: its slope, held against how the pieces of a stretch scatter.

use super::Basis;
use super::shown::Shown;
use crate::judge::rules::{CHANCE, PIECES};
use crate::judge::uncertainty::t_factor;
use crate::reading::Elapsed;
use crate::reading::number::{f64_from_usize, round_to_usize};
use crate::reading::statistics;

impl Shown {
    /// The slope of the level in `from..to`, in ampere a second; `None` where noise may have made it.
    pub(in crate::judge) fn slope_a_per_s(
        &self,
        basis: &Basis<'_>,
        from: Elapsed,
        to: Elapsed,
    ) -> Option<f64> {
        let piece_s = to.secs_since(from) / PIECES;
        let points: Option<Vec<(f64, f64)>> = (0..round_to_usize(PIECES))
            .map(|i| {
                let start = from.plus_secs(piece_s * f64_from_usize(i));
                let piece = self.level_between(basis, start, start.plus_secs(piece_s))?;
                Some((f64_from_usize(i), piece.a))
            })
            .collect();
        let (slope, se) = statistics::slope(&points?);
        // Two of the pieces go into the line itself.
        let sure = t_factor(PIECES - 2.0, 1.0 - CHANCE);
        (slope.abs() > sure * se).then_some(slope / piece_s)
    }
}
