//! All stays of one state together: one bad stay widens an interval, and erases nothing.

use statrs::distribution::{ContinuousCDF, Normal};

use super::cycle;
use super::finding::{Cycle, Wake};
use super::rules::{MATTER_A, NEAR_SHARE, SURE};
use super::stay::asleep::came_down;
use super::stay::shown::Shown;
use super::stay::{Basis, Opening, Stay, Stays};
use crate::reading::Elapsed;
use crate::reading::number::f64_from_usize;
use crate::reading::statistics::upper_median;
use crate::session::mark::Did;

/// The stays of one state.
#[derive(Clone, Debug)]
pub struct Pool<'a> {
    /// Which state.
    pub setup: usize,
    stays: Vec<&'a Stay>,
    /// Whether anybody marked a lock: then the record before it is of an open car.
    has_lock: bool,
}

/// Wakes over the time in which they could have come.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wakes {
    /// The wakes, in order.
    pub seen: Vec<Wake>,
    /// How long the car was watched at rest, wakes included, in seconds.
    pub watched_s: f64,
    /// The regular ones, if an honest test calls them that.
    pub regular: Option<Cycle>,
    /// Where the stays that they came in begin.
    pub parted: Vec<Elapsed>,
    /// Whether some were seen in readings minutes apart: how long they lasted nobody knows.
    pub are_glimpsed: bool,
}

impl Wakes {
    /// What they add to the resting level on average, in ampere.
    pub fn add_a(&self) -> f64 {
        if self.watched_s <= 0.0 {
            return 0.0;
        }
        self.seen.iter().map(|wake| wake.charge_as).sum::<f64>() / self.watched_s
    }

    /// The middle charge of one, in ampere-seconds.
    pub fn usual_as(&self) -> f64 {
        upper_median(self.seen.iter().map(|wake| wake.charge_as)).unwrap_or(0.0)
    }

    /// Those of one kind alone.
    #[must_use]
    pub fn only(&self, is_one: impl Fn(&Wake) -> bool) -> Self {
        let seen: Vec<Wake> = self
            .seen
            .iter()
            .filter(|wake| is_one(wake))
            .copied()
            .collect();
        Self {
            regular: cycle::commonest(&seen, &self.parted),
            seen,
            ..self.clone()
        }
    }

    /// The charge of the one that the middle ampere-second is of, where few take most.
    pub fn weightiest_as(&self) -> f64 {
        let mut charges: Vec<f64> = self.seen.iter().map(|wake| wake.charge_as).collect();
        charges.sort_by(f64::total_cmp);
        let half_as = charges.iter().sum::<f64>() / 2.0;
        let sums = charges.iter().scan(0.0, |sum, charge_as| {
            *sum += charge_as;
            Some((*sum, *charge_as))
        });
        sums.into_iter()
            .find(|(sum, _)| *sum >= half_as)
            .map_or(0.0, |(_, one_as)| one_as)
    }

    /// The regular wakes that this car had in any state but one, since its last new part.
    pub fn of_car(stays: &Stays, but: usize) -> Option<Cycle> {
        let swaps = stays.setups.get(but)?.swaps;
        let same = |stay: &&Stay| {
            stay.setup != but
                && stays
                    .setups
                    .get(stay.setup)
                    .is_some_and(|s| s.swaps == swaps)
        };
        let shown: Vec<(&Stay, &Shown)> = stays
            .all
            .iter()
            .filter(same)
            .filter_map(|stay| Some((stay, stay.standing()?)))
            .collect();
        let wakes: Vec<Wake> = shown
            .iter()
            .flat_map(|(_, shown)| &shown.wakes)
            .copied()
            .collect();
        let parted: Vec<Elapsed> = shown.iter().map(|(stay, _)| stay.from).collect();
        cycle::commonest(&wakes, &parted)
    }

    /// How often they come, in seconds from one to the next; `None` of none.
    pub fn every_s(&self) -> Option<f64> {
        let n = self.seen.len();
        let by_count = (n > 0).then(|| self.watched_s / f64_from_usize(n));
        self.regular.map(|cycle| cycle.period_s).or(by_count)
    }
}

/// How long a state kept the car up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Up {
    /// In seconds, over all its stays that were left alone.
    pub for_s: f64,
    /// How improbable that is for a car that sleeps as its card says.
    pub p: f64,
}

/// A car that sleeps as its card says does so within the time-out in 95 of 100 cases, and in half
/// of it in half of them: so the logarithm of its time to sleep spreads (log-normal).
fn sleep_sigma() -> f64 {
    std::f64::consts::LN_2 / Normal::standard().inverse_cdf(SURE)
}

impl<'a> Pool<'a> {
    /// All stays of this state.
    pub fn of(stays: &'a Stays, setup: usize) -> Self {
        Self {
            setup,
            stays: stays.in_setup(setup).collect(),
            has_lock: stays.all.iter().any(|stay| stay.opening.is_lock()),
        }
    }

    /// Those in which the car slept, in order.
    pub fn rested(&self) -> impl DoubleEndedIterator<Item = (&'a Stay, &'a Shown)> + '_ {
        self.stays
            .iter()
            .filter_map(|stay| Some((*stay, stay.standing()?)))
    }

    /// Those in which the car could have slept if it would: nobody had opened it, and it was not
    /// asleep already when a fuse came out.
    pub fn left_alone(&self) -> impl Iterator<Item = &'a Stay> + use<'a> {
        let has_lock = self.has_lock;
        self.stays
            .clone()
            .into_iter()
            .filter(move |stay| is_left_alone(stay, has_lock))
    }

    /// The wakes of the stays that rested near `level_a`.
    pub fn wakes_near(&self, level_a: f64) -> Wakes {
        let near_a = MATTER_A.max(NEAR_SHARE * level_a);
        let near = |shown: &Shown| (shown.level.a - level_a).abs() <= near_a;
        Self::wakes_of(self.rested().filter(|(_, shown)| near(shown)))
    }

    /// The wakes of all stays that rested.
    pub fn wakes(&self) -> Wakes {
        Self::wakes_of(self.rested())
    }

    fn wakes_of(stays: impl Iterator<Item = (&'a Stay, &'a Shown)>) -> Wakes {
        let mut wakes = Wakes::default();
        for (stay, shown) in stays {
            wakes.parted.push(stay.from);
            wakes.watched_s += shown.watched_s;
            wakes.seen.extend(&shown.wakes);
            wakes.are_glimpsed |= shown.is_sparse && !shown.wakes.is_empty();
        }
        wakes.regular = cycle::commonest(&wakes.seen, &wakes.parted);
        wakes
    }

    /// How long the state kept the car up, when it never let it sleep below the limit.
    pub fn up(&self, basis: &Basis<'_>) -> Option<Up> {
        if self
            .rested()
            .any(|(_, shown)| shown.level.a <= basis.limit_a)
        {
            return None;
        }
        let ups: Vec<f64> = self.left_alone().map(Stay::lasts_s).collect();
        let p = ups
            .iter()
            .map(|up_s| outlasts(*up_s, basis.timeout_s))
            .product();
        (!ups.is_empty()).then(|| Up {
            for_s: ups.iter().sum(),
            p,
        })
    }

    /// How much longer the car would have to stay up with it, for a later sleep to count, in
    /// seconds.
    pub fn up_for_more_s(&self, basis: &Basis<'_>) -> f64 {
        let p = self.up(basis).map_or(1.0, |up| up.p);
        let sure = Normal::standard().inverse_cdf(1.0 - ((1.0 - SURE) / p).min(1.0 - f64::EPSILON));
        basis.timeout_s / 2.0 * (sleep_sigma() * sure).exp()
    }
}

fn is_left_alone(stay: &Stay, has_lock: bool) -> bool {
    match stay.opening {
        Opening::Start => {
            !has_lock
                && stay
                    .shown
                    .as_deref()
                    .is_some_and(|shown| came_down(stay, shown))
        }
        Opening::Unnamed | Opening::Unmarked => false,
        Opening::Deed(_, did) => matches!(did, Did::Lock | Did::Refit | Did::Plug | Did::Swap),
    }
}

/// How probable it is that a car that sleeps as its card says is still up after so long.
fn outlasts(up_s: f64, timeout_s: f64) -> f64 {
    let median_s = timeout_s / 2.0;
    let z = (up_s.max(1.0) / median_s).ln() / sleep_sigma();
    Normal::standard().sf(z)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::kit::{self, HOUR, MIN, TestCar};

    /// Source: scipy 1.17.1, `lognorm(s=log(2)/norm.ppf(.95), scale=T/2).sf(x)`.
    #[test]
    fn the_time_up_is_as_improbable_as_scipy_says() {
        for (up_s, p) in [(900.0, 0.5), (1800.0, 0.05), (3600.0, 0.000_501_458)] {
            assert!(
                (outlasts(up_s, 1800.0) - p).abs() < 1e-6,
                "{up_s}: {}",
                outlasts(up_s, 1800.0)
            );
        }
    }

    #[test]
    fn wakes_add_their_charge_over_the_watch() {
        let wakes = kit::wakes(4, 3600.0);
        assert!((wakes.add_a() - 0.010).abs() < 1e-12);
        assert_eq!(wakes.every_s(), Some(900.0));
        assert_eq!(kit::wakes(0, 3600.0).every_s(), None);
        let unwatched = Wakes {
            watched_s: 0.0,
            ..wakes
        };
        assert!(unwatched.add_a().abs() < 1e-12);
    }

    /// A level 3 mA or a quarter away is of the same rest: its wakes are counted with it.
    #[test]
    fn only_wakes_out_of_the_same_level_are_pooled() {
        let car = TestCar::asleep(&[(0, 0.040), (5000, 0.5), (5030, 0.040)]);
        car.stays(2 * HOUR, |_, stays| {
            let pool = Pool::of(stays, 0);
            assert_eq!(pool.wakes().seen.len(), 1);
            for (near_a, expected) in [(0.033, 1), (0.0315, 0), (0.053, 1), (0.0545, 0)] {
                assert_eq!(pool.wakes_near(near_a).seen.len(), expected, "{near_a}");
            }
        });
    }

    #[test]
    fn three_milliamperes_are_of_one_rest_however_low_it_is() {
        let car = TestCar::asleep(&[(0, 0.010), (5000, 0.5), (5030, 0.010)]);
        car.stays(2 * HOUR, |_, stays| {
            let near = |a| Pool::of(stays, 0).wakes_near(a).seen.len();
            assert_eq!([near(0.0078), near(0.0068)], [1, 0]);
        });
    }

    /// Up for twice its usual time, which is the 45 min of the card: one car in twenty.
    #[test]
    fn a_car_that_stays_up_is_the_less_probable_the_longer() {
        let up = |level_a, marks: &[(u32, &str)], end_s| {
            let car = TestCar::of(&[(0, level_a)]).marked(marks);
            car.stays(end_s, |basis, stays| {
                let pool = Pool::of(stays, stays.all.last().unwrap().setup);
                (pool.up(basis), pool.up_for_more_s(basis))
            })
        };
        let (locked, needed_s) = up(2.0, &[(0, "lock")], 45 * MIN);
        let locked = locked.unwrap();
        assert!(
            (locked.p - 0.05).abs() < 0.001 && (locked.for_s - 2700.0).abs() < 2.0,
            "{locked:?}"
        );
        assert!(needed_s < 500.0, "{needed_s}");
        let (half, needed_s) = up(2.0, &[(0, "lock")], 22 * MIN + 30);
        assert!((half.unwrap().p - 0.5).abs() < 0.01, "{half:?}");
        assert!(needed_s > 1350.0 && needed_s < 2700.0, "{needed_s}");
        assert_eq!(up(0.020, &[(0, "lock")], 45 * MIN).0, None, "it sleeps");
        assert_eq!(
            up(2.0, &[(0, "unlock")], 45 * MIN).0,
            None,
            "nobody left it alone"
        );
    }
}
