//! Regular wakes: only what an honest test calls regular.
//!
//! Random wakes look regular more often than one thinks. The spread of the intervals is held
//! against what it would be if wakes came at random (exponential gaps), once as they are and once
//! with missed wakes allowed for. Each of the two may be wrong once in 200 times, so both together
//! once in 100.

use super::finding::{Cycle, Wake};
use super::rules::{ALIKE, SAME_CHANGE_SHARE};
use crate::reading::Elapsed;
use crate::reading::number::{f64_from_i64, f64_from_usize, round_to_i64};
use crate::reading::statistics::{mean, slope, squares_about, upper_median};

/// The spread that random wakes stay below once in 200 times.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RandomSpread {
    /// How many onsets the intervals lie between.
    pub onsets: usize,
    /// Of the intervals as they are.
    pub plain: f64,
    /// Of the intervals, each divided by its whole multiple of the middle one.
    pub folded: f64,
}

/// Made by `cargo bench --bench cycle_table`; for a number between two, the smaller one counts.
pub const RANDOM_SPREADS: [RandomSpread; 7] = [
    row(4, 0.079, 0.020),
    row(5, 0.171, 0.077),
    row(6, 0.244, 0.078),
    row(8, 0.352, 0.132),
    row(10, 0.420, 0.178),
    row(15, 0.516, 0.272),
    row(20, 0.572, 0.292),
];

const fn row(onsets: usize, plain: f64, folded: f64) -> RandomSpread {
    RandomSpread {
        onsets,
        plain,
        folded,
    }
}

/// The regular wakes, tested in each stretch between the moments `parted`, at which a fuse or part
/// was removed or put back; stretches with one beat are one cycle. Empty when the test calls none
/// regular.
pub fn cycles(wakes: &[Wake], parted: &[Elapsed]) -> Vec<Cycle> {
    let stretch = |wake: &Wake| parted.partition_point(|at| *at <= wake.from);
    let mut cycles: Vec<Cycle> = Vec::new();
    for found in wakes
        .chunk_by(|a, b| stretch(a) == stretch(b))
        .filter_map(of_one_stretch)
    {
        match cycles.iter_mut().find(|known| is_one_beat(known, &found)) {
            Some(known) => *known = joined(known, &found),
            None => cycles.push(found),
        }
    }
    cycles
}

/// Of [`cycles`] the one with the most wakes.
pub fn commonest(wakes: &[Wake], parted: &[Elapsed]) -> Option<Cycle> {
    cycles(wakes, parted)
        .into_iter()
        .max_by_key(|cycle| cycle.count)
}

fn is_one_beat(one: &Cycle, other: &Cycle) -> bool {
    let times = one.charge_as / other.charge_as;
    (one.period_s - other.period_s).abs() < SAME_CHANGE_SHARE * one.period_s
        && (ALIKE.recip()..ALIKE).contains(&times)
}

/// Both as one, each counted by its wakes.
fn joined(one: &Cycle, other: &Cycle) -> Cycle {
    let (n, m) = (f64_from_usize(one.count), f64_from_usize(other.count));
    let both = |a: f64, b: f64| (n * a + m * b) / (n + m);
    let charge_as = both(one.charge_as, other.charge_as);
    let width_s = both(one.width_s, other.width_s);
    Cycle {
        period_s: both(one.period_s, other.period_s),
        width_s,
        extra_a: charge_as / width_s.max(0.1),
        charge_as,
        count: one.count + other.count,
    }
}

fn of_one_stretch(wakes: &[Wake]) -> Option<Cycle> {
    let middle_as = upper_median(wakes.iter().map(|wake| wake.charge_as))?;
    let alike: Vec<&Wake> = wakes
        .iter()
        .filter(|wake| wake.charge_as < middle_as * ALIKE && wake.charge_as > middle_as / ALIKE)
        .collect();
    regular(&alike)
}

fn regular(wakes: &[&Wake]) -> Option<Cycle> {
    let onsets: Vec<f64> = wakes.iter().map(|wake| wake.from.secs()).collect();
    let (first_s, rest) = onsets.split_first()?;
    let gaps: Vec<f64> = onsets.iter().zip(rest).map(|(a, b)| b - a).collect();
    let random = RANDOM_SPREADS
        .iter()
        .rev()
        .find(|row| row.onsets <= onsets.len())?;
    let multiples = multiples(&gaps);
    let regular = spread(&gaps) <= random.plain || spread(&folded(&gaps)) <= random.folded;
    if !regular {
        return None;
    }
    let index = multiples.iter().scan(0i64, |sum, n| {
        *sum += n;
        Some(*sum)
    });
    let points: Vec<(f64, f64)> = std::iter::once((0.0, *first_s))
        .chain(index.map(f64_from_i64).zip(rest.iter().copied()))
        .collect();
    let n = f64_from_usize(wakes.len());
    let charge_as = wakes.iter().map(|wake| wake.charge_as).sum::<f64>() / n;
    let width_s = wakes.iter().map(|wake| wake.lasts_s()).sum::<f64>() / n;
    Some(Cycle {
        period_s: slope(&points).0,
        width_s,
        extra_a: charge_as / width_s.max(0.1),
        charge_as,
        count: wakes.len(),
    })
}

/// How many periods each gap spans: a missed wake leaves a gap of a whole multiple.
fn multiples(gaps: &[f64]) -> Vec<i64> {
    let usual_s = upper_median(gaps.iter().copied()).unwrap_or(0.0);
    gaps.iter()
        .map(|gap| round_to_i64(gap / usual_s).max(1))
        .collect()
}

/// The gaps, each divided by the number of periods that it spans.
pub fn folded(gaps: &[f64]) -> Vec<f64> {
    gaps.iter()
        .zip(multiples(gaps))
        .map(|(gap, n)| gap / f64_from_i64(n))
        .collect()
}

/// Standard deviation over mean.
pub fn spread(values: &[f64]) -> f64 {
    let middle = mean(values);
    (squares_about(values, middle) / (f64_from_usize(values.len()) - 1.0)).sqrt() / middle
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wake(from_s: f64, charge_as: f64) -> Wake {
        let from = Elapsed::from_secs(from_s);
        Wake {
            from,
            to: from.plus_secs(20.0),
            peak_a: 1.0,
            charge_as,
            over: false,
        }
    }

    #[test]
    fn a_steady_period_is_found_with_one_wake_missed_and_one_odd() {
        let mut wakes: Vec<Wake> = [0.0, 241.0, 479.0, 960.0, 1201.0, 1440.0]
            .map(|t| wake(t, 7.0))
            .to_vec();
        wakes.insert(3, wake(600.0, 90.0));
        let [cycle] = cycles(&wakes, &[])[..] else {
            panic!("expected one cycle")
        };
        assert!(
            (cycle.period_s - 240.0).abs() < 1.0 && cycle.count == 6,
            "{cycle:?}"
        );
        assert!((cycle.extra_a - 0.35).abs() < 1e-9);
    }

    #[test]
    fn one_beat_in_two_stretches_is_one_cycle_and_another_beat_is_another() {
        let at = |times: &[f64]| times.iter().map(|t| wake(*t, 7.0)).collect::<Vec<_>>();
        let first = at(&[0.0, 240.0, 480.0, 720.0, 960.0]);
        let second = at(&[2000.0, 2244.0, 2488.0, 2732.0, 2976.0]);
        let third = at(&[4000.0, 4500.0, 5000.0, 5500.0, 6000.0]);
        let parted = [1500.0, 3500.0].map(Elapsed::from_secs);
        let found = cycles(&[first, second, third].concat(), &parted);
        let told: Vec<(f64, usize)> = found.iter().map(|c| (c.period_s, c.count)).collect();
        assert_eq!(told.len(), 2, "{told:?}");
        assert!(
            (told[0].0 - 242.0).abs() < 1e-6 && told[0].1 == 10,
            "{told:?}"
        );
        assert!(
            (told[1].0 - 500.0).abs() < 1e-6 && told[1].1 == 5,
            "{told:?}"
        );
    }

    #[test]
    fn wakes_at_random_are_not_called_regular() {
        assert_eq!(
            cycles(
                &[0.0, 40.0, 400.0, 430.0, 1300.0].map(|t| wake(t, 7.0)),
                &[]
            ),
            []
        );
        assert_eq!(
            cycles(&[0.0, 240.0, 480.0].map(|t| wake(t, 7.0)), &[]),
            [],
            "three prove nothing"
        );
    }

    /// Within a tenth of the period and four times the charge it is one beat.
    #[test]
    fn a_beat_is_one_by_its_period_and_its_charge() {
        let cycle = |period_s, charge_as| Cycle {
            period_s,
            width_s: 20.0,
            extra_a: charge_as / 20.0,
            charge_as,
            count: 5,
        };
        for (period_s, charge_as, expected) in [
            (109.0, 8.0, true),
            (91.0, 8.0, true),
            (111.0, 8.0, false),
            (100.0, 31.0, true),
            (100.0, 33.0, false),
            (100.0, 2.1, true),
            (100.0, 1.9, false),
        ] {
            let found = is_one_beat(&cycle(100.0, 8.0), &cycle(period_s, charge_as));
            assert_eq!(found, expected, "{period_s} s, {charge_as} As");
        }
        let both = joined(&cycle(100.0, 8.0), &cycle(100.0, 10.0));
        assert!((both.extra_a - 0.45).abs() < 1e-9, "{both:?}");
    }

    /// One between of less than a quarter of the usual charge, or of more than four times as much, is
    /// another thing; any other breaks the beat.
    #[test]
    fn wakes_of_another_size_do_not_break_a_beat() {
        for (charge_as, is_other) in [(29.0, true), (27.0, false), (1.7, true), (1.8, false)] {
            let mut wakes: Vec<Wake> = (0..6).map(|i| wake(240.0 * f64::from(i), 7.0)).collect();
            wakes.insert(3, wake(580.0, charge_as));
            let found = cycles(&wakes, &[]);
            assert_eq!(
                found.iter().any(|one| one.count == 6),
                is_other,
                "{charge_as}"
            );
        }
    }

    /// Worked by hand: one, two and three spread by one about two.
    #[test]
    fn a_spread_is_the_standard_deviation_over_the_mean() {
        assert!((spread(&[1.0, 2.0, 3.0]) - 0.5).abs() < 1e-12);
    }
}
