//! The first look after a mark: a few seconds of readings before it and after it.
//!
//! Too short to tell its own noise. So it is asked how much the car did by itself: the same two
//! stretches, the same time apart, are laid over the minutes before the mark, again and again. It
//! is a first look and is labelled as one.

use super::finding::Level;
use super::rules::{LOOK_INFLATE, LOOK_PLACES};
use super::uncertainty::rounding::dithered_u_a;
use super::uncertainty::{count_a, coverage};
use crate::reading::Elapsed;
use crate::reading::number::{f64_from_usize, round_to_usize};
use crate::reading::statistics::{mean, squares_about};
use crate::session::Session;
use crate::signal::track;

/// The mean of a short stretch.
#[derive(Clone, Copy, Debug)]
pub(super) struct BriefMean {
    a: f64,
    squares: f64,
    blocks: usize,
    resolution_a: f64,
    from: Elapsed,
    to: Elapsed,
}

impl BriefMean {
    /// The readings of `from..to`; `None` for fewer than two seconds of them.
    pub(super) fn of(session: &Session, from: Elapsed, to: Elapsed) -> Option<Self> {
        let blocks = session.signal().track().between(from, to.plus_secs(-1.0));
        let values = track::values(blocks);
        let a = mean(&values);
        let squares = squares_about(&values, a);
        (values.len() > 1).then_some(Self {
            a,
            squares,
            blocks: values.len(),
            resolution_a: count_a(session, blocks),
            from,
            to,
        })
    }

    /// The mean, in ampere.
    pub(super) const fn a(&self) -> f64 {
        self.a
    }

    /// The change from this mean to a later one, with what the car does by itself: `still` are the
    /// blocks of the minutes before in which nothing happened.
    pub(super) fn to(&self, after: &Self, still: &[f64], gain_u: f64) -> Level {
        let (n0, n1) = (f64_from_usize(self.blocks), f64_from_usize(after.blocks));
        let variance = (self.squares + after.squares) / (n0 + n1 - 2.0);
        let inside_a = (variance * (1.0 / n0 + 1.0 / n1)).sqrt();
        let apart_s = after.from.secs_since(self.to) + 1.0;
        let apart = round_to_usize(apart_s * n0 / self.to.secs_since(self.from).max(1.0));
        let wander = wander(still, self.blocks, apart, after.blocks);
        let noise_a = match wander {
            Some((wander_a, dof)) => coverage(dof) * wander_a.max(inside_a),
            None => 2.0 * LOOK_INFLATE * inside_a,
        };
        let rounding_u_a = dithered_u_a(variance.sqrt(), self.resolution_a.max(after.resolution_a))
            * std::f64::consts::SQRT_2;
        let a = after.a - self.a;
        let rest_u_a = rounding_u_a.hypot(gain_u * a);
        Level {
            a,
            u_a: noise_a.hypot(2.0 * rest_u_a),
        }
    }
}

/// How much the mean of `n1` blocks differs from that of `n0` blocks that end `apart` before it,
/// over a stretch in which nothing happens, and with how many degrees of freedom that is known.
fn wander(still: &[f64], n0: usize, apart: usize, n1: usize) -> Option<(f64, f64)> {
    let squares: Vec<f64> = still
        .windows(n0 + apart + n1)
        .filter_map(|all| Some(mean(all.get(n0 + apart..)?) - mean(all.get(..n0)?)))
        .map(|difference| difference * difference)
        .collect();
    if f64_from_usize(squares.len()) < LOOK_PLACES {
        return None;
    }
    let places = f64_from_usize(squares.len());
    // Places closer than two stretches share their noise.
    Some((mean(&squares).sqrt(), places / 2.0 / f64_from_usize(n1)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::kit::TestCar;

    #[test]
    fn a_still_car_does_nothing_by_itself() {
        let (wander_a, dof) = wander(&[0.05; 200], 20, 5, 5).unwrap();
        assert!(wander_a < 1e-12 && dof > 15.0, "{wander_a} {dof}");
    }

    /// Worked by hand: every other block 2 mA higher; one block against the one just before it.
    #[test]
    fn what_the_car_does_by_itself_is_counted() {
        let still: Vec<f64> = (0..200u32)
            .map(|i| 0.05 + 0.002 * f64::from(i % 2))
            .collect();
        let (wander_a, _) = wander(&still, 1, 0, 1).unwrap();
        assert!((wander_a - 0.002).abs() < 1e-12, "{wander_a}");
    }

    #[test]
    fn a_minute_alone_says_too_little() {
        assert_eq!(wander(&[0.05; 60], 20, 5, 5), None);
    }

    #[test]
    fn a_first_look_needs_two_seconds_and_tells_after_minus_before() {
        let session = TestCar::asleep(&[(0, 0.100), (100, 0.060)]).until(200);
        let mean = |from_s, to_s| {
            BriefMean::of(
                &session,
                Elapsed::from_secs(from_s),
                Elapsed::from_secs(to_s),
            )
        };
        assert!(mean(50.0, 52.0).is_none() && mean(50.0, 54.0).is_some());
        let (before, after) = (mean(78.0, 98.0).unwrap(), mean(102.0, 108.0).unwrap());
        let look = before.to(&after, &[], 0.0);
        assert!((look.a + 0.040).abs() < 2e-4, "{look:?}");
        assert!(look.u_a > 1e-5 && look.u_a < 1e-3, "{look:?}");
        // A gain that is off by a tenth is off by a tenth of the change, at k = 2.
        let coarse = before.to(&after, &[], 0.1);
        assert!(
            (coarse.u_a - look.u_a.hypot(0.2 * look.a)).abs() < 1e-9,
            "{coarse:?}"
        );
    }

    /// Before it, after it: means of so many readings, and how they scatter, in squares.
    fn brief(blocks: usize, squares: f64, from_s: f64, to_s: f64) -> BriefMean {
        BriefMean {
            a: 0.05,
            squares,
            blocks,
            resolution_a: 1e-9,
            from: Elapsed::from_secs(from_s),
            to: Elapsed::from_secs(to_s),
        }
    }

    /// Worked by hand: 19 readings and 5, whose squares make 22 mA2 together, have a variance of
    /// 1 mA2; a mean of either is known to its share of that, at k = 2, and where the minutes before
    /// tell nothing at 1.8 times as much.
    #[test]
    fn a_first_look_alone_is_known_by_its_own_scatter() {
        let (before, after) = (brief(19, 16e-6, 0.0, 20.0), brief(5, 6e-6, 23.0, 29.0));
        let own_a = 0.001 * f64::sqrt(1.0 / 19.0 + 1.0 / 5.0);
        let look = before.to(&after, &[], 0.0);
        assert!((look.u_a - 3.6 * own_a).abs() < 1e-9, "{look:?}");
    }

    /// Worked by hand: readings two seconds apart, two of 50 and two of 52 mA by turns. Two of them
    /// and one that comes two readings later differ by 1 mA every other time.
    #[test]
    fn what_the_car_does_by_itself_is_seen_as_far_apart_as_the_look() {
        let still: Vec<f64> = [0.050, 0.050, 0.052, 0.052].repeat(60);
        let (before, after) = (brief(2, 0.0, 0.0, 4.0), brief(1, 0.0, 7.0, 9.0));
        let look = before.to(&after, &still, 0.0);
        let expected_a = 2.0 * 0.001 * f64::sqrt(0.5);
        assert!((look.u_a / expected_a - 1.0).abs() < 0.02, "{look:?}");
    }
}
