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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::kit::{TestCar, basis};
    use crate::judge::stay::testkit::{at, car, shown};

    /// The slope over half an hour of a current that goes from 40 mA so far.
    fn slope(by_a: f64) -> Option<f64> {
        let glides = |t_s: u32| (t_s, 0.040 + by_a * f64::from(t_s) / 1800.0);
        slope_of(&car(&(0..1800).map(glides).collect::<Vec<_>>(), 1800).display(4, 0.001))
    }

    fn slope_of(car: &TestCar) -> Option<f64> {
        let session = car.session();
        let blocks = (
            0,
            u32::try_from(session.signal().track().blocks().len()).unwrap(),
        );
        let shown = Shown {
            base: vec![blocks],
            ..shown(0, 1800, 0.04)
        };
        shown.slope_a_per_s(&basis(&session), at(0), at(1800))
    }

    /// Source: scipy 1.17.1: fifteen pieces, every other one 1 mA higher, that rise by 0.104 and
    /// 0.112 mA from one to the next have t = 3.25 and 3.50 (`linregress`); `t.ppf(.9975, 13)` = 3.37.
    #[test]
    fn a_slope_has_the_degrees_of_freedom_of_its_pieces_less_two() {
        for (rise_a, expected) in [(0.000_104, false), (0.000_112, true)] {
            let piece = |i: u32| {
                let a = 0.040 + rise_a * f64::from(i);
                (
                    120 * i,
                    if i.is_multiple_of(2) {
                        a + 0.0005
                    } else {
                        a - 0.0005
                    },
                )
            };
            let car = car(&(0..15).map(piece).collect::<Vec<_>>(), 1802).display(5, 0.0);
            assert_eq!(slope_of(&car).is_some(), expected, "{rise_a}");
        }
    }

    #[test]
    fn a_slope_is_one_when_it_stands_out_of_the_scatter_of_its_pieces() {
        for by_a in [0.010, -0.010] {
            let found = slope(by_a).unwrap();
            assert!((found / (by_a / 1800.0) - 1.0).abs() < 0.02, "{found}");
        }
        assert_eq!(slope(0.0), None);
    }
}
