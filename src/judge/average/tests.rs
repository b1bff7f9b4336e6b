//! Tests of `average`: small records and tables, both sides of each threshold.

use super::*;
use crate::judge::finding::Cycle;
use crate::judge::finding::Wake;
use crate::judge::kit;
use crate::reading::Elapsed;

fn wakes(count: u32) -> Wakes {
    let wake = |i: u32| Wake {
        from: Elapsed::from_secs(f64::from(i)),
        to: Elapsed::from_secs(f64::from(i) + 30.0),
        peak_a: 0.3,
        charge_as: 36.0,
        over: false,
    };
    Wakes {
        seen: (0..count).map(wake).collect(),
        watched_s: 3600.0,
        ..Wakes::default()
    }
}

/// Source: exact limits of a Poisson mean (Fiducial limits for the Poisson distribution,
/// Biometrika 28, 1936; figures from memory of its table): 5 % and 97.5 %: 1: 0.0513, 5.572;
/// 3: 0.8177, 8.767; 10: 5.425, 18.39.
#[test]
fn random_wakes_are_known_as_well_as_their_count() {
    for (count, low, high) in [
        (1u32, 0.0513, 5.572),
        (3, 0.8177, 8.767),
        (10, 5.425, 18.39),
    ] {
        let extra = at_random(&wakes(count));
        assert!((extra.a - 0.01 * f64::from(count)).abs() < 1e-12);
        let ends = (
            extra.a - guard() * extra.se_low_a,
            extra.a + K * extra.se_high_a,
        );
        assert!(
            (ends.0 - 0.01 * low).abs() < 1e-4 && (ends.1 - 0.01 * high).abs() < 1e-4,
            "{ends:?}"
        );
    }
    assert_eq!(at_random(&wakes(0)), Extra::default());
}

/// The end that a level has to cross to be another verdict is the one that counts.
#[test]
fn the_average_is_asked_towards_the_limit() {
    let average = average(&kit::level(0.020, 0.001), kit::wakes(10, 3600.0));
    assert!((average.high.a - 0.045).abs() < 1e-9 && !average.is_open);
    assert_eq!(average.towards(0.050), &average.high);
    assert_eq!(average.towards(0.040), &average.low);
    assert!(average.high.noise_u_a > average.low.noise_u_a);
}

#[test]
fn one_wake_beyond_the_range_leaves_the_average_open() {
    let mut wakes = kit::wakes(3, 3600.0);
    wakes.seen[1].over = true;
    assert!(average(&kit::level(0.020, 0.001), wakes).is_open);
}

/// Worked by hand: 10 wakes of 9 As in an hour are 25 mA; alike to the last, they are known but
/// for the part of a period at either end, 9 As over the root of 6; with charges of 8 and 10 As
/// by turns, whose spread is the root of 10/9, that and the spread of their sum.
#[test]
fn regular_wakes_are_known_but_for_their_ends_and_their_spread() {
    let cycle = Cycle {
        period_s: 360.0,
        width_s: 30.0,
        extra_a: 0.3,
        charge_as: 9.0,
        count: 10,
    };
    let mut wakes = Wakes {
        regular: Some(cycle),
        ..kit::wakes(10, 3600.0)
    };
    let extra = regular(&wakes);
    let ends_as = 9.0 / 6.0_f64.sqrt();
    assert!((extra.a - 0.025).abs() < 1e-12);
    assert!((extra.se_high_a - ends_as / 3600.0).abs() < 1e-12);
    for (i, wake) in wakes.seen.iter_mut().enumerate() {
        wake.charge_as = if i % 2 == 0 { 8.0 } else { 10.0 };
    }
    let sum_as = (10.0_f64 / 9.0 * 10.0).sqrt();
    let expected = sum_as.hypot(ends_as) / 3600.0;
    assert!((regular(&wakes).se_low_a - expected).abs() < 1e-12);
    assert!((average(&kit::level(0.0, 0.0), wakes).high.noise_u_a - expected).abs() < 1e-12);
}

/// Seen in one typed reading each: they may have been no longer than it, and the rest alone is what
/// it is at least.
#[test]
fn wakes_that_were_glimpsed_may_have_been_short() {
    let rest = kit::level(0.020, 0.000_1);
    let seen = average(&rest, wakes(20));
    let glimpsed = average(
        &rest,
        Wakes {
            are_glimpsed: true,
            ..wakes(20)
        },
    );
    let low = |average: &Average| average.low.a - guard() * average.low.noise_u_a;
    assert!(low(&seen) > 0.1, "{}", low(&seen));
    assert!((low(&glimpsed) - 0.020).abs() < 0.001, "{}", low(&glimpsed));
    assert_eq!(seen.high, glimpsed.high);
}
