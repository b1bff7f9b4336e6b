//! Floor and arrival: the one construction that serves falls, wakes, cycling, leak and wander.
//!
//! The floor is a low quantile of the current over half a minute. Its lowest value from each moment
//! to the end of the stay is what the car comes down to. The stay has arrived where the floor first
//! is near that; what stands above it later is an excursion, and where it jumps the car went up and
//! did not come back.

use statrs::distribution::{ContinuousCDF, Normal};

use super::lowest::Lowest;
use super::series::Series;
use crate::judge::rules::{
    CHANCE, FLOOR_S, FLOOR_SHARE, LOOK_S, NEAR_SHARE, NOISE_TIMES, SAME_A, SURE, WANDER_MAX_SHARE,
};
use crate::reading::number::{f32_from_f64, f64_from_usize, round_to_usize};
use crate::reading::statistics::median;
use crate::signal::sorted::slide;

/// The floor of a series and what is near it.
#[derive(Clone, Debug)]
pub(super) struct Floor {
    /// The floor at each point, in ampere.
    pub lows: Vec<f32>,
    /// The lowest floor from each point to the end.
    pub lowest: Lowest,
    /// What is near any floor, in ampere: noise, places of the display.
    least_a: f64,
    /// The level's own wander over a long stay, in ampere.
    wander_a: f64,
}

/// So many distances are enough for a quantile of them.
const DISTANCES_MAX: usize = 20_000;

impl Floor {
    /// Of `series`, read on a display whose last place is `resolution_a`.
    pub(super) fn of(series: &Series<'_>, resolution_a: f64, is_sparse: bool) -> Self {
        let values = series.values();
        // Readings minutes apart are judged one by one.
        let lows = if is_sparse {
            values.clone()
        } else {
            quantiles(&values, width(series))
        };
        // Neighbours minutes apart differ by more than noise.
        let noise_a = if is_sparse {
            0.0
        } else {
            // Noise that changes slowly shows only in values that lie far apart.
            NOISE_TIMES * unrest(&values, round_to_usize(FLOOR_S / 2.0 / series.step_s))
        };
        drop(values);
        let lowest = Lowest::of(&lows);
        // A display toggling between two places is no excursion.
        let least_a = SAME_A.max(noise_a).max(1.5 * resolution_a);
        let mut floor = Self {
            lows,
            lowest,
            least_a,
            wander_a: 0.0,
        };
        floor.wander_a = floor.wander().unwrap_or(0.0);
        floor
    }

    /// How far above the floor `lowest_a` is still near it, in ampere.
    pub(super) fn near(&self, lowest_a: f64) -> f64 {
        let wander_a = self.wander_a.min(WANDER_MAX_SHARE * lowest_a);
        self.least_a.max(NEAR_SHARE * lowest_a).max(wander_a)
    }

    /// The level's own wander over a long stay is no excursion.
    fn wander(&self) -> Option<f64> {
        let arrived = self.arrival()?;
        let near = self
            .pairs()
            .skip(arrived)
            .filter(|(low_a, lowest_a)| *low_a <= lowest_a + 2.0 * self.near(*lowest_a));
        let mut at_rest = Vec::with_capacity(self.lows.len() - arrived);
        at_rest.extend(near.map(|(low_a, _)| f32_from_f64(low_a)));
        if f64_from_usize(at_rest.len()) < 2.0 * LOOK_S {
            return None;
        }
        let [low_a, high_a] = [1.0 - SURE, SURE].map(|share| {
            let at = place_of(at_rest.len(), share);
            f64::from(*at_rest.select_nth_unstable_by(at, f32::total_cmp).1)
        });
        // Nine tenths of a level's own wander are seen; nearly all of it is wider.
        let normal = Normal::standard();
        let wider = normal.inverse_cdf(1.0 - CHANCE) / normal.inverse_cdf(SURE);
        Some(wider * (high_a - low_a))
    }

    /// The first point whose floor is near the lowest.
    pub(super) fn arrival(&self) -> Option<usize> {
        self.pairs()
            .position(|(low_a, lowest_a)| low_a <= lowest_a + self.near(lowest_a))
    }

    /// The floor at each point and the lowest to come, in ampere.
    fn pairs(&self) -> impl Iterator<Item = (f64, f64)> {
        let lows = self.lows.iter().copied().map(f64::from);
        lows.zip(self.lowest.iter())
    }

    /// What a value at each point has to exceed to be an excursion, in ampere.
    pub(super) fn thresholds(&self) -> impl Iterator<Item = f64> + '_ {
        let lowest = self.lowest.iter();
        lowest.map(|lowest_a| lowest_a + self.near(lowest_a))
    }

    /// Where the lowest floor jumps for good: the last points before it does.
    pub(super) fn jumps(&self) -> Vec<usize> {
        let far = |here_a: f64, next_a: f64| next_a - here_a > 2.0 * self.near(here_a);
        let rises = self.lowest.rises();
        rises
            .filter(|(_, here_a, next_a)| far(*here_a, *next_a))
            .map(|(at, ..)| at)
            .collect()
    }

    /// Forgets all from `end` on.
    pub(super) fn truncate(&mut self, end: usize) {
        self.lows.truncate(end);
        self.lowest.truncate(end);
    }
}

/// How many points the floor is taken over: an odd number of at least three.
fn width(series: &Series<'_>) -> usize {
    let points = round_to_usize(FLOOR_S / series.step_s).max(3);
    points.min(series.len().max(1)) | 1
}

/// The middle distance of neighbours, or of values `slow` apart where noise changes slowly. Half of
/// those may lie across the edge of a wake, so there the lower quartile speaks for the middle one.
fn unrest(values: &[f32], slow: usize) -> f64 {
    let mut apart = distances(values, slow.max(1));
    let at = place_of(apart.len(), 0.25);
    let quartile = if apart.is_empty() {
        0.0
    } else {
        *apart.select_nth_unstable_by(at, f64::total_cmp).1
    };
    middle_difference(values).max(middle_over_quartile() * quartile)
}

/// The middle distance of neighbours.
pub(super) fn middle_difference<T: Copy + Into<f64>>(values: &[T]) -> f64 {
    median(&mut distances(values, 1)).unwrap_or(0.0)
}

/// Of a long stay a share is enough, evenly spread.
fn distances<T: Copy + Into<f64>>(values: &[T], lag: usize) -> Vec<f64> {
    let laters = values.iter().skip(lag);
    let pairs = values
        .iter()
        .zip(laters)
        .step_by(1 + values.len() / DISTANCES_MAX);
    let apart = |one: T, later: T| (later.into() - one.into()).abs();
    pairs.map(|(one, later)| apart(*one, *later)).collect()
}

/// Where among so many sorted values the one stands below which this share of them lies.
fn place_of(count: usize, share: f64) -> usize {
    round_to_usize(share * f64_from_usize(count.saturating_sub(1)))
}

/// The low quantile of the `width` values around each, reflected at the ends.
fn quantiles(values: &[f32], width: usize) -> Vec<f32> {
    let half = width / 2;
    let padded = || {
        let head = values.iter().take(half).rev();
        let tail = values.iter().rev().take(half);
        head.chain(values).chain(tail)
    };
    let rank = round_to_usize((FLOOR_SHARE * f64_from_usize(width)).floor());
    let mut window: Vec<f32> = padded().take(width).copied().collect();
    window.sort_by(f32::total_cmp);
    let mut quantiles = Vec::with_capacity(values.len());
    quantiles.extend(window.get(rank));
    for (old, new) in padded().zip(padded().skip(width)) {
        slide(&mut window, *old, *new);
        quantiles.extend(window.get(rank));
    }
    quantiles
}

/// The middle of the size of a normal deviate over its lower quartile.
fn middle_over_quartile() -> f64 {
    let normal = Normal::standard();
    normal.inverse_cdf(0.75) / normal.inverse_cdf(0.625)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: `scipy.ndimage.percentile_filter(x, 20, size=5, mode="reflect")`, scipy 1.17.1.
    #[test]
    fn the_running_quantile_is_the_one_of_scipy() {
        let values = [5.0, 1.0, 4.0, 4.0, 9.0, 2.0, 6.0, 5.0, 3.0, 5.0];
        assert_eq!(quantiles(&values, 5), SCIPY);
    }

    const SCIPY: [f32; 10] = [1.0, 4.0, 4.0, 2.0, 4.0, 4.0, 3.0, 3.0, 5.0, 3.0];

    use crate::judge::stay::testkit::{close, series};

    fn floor(lows: &[f32], least_a: f64, wander_a: f64) -> Floor {
        Floor {
            lows: lows.to_vec(),
            lowest: Lowest::of(lows),
            least_a,
            wander_a,
        }
    }

    /// What is near a floor: the same level, a quarter of it, or its own wander, which is never
    /// more than six tenths of it.
    #[test]
    fn what_is_near_follows_from_noise_share_and_wander() {
        for (least_a, wander_a, lowest_a, expected_a) in [
            (0.005, 0.0, 0.010, 0.005),
            (0.005, 0.0, 0.100, 0.025),
            (0.005, 0.040, 0.100, 0.040),
            (0.005, 0.090, 0.100, 0.060),
        ] {
            close(floor(&[], least_a, wander_a).near(lowest_a), expected_a);
        }
    }

    #[test]
    fn the_car_has_arrived_where_its_floor_is_near_its_lowest() {
        let lows = [3.0, 1.0, 0.126, 0.124, 0.100, 0.110];
        assert_eq!(floor(&lows, 0.005, 0.0).arrival(), Some(3));
        let thresholds: Vec<f64> = floor(&lows, 0.005, 0.0).thresholds().collect();
        close(thresholds[0], 0.125);
    }

    /// A lasting rise counts from twice what is near: 15 mA over 30 mA.
    #[test]
    fn a_jump_is_twice_what_is_near() {
        for (to_a, expected) in [(0.044, &[][..]), (0.046, &[1])] {
            assert_eq!(
                floor(&[0.03, 0.03, to_a, to_a], 0.005, 0.0).jumps(),
                expected,
                "{to_a}"
            );
        }
        let mut short = floor(&[0.03, 0.03, 0.3], 0.005, 0.0);
        short.truncate(2);
        assert_eq!((short.lows.len(), short.lowest.len()), (2, 2));
    }

    #[test]
    fn the_floor_is_taken_over_half_a_minute_and_over_three_points_at_least() {
        for (for_s, step_s, expected) in [
            (100, 1, 31),
            (300, 3, 11),
            (300, 10, 3),
            (300, 30, 3),
            (4, 1, 5),
        ] {
            assert_eq!(
                width(&series(&[(for_s, 0.03)], step_s)),
                expected,
                "{step_s}"
            );
        }
    }

    /// A display of 10 mA toggles between two places; noise of 4 mA between neighbours strays by
    /// five times as much; of readings minutes apart neither noise nor a quantile is taken.
    #[test]
    fn places_and_noise_widen_what_is_near() {
        let still = series(&[(200, 0.03)], 1);
        close(Floor::of(&still, 0.001, false).least_a, 0.005);
        close(Floor::of(&still, 0.010, false).least_a, 0.015);
        let noisy = series(&[(1, 0.030), (1, 0.034)].repeat(100), 1);
        close(Floor::of(&noisy, 0.001, false).least_a, 0.020);
        close(Floor::of(&noisy, 0.001, false).lows[50].into(), 0.030);
        let sparse = Floor::of(&noisy, 0.001, true);
        close(sparse.least_a, 0.005);
        close(sparse.lows[51].into(), 0.034);
    }

    /// Noise that changes every twenty seconds shows in no neighbours; a single wake in half of the
    /// values sixteen seconds apart would make its lower quartile nothing.
    #[test]
    fn slow_noise_counts_and_a_wake_does_not() {
        let slow: Vec<f32> = (0..400)
            .map(|i| 0.03 + 0.01 * f32::from(i / 8 % 4_u16))
            .collect();
        let fast = middle_difference(&slow);
        assert!(fast < 1e-12, "{fast}");
        let slow_a = unrest(&slow, 16);
        // Source: scipy 1.17.1, norm.ppf(.75) / norm.ppf(.625).
        let times = 0.674_489_750_196 / 0.318_639_363_964;
        assert!((slow_a / 0.02 - times).abs() < 1e-6, "{slow_a}");
        let wake: Vec<f32> = [vec![0.03; 300], vec![0.3; 8]].concat();
        assert!(unrest(&wake, 16) < 1e-12);
        close(distances(&[1.0, 4.0, 9.0], 2)[0], 8.0);
    }

    /// A level that wanders by 20 mA about 100 mA over twenty minutes: all of its own wander is near.
    #[test]
    fn the_wander_of_a_long_stay_is_near_and_of_a_short_one_unknown() {
        let wandering = |minutes: u32| {
            let slow = |i: u32| (60, 0.090 + 0.010 * f64::from(i % 3));
            let all: Vec<(u32, f64)> = (0..minutes).map(slow).collect();
            Floor::of(&series(&all, 1), 0.001, false).wander_a
        };
        let wander_a = wandering(20);
        assert!(
            (0.031..0.032).contains(&wander_a),
            "20 mA times 2.576 / 1.645: {wander_a}"
        );
        close(wandering(9), 0.0);
    }

    #[test]
    fn a_place_among_sorted_values_is_counted_from_the_first() {
        assert_eq!(
            [place_of(101, 0.25), place_of(1, 0.95), place_of(11, 0.95)],
            [25, 0, 10]
        );
    }
}
