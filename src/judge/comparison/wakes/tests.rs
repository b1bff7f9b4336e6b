//! Tests of `wakes`: small records and tables, both sides of each threshold.

use super::*;
use crate::judge::finding::{Cycle, Finding};
use crate::judge::kit::{self, TestCar, wakes};
use crate::judge::reason::TrialReason;

/// Source: scipy 1.17.1, `2 * min(binom.cdf(k, n, p), binom.sf(k - 1, n, p))`.
#[test]
fn counts_are_tested_as_scipy_does() {
    for (k, n, p, expected) in [
        (0, 8, 0.5, 0.007_812_5),
        (2, 9, 0.6, 0.050_069_504),
        (5, 5, 0.4, 0.020_48),
    ] {
        assert!(
            (binomial(k, n, p) - expected).abs() < 1e-9,
            "{k} of {n}: {}",
            binomial(k, n, p)
        );
    }
}

const H: f64 = 3600.0;

/// What became of wakes that were seen so often in so many hours, without a beat.
fn became(before: (u32, f64), after: (u32, f64)) -> WakesChange {
    change(
        &wakes(before.0, before.1 * H),
        &wakes(after.0, after.1 * H),
        None,
    )
}

#[test]
fn wakes_without_a_beat_are_told_by_their_counts() {
    for (before, after, expected) in [
        ((0, 2.0), (0, 2.0), WakesChange::None),
        ((4, 0.0), (4, 2.0), WakesChange::None),
        ((4, 2.0), (4, 0.0), WakesChange::None),
        ((20, 4.0), (3, 4.0), WakesChange::Fewer),
        // By chance 4.4 times in a thousand (binom.cdf(3, 19, 0.5), as above).
        ((16, 4.0), (3, 4.0), WakesChange::Fewer),
        ((3, 4.0), (20, 4.0), WakesChange::More),
        ((20, 4.0), (10, 4.0), WakesChange::Same),
        ((10, 4.0), (20, 4.0), WakesChange::Same),
        ((0, 4.0), (2, 4.0), WakesChange::Same),
    ] {
        assert_eq!(became(before, after), expected, "{before:?} {after:?}");
    }
}

/// At two an hour none comes by chance less often than once in 200 times after 2.65 h.
#[test]
fn a_quiet_watch_has_to_be_long_enough_for_the_rate_before() {
    let needed_s = 200.0_f64.ln() / 2.0 * H;
    let WakesChange::Open { needed_s: said_s } = became((8, 4.0), (0, 1.0)) else {
        panic!("it is open")
    };
    assert!((said_s - needed_s).abs() < 1.0, "{said_s}");
    assert!(matches!(
        became((8, 4.0), (0, 2.6)),
        WakesChange::Open { .. }
    ));
    assert_eq!(became((8, 4.0), (0, 2.7)), WakesChange::Fewer);
    // One that came, too seldom to have gone on: as long again.
    let WakesChange::Open { needed_s } = became((8, 4.0), (1, 3.0)) else {
        panic!("it is open")
    };
    assert!((needed_s - 6.0 * H).abs() < 1.0, "{needed_s}");
}

#[test]
fn wakes_with_a_beat_have_stopped_after_a_period_and_a_half() {
    let before = wakes(4, 4.0 * H);
    let after = |hours| change(&before, &wakes(0, hours * H), Some(H));
    assert_eq!(after(1.45), WakesChange::Open { needed_s: 1.5 * H });
    assert_eq!(after(1.5), WakesChange::Fewer);
    let one = change(&before, &wakes(1, 1.6 * H), Some(H));
    assert_eq!(one, WakesChange::Same, "one came");
}

/// A beat of an hour that began with the refit: before it the car was quiet for one and a half of
/// them, or nobody knows.
#[test]
fn wakes_with_a_beat_are_new_after_a_quiet_watch_of_a_period_and_a_half() {
    let after = Wakes {
        regular: Some(Cycle {
            period_s: H,
            width_s: 30.0,
            extra_a: 0.3,
            charge_as: 9.0,
            count: 4,
        }),
        ..wakes(4, 4.0 * H)
    };
    let quiet = |hours| change(&wakes(0, hours * H), &after, None);
    assert_eq!(quiet(1.55), WakesChange::More);
    assert_eq!(quiet(1.45), WakesChange::Same);
}

/// 15 and then 3 in the same time come by chance 7.5 times in a thousand: more than 5.
#[test]
fn fewer_wakes_that_may_be_chance_are_watched_for_longer() {
    assert!(matches!(
        became((15, 4.0), (3, 4.0)),
        WakesChange::Open { .. }
    ));
}

/// Wakes of more than four times the charge, or less than a quarter, are another thing.
#[test]
fn only_wakes_of_like_charge_are_counted() {
    for (charge_as, expected) in [
        (9.0, WakesChange::Same),
        (34.0, WakesChange::Same),
        (2.4, WakesChange::Same),
        (37.0, WakesChange::Fewer),
        (2.1, WakesChange::Fewer),
    ] {
        let mut after = wakes(10, 4.0 * H);
        for wake in &mut after.seen {
            *wake = kit::wake(wake.from.secs(), charge_as);
        }
        assert_eq!(
            change(&wakes(12, 4.0 * H), &after, None),
            expected,
            "{charge_as}"
        );
    }
}

#[test]
fn only_a_real_change_of_the_wakes_moves_the_average() {
    let compared = |change| WakesCompared {
        before: wakes(4, H),
        after: wakes(0, H),
        change,
        every_s: None,
    };
    assert!((compared(WakesChange::Fewer).change_a() + 0.010).abs() < 1e-9);
    for change in [
        WakesChange::Same,
        WakesChange::None,
        WakesChange::Open { needed_s: H },
    ] {
        assert!(compared(change).change_a().abs() < 1e-12, "{change:?}");
    }
}

/// A wake of 12 s every five minutes goes on; one of 100 s every ten minutes stops with the pull.
#[test]
fn small_wakes_that_go_on_do_not_hide_that_large_ones_stop() {
    let mut levels = vec![(0, 0.030)];
    for at_s in (300..10_000).step_by(300) {
        levels.extend([(at_s, 0.3), (at_s + 12, 0.030)]);
        if at_s % 600 == 0 && at_s < 6600 {
            levels.extend([(at_s + 100, 0.8), (at_s + 200, 0.030)]);
        }
    }
    let trial = TestCar::asleep(&levels)
        .marked(&[(6500, "pull A1")])
        .trial(10_000);
    assert_eq!(trial.finding, Finding::Clears, "{:?}", trial.reason);
    let TrialReason::WakesStopped { every_s, .. } = trial.reason else {
        panic!("{trial:?}")
    };
    assert!((every_s - 600.0).abs() < 5.0, "{every_s}");
}
