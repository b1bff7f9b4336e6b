//! The level of a stay, and what is at rest in it.

use super::super::testkit::{at, car, close, series, unseen};
use super::*;
use crate::judge::kit::{TestCar, basis};
use crate::judge::stay::{Opening, analysis};

/// Two points without a pause, a wake of one left out, then two more at a third of the current.
#[test]
fn one_pass_tells_what_is_at_rest_held_and_present() {
    let series = series(&[(3, 0.06), (2, 0.02)], 1);
    let kept = series.iter().enumerate().filter(|(i, _)| *i != 1);
    let begins = Begins {
        held: 1,
        present: 2,
    };
    let all = AtRest::of(kept.map(|(_, point)| point), &begins);
    close(all.for_s, 4.0);
    close(all.held_s, 3.0);
    close(all.present_s, 2.0);
    assert!((all.present_as - 0.04).abs() < 1e-6, "{}", all.present_as);
    assert_eq!((all.held, all.fell), (Some(at(2)), Some(at(3))));
    assert_eq!(all.base, [(0, 1), (2, 5)]);
    let beyond = Begins {
        held: 0,
        present: 5,
    };
    assert_eq!(AtRest::of(series.iter(), &beyond).fell, None);
}

fn look(car: &TestCar) -> Shown {
    let session = car.session();
    let end_s = u32::try_from(session.last_t().ms() / 1000).unwrap();
    let stay = crate::judge::stay::Stay {
        is_open: true,
        ..unseen(0, end_s, Opening::Start)
    };
    analysis::shown(&basis(&session), &stay).unwrap()
}

/// 30 mA for ten minutes, then 60 mA for five with one wake: the level of now is that of the last
/// step, and what was at rest is what no wake took.
#[test]
fn the_level_is_what_stands_after_the_last_step_and_rest_is_without_wakes() {
    let levels = [(0, 0.036), (600, 0.030), (700, 0.3), (720, 0.030)];
    let shown = look(&car(&levels, 900));
    assert!(
        (shown.fell.secs() - 600.0).abs() < 4.0 && shown.arrived == at(0),
        "{shown:?}"
    );
    assert!((shown.level.a - 0.030).abs() < 0.000_2);
    assert!((shown.rest_a - 0.030).abs() < 0.000_2, "{}", shown.rest_a);
    assert!((shown.stood_s - 280.0).abs() < 6.0, "{}", shown.stood_s);
    assert!((shown.at_rest_s - 880.0).abs() < 6.0, "{}", shown.at_rest_s);
    assert!((shown.watched_s - 900.0).abs() < 4.0, "{}", shown.watched_s);
    assert_eq!((shown.wakes.len(), shown.touches.len()), (1, 0));
}

/// A minute at 700 mA is a hand: not watched, and left when it ended.
#[test]
fn a_touch_is_not_watched_and_was_left_when_it_ended() {
    let shown = look(&car(&[(0, 0.03), (700, 0.7), (760, 0.03)], 1200));
    assert_eq!((shown.wakes.len(), shown.touches.len()), (0, 1));
    assert!(
        (shown.watched_s - 1140.0).abs() < 5.0,
        "{}",
        shown.watched_s
    );
    let left_s = shown.left.unwrap().secs();
    assert!((left_s - 760.0).abs() < 3.0, "{left_s}");
}

/// Between two moments only what was at rest counts; the newest values are those of ten minutes.
#[test]
fn a_level_between_two_moments_leaves_wakes_out() {
    let car = car(&[(0, 0.03), (800, 0.3), (840, 0.03)], 1200);
    let (session, shown) = (car.session(), look(&car));
    let basis = basis(&session);
    let level = shown.level_between(&basis, at(750), at(900)).unwrap();
    assert!((level.a - 0.03).abs() < 0.000_3, "{}", level.a);
    assert!(shown.level_between(&basis, at(805), at(830)).is_none());
    let values = |shown: &Shown, to_s| shown.newest(&basis, at(to_s)).len();
    assert_eq!(values(&shown, 700), 599);
    assert_eq!(
        values(
            &Shown {
                fell: at(1000),
                ..shown.clone()
            },
            1100
        ),
        99,
        "the present level's only"
    );
    assert_eq!(values(&shown, 900), 559, "less a wake of forty seconds");
}

/// A level that glides is known by its newest minutes, one that stands by all of it.
#[test]
fn where_a_level_drifts_the_newest_minutes_speak() {
    let glides: Vec<(u32, f64)> = (0..1900)
        .map(|t_s| (t_s, 0.040 - 0.000_01 * f64::from(t_s)))
        .collect();
    let shown = look(&car(&glides, 1900));
    assert!(shown.level.t > at(1500), "{:?}", shown.level.t);
    let still = look(&car(&[(0, 0.03)], 1000));
    assert!(
        (still.level.t.secs() - 500.0).abs() < 5.0,
        "{:?}",
        still.level.t
    );
    let short: Vec<(u32, f64)> = glides.iter().copied().take(450).collect();
    let shown = look(&car(&short, 450));
    assert!(
        shown.level.t < at(240),
        "too short to halve: {:?}",
        shown.level.t
    );
}

/// A clamp's zero drifts on: beside a deed five minutes count; a meter in line takes half an hour.
#[test]
fn beside_a_deed_a_clamp_is_read_for_five_minutes() {
    let middles = |car: TestCar| {
        let shown = look(&car);
        shown.beside.map(|level| level.t.secs())
    };
    let still = || car(&[(0, 0.03)], 1800);
    let [first, last] = middles(still());
    assert!(
        (first - 900.0).abs() < 5.0 && (last - 900.0).abs() < 5.0,
        "{first} {last}"
    );
    let clamp = |car: TestCar| car.card(|card| card.drift_a_per_h = Some(0.001));
    let [first, last] = middles(clamp(still()));
    assert!(
        (first - 150.0).abs() < 5.0 && (last - 1650.0).abs() < 5.0,
        "{first} {last}"
    );
    let [first, _] = middles(clamp(still().read_every(60.0)));
    assert!(
        (first - 870.0).abs() < 61.0,
        "readings by the minute: all of them: {first}"
    );
}

/// Over-range counts in a wake, and charge is that above the floor.
#[test]
fn a_wake_is_an_excursion_as_it_is() {
    let shown = look(&car(&[(0, 0.03), (700, 0.33), (720, 0.03)], 1200));
    let [wake] = shown.wakes[..] else {
        panic!("expected one")
    };
    assert!((wake.charge_as - 6.0).abs() < 0.2 && !wake.over, "{wake:?}");
}
