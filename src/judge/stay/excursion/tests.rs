//! What is an excursion, and which of them are events.

use super::*;
use crate::judge::stay::testkit::{close, series};

/// The excursions of a car that draws 30 mA, but for these stretches.
fn found(stretches: &[(u32, f64)], step_s: u32) -> Vec<Excursion> {
    let series = series(stretches, step_s);
    let floor = Floor::of(&series, 0.001, step_s > 20);
    all(&series, &floor, &above(&series, &floor, 0))
}

fn spans(all: &[Excursion]) -> Vec<(f64, f64)> {
    all.iter().map(|one| (one.from_s, one.to_s)).collect()
}

#[test]
fn a_point_is_above_by_its_current_or_by_over_range_and_never_before_the_arrival() {
    let mut series = series(&[(100, 0.03), (2, 0.3), (100, 0.03)], 1);
    series.points[150].over = true;
    let floor = Floor::of(&series, 0.001, false);
    let places = |arrival| {
        let above = above(&series, &floor, arrival);
        (0..above.len()).filter(|i| above[*i]).collect::<Vec<_>>()
    };
    assert_eq!(places(0), [100, 101, 150]);
    assert_eq!(places(101), [101, 150]);
}

/// A return of five seconds parts two excursions, a shorter one does not; of slow readings it takes
/// two and a half of them.
#[test]
fn a_short_return_to_the_floor_parts_nothing() {
    let twice = |apart: u32, step_s: u32| {
        let pulse = (2 * step_s, 0.3);
        spans(&found(
            &[(300, 0.03), pulse, (apart, 0.03), pulse, (300, 0.03)],
            step_s,
        ))
        .len()
    };
    for (apart, step_s, expected) in [(4, 1, 1), (5, 1, 2), (10, 10, 1), (20, 10, 2)] {
        assert_eq!(
            twice(apart, step_s),
            expected,
            "{apart} s of readings every {step_s} s"
        );
    }
}

/// Worked by hand: three seconds at 330 mA, two at rest, one at 1.03 A, four at 130 mA.
#[test]
fn an_excursion_tells_its_charge_its_peak_and_when_it_was_left() {
    let stretches = [
        (100, 0.03),
        (3, 0.33),
        (2, 0.03),
        (1, 1.03),
        (4, 0.13),
        (100, 0.03),
    ];
    let [one] = found(&stretches, 1)[..] else {
        panic!("expected one")
    };
    assert_eq!((one.points, one.runs), ((100, 110), 2));
    close(one.from_s, 100.0);
    close(one.to_s, 110.0);
    close(one.lasts_s(), 10.0);
    close(one.left_s, 106.0);
    close(one.charge_as, 3.0 * 0.3 + 1.0 + 4.0 * 0.1);
    close(one.peak_a, 1.03);
    close(one.longest_s, 5.0);
    assert!(!one.over);
}

/// So many excursions, each with so many runs of so many seconds.
fn runs(count: usize, runs: usize, longest_s: f64) -> Vec<Excursion> {
    let point = series(&[(1, 0.3)], 1).points[0];
    let one = Excursion {
        longest_s,
        runs,
        ..one(0, &point, 0.3)
    };
    vec![one; count]
}

#[test]
fn short_runs_that_come_often_or_in_groups_are_texture_and_others_are_events() {
    for (all, watched_s, step_s, expected, why) in [
        (runs(6, 1, 5.0), 600.0, 1.0, 0, "six in ten minutes"),
        (
            runs(6, 1, 5.0),
            900.0,
            1.0,
            6,
            "six in a quarter of an hour",
        ),
        (
            runs(4, 1, 5.0),
            120.0,
            1.0,
            4,
            "four are events, however often",
        ),
        (runs(1, 4, 5.0), 900.0, 1.0, 0, "four runs in one"),
        (runs(1, 3, 5.0), 900.0, 1.0, 1, "three runs in one"),
        (runs(6, 1, 9.0), 600.0, 1.0, 0, "each nine seconds"),
        (runs(6, 1, 12.0), 600.0, 1.0, 6, "each twelve seconds"),
        (
            runs(6, 4, 12.0),
            600.0,
            1.0,
            6,
            "in groups, but each twelve seconds",
        ),
        (runs(6, 1, 24.0), 600.0, 10.0, 0, "two of wider blocks"),
        (runs(6, 1, 26.0), 600.0, 10.0, 6, "three of wider blocks"),
    ] {
        assert_eq!(events(&all, watched_s, step_s).len(), expected, "{why}");
    }
    let mut over = runs(6, 1, 5.0);
    over[2].over = true;
    assert_eq!(
        events(&over, 600.0, 1.0).len(),
        1,
        "over-range is never texture"
    );
}

/// Near 30 mA is what lies within 7.5 mA of it.
#[test]
fn the_middle_one_tells_whether_what_is_above_lies_low() {
    for (high_a, expected) in [(0.040, true), (0.050, false)] {
        let series = series(&[(100, 0.03), (20, high_a), (100, 0.03)], 1);
        let floor = Floor::of(&series, 0.001, false);
        let above = above(&series, &floor, 0);
        assert_eq!(lies_low(&series, &floor, &above), expected, "{high_a}");
    }
}
