//! Cars that wake by the clock, by a beat and at random.

use super::*;
use crate::judge::Judgement;
use crate::judge::kit::{self, HOUR, MIN, TestCar};
use crate::judge::words;

const DAY: u32 = 24 * HOUR;

/// A car that sleeps at 50 mA from 22:00 on and wakes for ten minutes at each of these moments,
/// in seconds since midnight of the first day.
fn car(at_s: &[u32]) -> TestCar {
    let began_s = 22 * HOUR;
    let wakes = at_s.iter().map(|at_s| at_s - began_s);
    let wakes = wakes.flat_map(|at_s| [(at_s, 1.0), (at_s + 10 * MIN, 0.050)]);
    let levels: Vec<(u32, f64)> = [(0, 0.050)].into_iter().chain(wakes).collect();
    TestCar::asleep(&levels)
        .card(|card| card.limit_a = Some(0.1))
        .read_every(5.0)
        .beginning("2026-11-25T22:00:00+01:00")
}

/// Ten past three on the morning after the first, the second, ... and what was added.
fn nights(minutes: &[u32]) -> Vec<u32> {
    let morning = |(day, min): (u32, &u32)| (day + 1) * DAY + 3 * HOUR + min * MIN;
    (0..).zip(minutes).map(morning).collect()
}

fn said(judgement: &Judgement) -> String {
    words::pattern::lines(judgement).join("\n")
}

fn habit(judgement: &Judgement) -> &Habit {
    &judgement.pattern.as_ref().unwrap().habit
}

#[test]
fn a_wake_each_night_keeps_its_hour() {
    let judgement = car(&nights(&[10, 12, 9])).judged(3 * DAY);
    let Habit::Hour(hour) = habit(&judgement) else {
        panic!("{:?}", judgement.pattern)
    };
    assert!(
        (hour.at_s - (3.0 * 3600.0 + 620.0)).abs() < 15.0,
        "{hour:?}"
    );
    assert_eq!((hour.days, hour.of_days, hour.wakes), (3, 3, 3));
    // Worked by hand: 0.95 A for 600 s are 0.158 Ah; 50 mA in a day are 1.2 Ah.
    assert!((hour.each_ah - 0.1583).abs() < 0.002, "{hour:?}");
    assert_eq!(
        said(&judgement),
        "one wake a day near 03:10 takes 0.16 Ah, 12 % of all"
    );
    let shares = judgement.wakes.iter().map(|wake| judgement.day_share(wake));
    for share in shares {
        assert!((share.unwrap() - 0.1583 / 1.358).abs() < 0.003, "{share:?}");
    }
}

#[test]
fn two_nights_are_an_hour_only_where_they_agree_to_the_minute() {
    let sharp = car(&nights(&[10, 11])).judged(2 * DAY);
    assert!(
        matches!(habit(&sharp), Habit::Hour(_)),
        "{:?}",
        sharp.pattern
    );
    let wide = car(&nights(&[10, 25])).judged(2 * DAY);
    assert_eq!(habit(&wide), &Habit::None);
    assert!(said(&wide).contains("too few to tell"), "{}", said(&wide));
}

#[test]
fn wakes_at_any_hour_keep_none_and_one_beside_an_hour_is_told() {
    let spread = [1, 9, 14, 33, 44, 60].map(|hour| 22 * HOUR + hour * HOUR);
    let none = car(&spread).judged(3 * DAY);
    assert_eq!(habit(&none), &Habit::None);
    assert!(
        said(&none).starts_with("6 wakes in 2 d 23 h at no certain hour"),
        "{}",
        said(&none)
    );
    let mut beside = nights(&[10, 11, 10, 11]);
    beside.insert(2, 2 * DAY + 15 * HOUR);
    let beside = car(&beside).judged(4 * DAY);
    assert!(
        said(&beside).ends_with("one more at another hour"),
        "{}",
        said(&beside)
    );
}

#[test]
fn a_night_without_its_wake_is_counted() {
    let mut nights = nights(&[10, 11, 10, 11, 10]);
    nights.remove(2);
    let judgement = car(&nights).judged(5 * DAY);
    assert!(
        said(&judgement).starts_with("on 4 of 5 days a wake near 03:1"),
        "{}",
        said(&judgement)
    );
}

#[test]
fn an_hour_about_midnight_is_one() {
    let at = |day: u32, min: u32| day * DAY + min * MIN;
    let midnight = [at(1, 2), at(2, 0) - 2 * MIN, at(3, 1)];
    let judgement = car(&midnight).judged(3 * DAY);
    let Habit::Hour(hour) = habit(&judgement) else {
        panic!("{:?}", judgement.pattern)
    };
    assert_eq!((hour.days, hour.wakes), (3, 3), "{hour:?}");
}

#[test]
fn a_short_watch_and_a_record_without_a_date_name_no_hour() {
    let short = car(&nights(&[10])).judged(12 * HOUR);
    assert_eq!(habit(&short), &Habit::TooShort);
    assert!(
        said(&short).contains("after 1 d or more"),
        "{}",
        said(&short)
    );
    let undated = car(&nights(&[10, 11, 10])).beginning("1970-01-01T00:00:00Z");
    let undated = undated.judged(3 * DAY);
    assert_eq!(habit(&undated), &Habit::NoClock);
    assert_eq!(words::pattern::clock(&undated, Elapsed::ZERO), None);
    let never = car(&[]).judged(2 * DAY);
    assert_eq!(never.pattern, None);
}

#[test]
fn a_beat_is_no_hour() {
    let every: Vec<u32> = (1..20).map(|n| 22 * HOUR + n * 2 * HOUR).collect();
    let judgement = car(&every).judged(41 * HOUR);
    assert!(
        matches!(habit(&judgement), Habit::Beat(_)),
        "{:?}",
        judgement.pattern
    );
    assert!(said(&judgement).starts_with("a wake every 2 h, at any hour"));
}

/// After the pull that stopped them the pattern is that of the state before, and says so.
#[test]
fn a_pull_that_ends_them_is_told_beside_the_pattern() {
    let car = car(&nights(&[10, 11, 10])).marked(&[(3 * DAY, "pull E19")]);
    let judgement = car.judged(5 * DAY + 12 * HOUR);
    let pattern = judgement.pattern.as_ref().unwrap();
    assert!(!pattern.in_force && pattern.out.is_empty(), "{pattern:?}");
    let said = said(&judgement);
    assert!(
        said.starts_with("with nothing out: one wake a day near 03:10 takes 0.16 Ah\n"),
        "{said}"
    );
    assert!(said.contains("what pull E19 changed: "), "{said}");
    assert!(
        judgement
            .wakes
            .iter()
            .all(|wake| judgement.day_share(wake).is_none())
    );
}

/// Source of the formula: Stevens 1939 (see above); checked here by counting all places of three
/// moments on a clock of 240.
#[test]
fn chance_is_what_counting_finds() {
    const PLACES: u32 = 240;
    const WIDE: u32 = 12;
    let mut within = 0u32;
    for b in 0..PLACES {
        for c in 0..PLACES {
            let mut at = [0, b, c];
            at.sort_unstable();
            let [a, b, c] = at;
            let widest_gap = (b - a).max(c - b).max(PLACES - c + a);
            within += u32::from(PLACES - widest_gap <= WIDE);
        }
    }
    let counted = f64::from(within) / f64::from(PLACES * PLACES);
    let said = by_chance(3, 3, f64::from(WIDE) / f64::from(PLACES));
    assert!((counted / said - 1.0).abs() < 0.15, "{counted} {said}");
    assert!((by_chance(4, 2, 0.001) - 6.0 * 2.0 * 0.001).abs() < 1e-12);
    assert!((by_chance(5, 1, 0.001) - 1.0).abs() < 1e-12);
}

/// Random wakes of a week are called an hour seldom: in 400 weeks of three to twelve wakes.
#[test]
fn wakes_at_random_keep_no_hour() {
    use rand::{RngExt, SeedableRng};
    let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(5);
    let mut wrong = 0;
    for week in 0..400u32 {
        let count = 3 + week % 10;
        let mut wakes: Vec<Wake> = (0..count)
            .map(|_| kit::wake(random.random_range(0.0..7.0 * DAY_S), 9.0))
            .collect();
        wakes.sort_by_key(|wake| wake.from);
        let state = State {
            setup: 0,
            is: None,
            rests: vec![(Elapsed::ZERO, Elapsed::from_secs(7.0 * DAY_S))],
            regular: None,
            watched_s: 7.0 * DAY_S,
            wakes,
        };
        wrong += u32::from(matches!(state.habit(Some(0.0)), Habit::Hour(_)));
    }
    assert!(wrong <= 8, "{wrong} of 400");
}
