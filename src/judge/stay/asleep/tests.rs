//! Tests of `asleep`: small records and tables, both sides of each threshold.

use super::*;
use crate::judge::kit::{HOUR, MIN, TestCar};
use crate::judge::stay::testkit::{at, shown, unseen};
use crate::session::card::Accuracy;

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

/// Typed once a minute: three readings of a level are two and a half.
#[test]
fn typed_readings_are_a_rest_from_the_third_on() {
    let typed = |readings: u32| {
        let car = TestCar::of(&[(0, 0.030)]).read_every(60.0);
        ground(&car, 60 * readings - 30)
    };
    assert_eq!([typed(2), typed(3)], [None, Some(Ground::AtLimit)]);
}

/// A step of the level within the rest: what stands after it stands for a minute at least.
#[test]
fn a_level_that_just_changed_has_to_stand_for_a_minute() {
    let car = TestCar::of(&[(0, 0.036), (300, 0.030)]);
    assert_eq!(ground(&car, 350), None);
    assert_eq!(ground(&car, 370), Some(Ground::AtLimit));
}

/// Within what the meter may be off a level is at the limit, but for no more than a tenth of it: 3.5 mA
/// of 1 % and three counts; 5 mA where ten counts would be 11.
#[test]
fn at_the_limit_is_within_what_the_meter_may_be_off() {
    for (counts, level_a, expected) in [
        (3.0, 0.0530, true),
        (3.0, 0.0540, false),
        (10.0, 0.0545, true),
        (10.0, 0.0560, false),
    ] {
        let car = TestCar::of(&[(0, level_a)])
            .display(4, 0.000_2)
            .card(|card| {
                card.accuracy = Some(Accuracy {
                    percent: 1.0,
                    counts: 10.0 * counts,
                    amount_a: 0.0,
                });
            });
        let found = ground(&car, 600) == Some(Ground::AtLimit);
        assert_eq!(found, expected, "{counts} {level_a}");
    }
}

/// Since when each ground shows it: a minute and a half, two minutes, or the time-out.
#[test]
fn a_sleep_is_proven_a_while_after_the_fall() {
    let short = |car: TestCar| car.card(|card| card.sleep_timeout_s = Some(600.0));
    let locked = |levels: &[(u32, f64)]| short(TestCar::of(levels)).marked(&[(0, "lock")]);
    let again = [(0, 0.120), (900, 2.0), (1000, 0.120)];
    let again = locked(&again).marked(&[(900, "unlock"), (999, "lock")]);
    let above = locked(&[(0, 0.200), (900, 0.120)]).marked(&[(900, "pull A1")]);
    let below = TestCar::asleep(&[(0, 0.120), (600, 0.030)]).marked(&[(600, "pull A1")]);
    for (car, end_s, ground, proven_s) in [
        (
            TestCar::asleep(&[(0, 0.120)]),
            500,
            Some(Ground::SaidAsleep),
            120.0,
        ),
        (locked(&[(0, 0.120)]), 900, Some(Ground::TimedOut), 600.0),
        (
            locked(&[(0, 0.200), (700, 0.120)]),
            1200,
            Some(Ground::TimedOut),
            820.0,
        ),
        (locked(&[(0, 0.030)]), 500, Some(Ground::AtLimit), 90.0),
        (again, 1300, Some(Ground::Known), 1090.0),
        (below, 1000, Some(Ground::Removed), 720.0),
        (above, 1300, None, 1020.0),
    ] {
        let rest = car.stays(end_s, |_, stays| stays.all.last().unwrap().rest);
        assert_eq!(rest.ground, ground);
        let apart_s = rest.proven.secs() - proven_s;
        assert!(apart_s.abs() < 6.0, "{ground:?}: {apart_s}");
    }
}

/// A car that came down by itself was left; one at more than half an ampere, or down within ten
/// seconds, was not seen to.
#[test]
fn a_car_came_down_where_it_fell_by_itself_and_far_enough() {
    for (level_a, after_s, expected) in [(0.3, 11, true), (0.3, 9, false), (0.6, 300, false)] {
        let shown = Shown {
            arrived: at(100 + after_s),
            ..shown(100, 900, level_a)
        };
        let stay = unseen(100, 900, Opening::Start);
        assert_eq!(came_down(&stay, &shown), expected, "{level_a} {after_s}");
    }
    let open = TestCar::of(&[(0, 0.6)]);
    assert_eq!(ground(&open, 2 * HOUR), None, "it may be open");
}

/// To zero the clamp touches no car: it sleeps on, if it slept. What is done to an open car leaves it
/// open.
#[test]
fn what_is_not_done_to_the_car_leaves_it_as_it_was() {
    let last = |car: &TestCar| {
        car.stays(900, |basis, stays| {
            let stay = stays.all.last().unwrap();
            (stay.rest.inherited, stay.was_left, is_waiting(basis, stay))
        })
    };
    let awake = TestCar::of(&[(0, 2.0)]).marked(&[(10, "lock")]);
    let asleep = TestCar::asleep(&[(0, 0.120)]);
    assert!(last(&asleep.clone().marked(&[(600, "zero")])).0);
    assert!(!last(&awake.clone().marked(&[(600, "zero")])).0);
    assert!(!last(&asleep.marked(&[(600, "unlock")])).0);
    assert!(last(&awake.clone().marked(&[(600, "pull A1")])).1);
    let open = awake.marked(&[(300, "unlock")]);
    assert_eq!(last(&open), (false, true, false));
    assert!(!last(&open.marked(&[(600, "pull A1")])).1);
    let low = TestCar::of(&[(0, 2.0), (300, 0.030)]).marked(&[(10, "lock"), (300, "unlock")]);
    assert!(last(&low).2, "at the limit it sleeps, whoever opened it");
}

/// A level is not known again where the state came down further since, or only rested higher.
#[test]
fn a_level_is_known_only_while_the_state_rested_no_lower() {
    let known = |rests: [f64; 2]| {
        let levels = [
            (0, rests[0]),
            (HOUR, 2.0),
            (HOUR + 60, rests[1]),
            (2 * HOUR, 2.0),
            (2 * HOUR + 60, 0.120),
        ];
        let marks = [
            (0, "lock"),
            (HOUR, "unlock"),
            (HOUR + 59, "lock"),
            (2 * HOUR, "unlock"),
            (2 * HOUR + 59, "lock"),
        ];
        ground(&TestCar::of(&levels).marked(&marks), 2 * HOUR + 400)
    };
    assert_eq!(known([0.120, 0.120]), Some(Ground::Known));
    assert_eq!(known([0.120, 0.300]), Some(Ground::Known));
    assert_eq!(known([0.120, 0.030]), None);
    assert_eq!(known([0.300, 0.300]), None);
}
