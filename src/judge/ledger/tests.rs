//! Tests of `ledger`: small records and tables, both sides of each threshold.

use super::*;
use crate::judge::kit::{HOUR, TestCar};

fn equation(labels: &[String], is_level: bool) -> Equation<'_> {
    Equation {
        labels,
        is_level,
        a: 0.1,
        u_a: 0.5,
    }
}

/// A run of D11 and L6: two levels alone would leave them one, the looks tell them apart.
#[test]
fn first_looks_part_what_came_out_together() {
    let (both, one, other) = (
        ["D11".to_owned(), "L6".to_owned()],
        ["D11".to_owned()],
        ["L6".to_owned()],
    );
    let levels = [equation(&[], true), equation(&both, true)];
    assert_eq!(groups(&levels, &[]), [both.to_vec()]);
    let looks = [equation(&one, false), equation(&other, false)];
    let all = [levels, looks].concat();
    let groups = groups(&all, &[]);
    assert_eq!(groups, [one.to_vec(), other.to_vec()]);
    let columns: Vec<Vec<f64>> = all.iter().map(|e| e.row(&groups).columns).collect();
    let expected = [
        [1.0, 1.0, 1.0],
        [0.0, 0.0, 1.0],
        [1.0, 0.0, 0.0],
        [0.0, 1.0, 0.0],
    ];
    assert_eq!(columns, expected);
}

/// Two circuits of 100 and 40 mA beside 20 mA of the rest, pulled one after the other.
#[test]
fn the_ledger_splits_the_current_over_its_circuits() {
    let levels = [(0, 0.160), (600, 0.060), (1200, 0.020)];
    let judged = TestCar::asleep(&levels)
        .marked(&[(600, "pull A1"), (1200, "pull B2")])
        .judged(2400);
    let shares: Vec<_> = judged
        .ledger
        .iter()
        .map(|s| (s.what.join("+"), (s.level.a * 1e3).round()))
        .collect();
    assert_eq!(shares, [("A1".to_owned(), 100.0), ("B2".to_owned(), 40.0)]);
    // U of the larger one is that of a gain of 1 %, at k = 2 and evenly spread, and little noise.
    let u_a = judged.ledger[0].level.u_a;
    assert!((u_a - 2.0 * 0.001 / 3.0_f64.sqrt()).abs() < 1e-4, "{u_a}");
    assert!(
        (judged.rest_a.unwrap() - 0.020).abs() < 0.001,
        "{:?}",
        judged.rest_a
    );
}

/// What fell late was others going to sleep: no load of the circuit.
#[test]
fn what_fell_late_is_charged_to_no_circuit() {
    for (fall_s, count) in [(600, 1), (700, 0)] {
        let car = TestCar::asleep(&[(0, 0.160), (fall_s, 0.030)]).marked(&[(600, "pull A1")]);
        assert_eq!(car.judged(2400).ledger.len(), count, "{fall_s}");
    }
}

#[test]
fn the_same_fuses_out_at_another_level_contradict() {
    let out = ["A1".to_owned()];
    let one = |a| Equation {
        a,
        ..equation(&out, true)
    };
    assert!(!contradictory(&[one(0.100), one(0.104)]));
    assert!(contradictory(&[one(0.100), one(0.107)]));
    assert!(contradictory(&[one(0.107), one(0.103), one(0.100)]));
    assert!(!contradictory(&[
        one(0.100),
        Equation {
            a: 0.2,
            ..equation(&[], true)
        }
    ]));
}

/// One of a pair out and the other in says nothing: both or neither do.
#[test]
fn an_equation_parts_a_pair_with_one_of_it_out() {
    let pair = ["A1".to_owned(), "B2".to_owned()];
    let (both, one) = (pair.clone(), [pair[0].clone()]);
    assert!(equation(&one, true).parts(&pair));
    assert!(!equation(&both, true).parts(&pair) && !equation(&[], true).parts(&pair));
}

/// Twenty seconds out and in again: no level has settled without it, and its first look is its share
/// all the same.
#[test]
fn what_a_short_stay_told_has_its_share() {
    let car = TestCar::asleep(&[(0, 0.160), (600, 0.030), (620, 0.160)]);
    let car = car.marked(&[(600, "pull A1"), (620, "refit A1")]);
    let shares = car.judged(2400).ledger;
    assert_eq!(shares.len(), 1, "{shares:?}");
    assert!((shares[0].level.a - 0.130).abs() < 0.002, "{shares:?}");
}

/// A fuse that was pulled and changed nothing is no cause because the car fell asleep at another time.
#[test]
fn a_level_that_its_trials_do_not_explain_is_of_another_car() {
    let levels = [(0, 0.500), (600, 0.400), (700, 0.012)];
    let marks = [(600, "pull A1"), (1500, "pull B2")];
    let judged = TestCar::asleep(&levels).marked(&marks).judged(HOUR);
    let of = |label: &str| {
        let share = judged.ledger.iter().find(|share| share.what == [label]);
        share.map(|share| share.level.a)
    };
    assert!(
        of("B2").is_none_or(|a| a.abs() < 0.005),
        "{:?}",
        judged.ledger
    );
}
