//! Changes that nobody marked and that last, on both sides of each rule.

use super::super::testkit::{asleep, car};
use super::*;
use crate::judge::kit::{TestCar, basis};
use crate::judge::stay::Stays;
use crate::reading::number::round_to_u16;

/// Where the stays of a record begin, and whether nobody marked it.
fn cuts(car: &TestCar) -> Vec<(u32, bool)> {
    let session = car.session();
    let stays = Stays::of(&basis(&session));
    let cut = |stay: &Stay| {
        let from_s = 10 * u32::from(round_to_u16(stay.from.secs() / 10.0));
        (from_s, stay.opening == Opening::Unmarked)
    };
    stays.all.iter().map(cut).collect()
}

const START: (u32, bool) = (0, false);

/// A rise that lasts begins a stay of its own once it outlives the time-out and all that stood before.
#[test]
fn a_rise_that_outlives_the_time_out_is_another_state() {
    for (levels, end_s, expected, why) in [
        (
            &[(0, 0.03), (400, 0.2)][..],
            1100,
            &[START, (400, true)][..],
            "longer than the time-out",
        ),
        (&[(0, 0.03), (400, 0.2)], 900, &[START], "not yet"),
        (
            &[(0, 0.03), (900, 0.2)],
            1600,
            &[START],
            "not as long as what stood before",
        ),
        (
            &[(0, 0.03), (400, 0.2), (700, 0.03)],
            1100,
            &[START],
            "it came back",
        ),
        (
            &[(0, 0.2), (400, 0.03), (900, 0.2)],
            1020,
            &[START, (400, true), (900, true)],
            "a level at which it rested before is known sooner",
        ),
        (
            &[(0, 0.2), (400, 0.03), (900, 0.2)],
            980,
            &[START, (400, true)],
            "but not within a minute and a half",
        ),
    ] {
        assert_eq!(cuts(&asleep(levels, end_s)), expected, "{why}");
    }
}

/// A wake of three minutes was seen: a rise to a known level has to outlive it.
#[test]
fn a_rise_to_a_known_level_has_to_outlive_every_wake() {
    let rises = |for_s: u32| {
        let levels = [(0, 0.2), (400, 0.03), (900, 0.2), (1050, 0.03), (1500, 0.2)];
        cuts(&asleep(&levels, 1500 + for_s)).last() == Some(&(1500, true))
    };
    assert_eq!([rises(120), rises(170)], [false, true]);
}

/// A sharp fall out of a proven rest is another state; while the car may still fall asleep, it is
/// the car.
#[test]
fn a_fall_out_of_a_proven_rest_is_another_state() {
    let locked = |levels: &[(u32, f64)], end_s| car(levels, end_s).marked(&[(10, "lock")]);
    for (car, expected, why) in [
        (
            asleep(&[(0, 0.20), (300, 0.10)], 600),
            &[START, (300, true)][..],
            "the card said that it slept",
        ),
        (
            asleep(&[(0, 0.20), (300, 0.10)], 302),
            &[START],
            "a reading or two of it",
        ),
        (
            asleep(&[(0, 0.20), (300, 0.10)], 330),
            &[START, (300, true)],
            "half a minute of it",
        ),
        (
            asleep(&[(0, 0.20), (80, 0.10)], 400),
            &[START],
            "it had hardly stood",
        ),
        (
            asleep(&[(0, 0.200), (300, 0.196)], 600),
            &[START],
            "the same level",
        ),
        (
            locked(&[(0, 0.20), (1000, 0.10)], 1300),
            &[START, (10, false), (1000, true)],
            "long past the time-out",
        ),
        (
            locked(&[(0, 0.20), (800, 0.10)], 1100),
            &[START, (10, false)],
            "a stated time-out may be too short",
        ),
    ] {
        assert_eq!(cuts(&car), expected, "{why}");
    }
    let glides: Vec<(u32, f64)> = (0..1200)
        .map(|t| (t, 0.2 - 0.1 * f64::from(t.clamp(300, 900) - 300) / 600.0))
        .collect();
    assert_eq!(cuts(&asleep(&glides, 1200)), [START], "a glide is no step");
}

/// Of a removal out of a known level, what falls later may be its own.
#[test]
fn a_fall_after_a_removal_is_the_removals() {
    let car = asleep(&[(0, 0.20), (700, 0.10)], 1000).marked(&[(300, "pull F3")]);
    let found = cuts(&car.marked(&[(400, "refit F3")]).marked(&[(410, "pull F3")]));
    assert!(!found.contains(&(700, true)), "{found:?}");
}

/// What fell half a minute before a removal was marked may be that removal.
#[test]
fn a_fall_shortly_before_a_removal_is_cut_out() {
    let marked = |cell| {
        cuts(
            &car(&[(0, 0.20), (400, 0.10)], 600)
                .marked(&[(10, "lock")])
                .marked(&[(430, cell)]),
        )
    };
    let at_limit = |fell_s| {
        let car = car(&[(0, 0.045), (fell_s, 0.020)], 900).marked(&[(10, "lock")]);
        cuts(&car.marked(&[(430, "pull F3")]))
    };
    assert_eq!(
        at_limit(400),
        [START, (10, false), (400, true), (430, false)]
    );
    assert_eq!(
        at_limit(200),
        [START, (10, false), (430, false)],
        "long before"
    );
    assert_eq!(
        marked("pull F3"),
        [START, (10, false), (430, false)],
        "the car may have been falling asleep"
    );
}
