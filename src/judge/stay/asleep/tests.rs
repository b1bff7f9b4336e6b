//! Tests of `asleep`: small records and tables, both sides of each threshold.

use super::*;
use crate::judge::kit::{HOUR, MIN, TestCar};
use crate::judge::stay::testkit::{at, shown, unseen};

/// On what ground the last stay sleeps.
fn ground(car: &TestCar, end_s: u32) -> Option<Ground> {
    car.stays(end_s, |_, stays| stays.all.last().unwrap().rest.ground)
}

/// Locked at 20 s, down to `level_a` at ten minutes; the limit is 50 mA, the time-out 45 min.
fn locked(level_a: f64) -> TestCar {
    TestCar::of(&[(0, 3.3), (20, 1.9), (10 * MIN, level_a)]).marked(&[(20, "lock")])
}

#[test]
fn a_level_at_the_limit_sleeps_soon_and_one_above_it_past_its_time_out() {
    for (level_a, end_s, expected) in [
        (0.030, 11 * MIN, None),
        (0.030, 12 * MIN, Some(Ground::AtLimit)),
        (0.120, 12 * MIN, None),
        (0.120, 44 * MIN, None),
        (0.120, 46 * MIN, Some(Ground::TimedOut)),
        (0.030, 46 * MIN, Some(Ground::TimedOut)),
    ] {
        assert_eq!(
            ground(&locked(level_a), end_s),
            expected,
            "{level_a} A, {end_s} s"
        );
    }
    let open = TestCar::of(&[(0, 1.9)]).marked(&[(20, "unlock")]);
    assert_eq!(ground(&open, 2 * HOUR), None, "a door may be open");
    assert_eq!(
        ground(&TestCar::of(&[(0, 1.9)]), 2 * HOUR),
        None,
        "nobody locked it"
    );
    assert_eq!(
        ground(&TestCar::of(&[(0, 0.45)]), 2 * HOUR),
        Some(Ground::TimedOut),
        "it draws too little to be open"
    );
}

#[test]
fn the_card_says_that_it_slept_once_the_level_has_stood_for_two_minutes() {
    let said = TestCar::asleep(&[(0, 0.120)]);
    assert_eq!(ground(&said, 110), None);
    assert_eq!(ground(&said, 130), Some(Ground::SaidAsleep));
}

/// A removal out of sleep: at or below the limit it sleeps on, above it stands so far.
#[test]
fn a_removal_out_of_sleep_inherits_it() {
    let rest = |left_a, late_s| {
        let levels = [
            (0, 3.3),
            (20, 0.120),
            (HOUR, 0.120),
            (HOUR + late_s, left_a),
        ];
        let car = TestCar::of(&levels).marked(&[(20, "lock"), (HOUR, "pull A1")]);
        car.stays(HOUR + late_s + 200, |_, stays| {
            stays.all.last().unwrap().rest
        })
    };
    let below = rest(0.030, 0);
    assert_eq!(
        (below.ground, below.so_far),
        (Some(Ground::TimedOut), false)
    );
    let above = rest(0.080, 0);
    assert_eq!(
        (above.ground, above.so_far, above.stands()),
        (None, true, true)
    );
    let late = rest(0.080, 60);
    assert_eq!(
        (late.ground, late.stands()),
        (None, false),
        "a stage on the way down"
    );
    let rose = rest(0.140, 0);
    assert_eq!(
        (rose.ground, rose.stands()),
        (None, false),
        "more than 9 mA higher"
    );
    assert!(rest(0.126, 0).stands(), "no more than 9 mA higher");
    // Where the card says that the car slept nothing is left that could fall later.
    for left_a in [0.030, 0.080] {
        let car = TestCar::asleep(&[(0, 0.120), (600, left_a)]).marked(&[(600, "pull A1")]);
        assert_eq!(ground(&car, 900), Some(Ground::Removed), "{left_a}");
    }
}

/// A state that has rested at this level for its time-out is known again at once.
#[test]
fn a_known_level_is_known_again() {
    for (back_a, expected) in [(0.120, Some(Ground::Known)), (0.130, None)] {
        let levels = [(0, 3.3), (20, 0.120), (HOUR, 2.0), (HOUR + 300, back_a)];
        let car =
            TestCar::of(&levels).marked(&[(20, "lock"), (HOUR, "unlock"), (HOUR + 200, "lock")]);
        assert_eq!(ground(&car, HOUR + 600), expected, "{back_a}");
    }
}

#[test]
fn what_was_watched_past_time_out_and_half_falls_no_further() {
    for (end_s, level_a, expected) in [
        (30 * MIN, 0.120, true),
        (50 * MIN, 0.120, true),
        (70 * MIN, 0.120, false),
        (50 * MIN, 0.030, false),
    ] {
        let falls = locked(level_a).stays(end_s, |basis, stays| {
            stays.all.last().unwrap().may_still_fall(basis)
        });
        assert_eq!(falls, expected, "{end_s} s, {level_a} A");
    }
}

/// Late is later than a hand needs: twenty seconds, or two and a half readings where they are minutes
/// apart.
#[test]
fn a_level_is_reached_late_after_a_hand_or_two_readings() {
    let late = |fell_s: u32, is_sparse| {
        let shown = Shown {
            fell: at(600 + fell_s),
            is_sparse,
            step_s: if is_sparse { 60.0 } else { 1.0 },
            ..shown(600, 1500, 0.030)
        };
        falls_late_in(&unseen(600, 1500, Opening::Unmarked), &shown)
    };
    assert_eq!([late(19, false), late(21, false)], [false, true]);
    assert_eq!([late(149, true), late(151, true)], [false, true]);
}
