//! Tests of `phase`: small records and tables, both sides of each threshold.

use super::*;
use crate::judge::kit::{HOUR, MIN, TestCar};

/// Each phase with its beginning, in seconds to the nearest ten.
fn told(car: &TestCar, end_s: u32) -> Vec<(&'static str, f64)> {
    let phases = car.stays(end_s, phases);
    for pair in phases.windows(2) {
        assert_eq!(
            pair[0].to, pair[1].from,
            "no hole and no overlap: {phases:?}"
        );
    }
    let begins = |span: &PhaseSpan| (span.from.secs() / 10.0).round() * 10.0;
    phases
        .iter()
        .map(|span| (span.phase.word(), begins(span)))
        .collect()
}

/// Falling for as long as the floor takes, flat until sleep is proven.
#[test]
fn a_car_falls_asleep_in_its_phases() {
    let car = TestCar::of(&[(0, 3.3), (100, 1.9), (10 * MIN, 0.020)]).marked(&[(20, "lock")]);
    let phases = told(&car, 20 * MIN);
    let words: Vec<&str> = phases.iter().map(|(word, _)| *word).collect();
    assert_eq!(words.last(), Some(&"settled"), "{phases:?}");
    assert!(
        words.contains(&"falling") && words.contains(&"plateau"),
        "{phases:?}"
    );
    let settled_s = phases.last().unwrap().1;
    assert!(
        (680.0..=730.0).contains(&settled_s),
        "after 90 s: {phases:?}"
    );
}

#[test]
fn a_wake_stirs_a_settled_car_and_a_hole_of_a_minute_is_blind() {
    let wake = TestCar::asleep(&[(0, 0.020), (5000, 0.300), (5040, 0.020)]);
    let expected = [
        ("plateau", 0.0),
        ("settled", 120.0),
        ("stirring", 5000.0),
        ("settled", 5040.0),
    ];
    assert_eq!(told(&wake, 2 * HOUR), expected);
    for (hole_s, is_blind) in [(50, false), (70, true)] {
        let hole = TestCar::asleep(&[(0, 0.020), (900, f64::NAN), (900 + hole_s, 0.020)]);
        let phases = told(&hole, 1800);
        assert_eq!(phases.contains(&("blind", 900.0)), is_blind, "{phases:?}");
    }
}

fn spans(pieces: &[(Phase, f64, f64)]) -> Spans {
    let mut spans = Spans::default();
    for (phase, from_s, to_s) in pieces {
        spans.push(
            *phase,
            Elapsed::from_secs(*from_s),
            Elapsed::from_secs(*to_s),
        );
    }
    spans
}

/// What is covered in the middle of a phase leaves both its ends.
#[test]
fn what_is_covered_leaves_the_ends() {
    for (from_s, to_s, expected) in [
        (10.0, 20.0, vec![(0.0, 10.0), (10.0, 20.0), (20.0, 100.0)]),
        (0.0, 20.0, vec![(0.0, 20.0), (20.0, 100.0)]),
        (90.0, 100.0, vec![(0.0, 90.0), (90.0, 100.0)]),
        (0.0, 100.0, vec![(0.0, 100.0)]),
        (100.0, 120.0, vec![(0.0, 100.0)]),
    ] {
        let mut all = spans(&[(Phase::Settled, 0.0, 100.0)]);
        all.cover(Elapsed::from_secs(from_s), Elapsed::from_secs(to_s));
        let found: Vec<_> = all
            .all
            .iter()
            .map(|s| (s.from.secs(), s.to.secs()))
            .collect();
        assert_eq!(found, expected, "{from_s} to {to_s}");
    }
}

#[test]
fn one_phase_goes_on_and_none_runs_backwards() {
    let all = spans(&[
        (Phase::Awake, 0.0, 10.0),
        (Phase::Awake, 10.0, 20.0),
        (Phase::Settled, 15.0, 30.0),
        (Phase::Awake, 5.0, 25.0),
    ]);
    let found: Vec<_> = all
        .all
        .iter()
        .map(|s| (s.phase, s.from.secs(), s.to.secs()))
        .collect();
    assert_eq!(
        found,
        [(Phase::Awake, 0.0, 20.0), (Phase::Settled, 20.0, 30.0)]
    );
}

/// Zeros of a dead meter are blind as a hole is, from a minute on.
#[test]
fn a_dead_meter_is_blind_from_a_minute_on() {
    for (dead_s, is_blind) in [(50, false), (70, true)] {
        let car = TestCar::asleep(&[(0, 0.020), (900, 0.0), (900 + dead_s, 0.020)]);
        let phases = told(&car, 1800);
        assert_eq!(
            phases.iter().any(|(word, _)| *word == "blind"),
            is_blind,
            "{phases:?}"
        );
    }
}

/// Nothing is flat for the half minute over which the floor is taken.
#[test]
fn a_level_is_flat_half_a_minute_after_a_change() {
    let mut spans = Spans::default();
    piece(None, Elapsed::ZERO, Elapsed::from_secs(100.0), &mut spans);
    let found: Vec<_> = spans.all.iter().map(|s| (s.phase, s.to.secs())).collect();
    assert_eq!(found, [(Phase::Awake, 31.0), (Phase::Plateau, 100.0)]);
}

/// A hand at the car for a minute: it is settled again a minute and a half later.
#[test]
fn after_a_hand_the_car_falls_asleep_anew() {
    let car = TestCar::asleep(&[(0, 0.020), (4000, 2.0), (4060, 0.020)]);
    let phases = told(&car, 2 * HOUR);
    assert_eq!(phases.last(), Some(&("settled", 4150.0)), "{phases:?}");
}

/// A value typed a second ago has not stood for the minutes before it.
#[test]
fn a_typed_value_is_flat_no_longer_than_it_was_read() {
    let car = TestCar::of(&[(0, 1.100), (130, 0.610)])
        .read_every(45.0)
        .marked(&[(5, "lock")]);
    let phases = told(&car, 136);
    assert_eq!(
        phases.last().map(|last| last.0),
        Some("falling"),
        "{phases:?}"
    );
    let stands = told(&car, 320);
    assert_eq!(
        stands.last().map(|last| last.0),
        Some("plateau"),
        "{stands:?}"
    );
}
