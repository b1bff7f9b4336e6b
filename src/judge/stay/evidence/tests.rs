//! What the meter said that is no evidence, on both sides of every rule.

use super::*;
use crate::judge::kit::{TestCar, basis};
use crate::judge::stay::testkit::{at, block, car, close};
use crate::signal::track::Reads;

/// The last two seconds are not closed yet.
fn hidden(car: &TestCar) -> Vec<(Fault, f64, f64)> {
    let session = car.session();
    let hidden = basis(&session).evidence.hidden;
    hidden
        .iter()
        .map(|one| (one.fault, one.from.secs(), one.to.secs()))
        .collect()
}

/// A blown fuse of the meter shows zero where there was a current; a record of zeros has no other
/// level, and the verdict says so itself.
#[test]
fn zeros_among_currents_are_a_dead_input() {
    assert_eq!(
        hidden(&car(&[(0, 0.03), (300, 0.0)], 600)),
        [(Fault::Dead, 300.0, 598.0)]
    );
    assert_eq!(
        hidden(&car(&[(0, 0.03), (20, 0.0)], 600)),
        [],
        "hardly any current"
    );
    assert_eq!(hidden(&car(&[(0, 0.03)], 600)), [], "no zero");
}

/// What flows into the battery is a charger; where it is most of the record the clamp is turned round.
#[test]
fn a_charger_is_hidden_and_a_clamp_turned_round_is_not() {
    let charger = car(&[(0, 0.03), (300, -0.2), (400, 0.03)], 600);
    assert_eq!(hidden(&charger), [(Fault::Charged, 300.0, 400.0)]);
    assert_eq!(
        hidden(&car(&[(0, 0.03), (300, -0.05), (400, 0.03)], 600)),
        [],
        "a meter's zero"
    );
    assert_eq!(
        hidden(&car(&[(0, -0.2), (400, 0.03)], 600)),
        [],
        "turned round"
    );
}

/// A display that moves between two values for five minutes, then stands for so long.
fn stands(for_s: u32, moving: [f64; 2], a: f64, decimals: u8) -> TestCar {
    let mut levels: Vec<(u32, f64)> = (0..300)
        .map(|t_s| (t_s, moving[usize::from(t_s % 2 == 1)]))
        .collect();
    levels.push((300, a));
    car(&levels, 300 + for_s).display(decimals, 0.0)
}

/// On HOLD: it stood for twenty times as long as ever before, or for three times and through a deed.
#[test]
fn a_display_that_stands_through_a_deed_is_on_hold_sooner() {
    let steady = |for_s| stands(for_s, [0.030, 0.031], 0.031, 3);
    for (car, is_frozen, why) in [
        (steady(310), true, "twenty times a quarter of a minute"),
        (steady(270), false, "not as long as that"),
        (
            steady(270).marked(&[(400, "pull F3")]),
            true,
            "a deed in it",
        ),
        (
            steady(230).marked(&[(400, "pull F3")]),
            false,
            "not four minutes",
        ),
        (
            steady(270).marked(&[(400, "note warm")]),
            false,
            "a note touches nothing",
        ),
        (
            steady(270).marked(&[(400, "zero")]),
            false,
            "the meter was touched, not the car",
        ),
        (
            steady(270).marked(&[(568, "pull F3")]),
            false,
            "at its very end",
        ),
        (
            steady(270).marked(&[(301, "pull F3")]),
            false,
            "at its very beginning",
        ),
        (
            stands(310, [0.031, 0.031], 0.032, 3),
            false,
            "it stood as long before",
        ),
        (
            stands(310, [0.03, 0.04], 0.04, 2),
            false,
            "too coarse a display",
        ),
        (
            stands(310, [0.30, 0.31], 0.031, 3),
            false,
            "it moved at other currents only",
        ),
    ] {
        let found = hidden(&car);
        assert_eq!(
            found.iter().any(|one| one.0 == Fault::Frozen),
            is_frozen,
            "{why}: {found:?}"
        );
    }
    let [(_, from_s, to_s)] = hidden(&steady(310))[..] else {
        panic!("expected one")
    };
    close(from_s, 300.0);
    close(to_s, 608.0);
}

/// A place of 0.1 mA moves within ten minutes, where it is a small share of what is shown.
#[test]
fn a_fine_display_moves_by_itself() {
    let stood =
        |for_s, a, decimals| !hidden(&car(&[(0, a)], for_s).display(decimals, 0.0)).is_empty();
    assert!(stood(620, 0.03, 4));
    assert!(!stood(500, 0.03, 4), "not ten minutes");
    assert!(
        !stood(620, 0.03, 3),
        "a milliampere repeats itself honestly"
    );
    assert!(!stood(620, 0.01, 4), "and so does a tenth of little");
    assert!(!stood(90, 0.03, 4), "hardly a reading");
}

/// A stand of 100 s without a deed: one of 270 s with a deed in it is less than three times as long.
#[test]
fn a_stand_through_a_deed_is_held_against_the_longest_other_one() {
    for (for_s, is_frozen) in [(290, false), (310, true)] {
        let mut levels: Vec<(u32, f64)> = (0..200)
            .map(|t_s| (t_s, [0.030, 0.031][usize::from(t_s % 2 == 1)]))
            .collect();
        levels.extend([(200, 0.032), (300, 0.031)]);
        let car = car(&levels, 302 + for_s).display(3, 0.0);
        let found = hidden(&car.marked(&[(400, "pull F3")]));
        assert_eq!(!found.is_empty(), is_frozen, "{for_s} s: {found:?}");
    }
}

/// A place of 0.2 mA at the most, and half a percent of what is shown.
#[test]
fn a_place_is_fine_up_to_a_fifth_of_a_milliampere() {
    let session = car(&[(0, 0.05)], 200).session();
    for (resolution_a, a, expected) in [
        (0.000_19, 0.05, true),
        (0.000_21, 0.05, false),
        (0.000_19, 0.039, true),
        (0.000_19, 0.037, false),
    ] {
        let mut scan = BlockScan::default();
        scan.stills.long = vec![Still {
            from: at(0),
            to: at(700),
            a,
            resolution_a,
        }];
        let found = frozen(&session, &scan).len();
        assert_eq!(found, usize::from(expected), "{resolution_a} of {a} A");
    }
}

/// Moving currents like the one that stands: within half of it, outside the stand, read, and a tenth
/// of them at least.
#[test]
fn a_display_flickers_where_like_currents_moved() {
    let still = Still {
        from: at(100),
        to: at(200),
        a: 0.1,
        resolution_a: 0.001,
    };
    let before = |moving: usize, a: f32, from_s: u32| {
        let blocks = (from_s..from_s + 40).map(|t_s| block(t_s, 0.1)).enumerate();
        let blocks = blocks.map(|(i, block)| {
            if i < moving {
                Block { mean_a: a, ..block }
            } else {
                block
            }
        });
        flickers(&blocks.collect::<Vec<_>>(), &still)
    };
    assert!(before(4, 0.11, 0) && before(4, 0.14, 0) && before(4, 0.11, 200));
    assert!(!before(3, 0.11, 0), "three of forty");
    assert!(!before(4, 0.16, 0), "another current");
    assert!(!before(4, 0.11, 120), "within the stand");
    let one = [block(0, 0.11)];
    assert!(!flickers(&one, &still), "one reading");
    let unread: Vec<Block> = (0..9)
        .map(|t_s| Block {
            reads: Reads::of(0),
            ..block(t_s, 0.11)
        })
        .collect();
    assert!(!flickers(&unread, &still));
    let within = Block {
        max_a: 0.11,
        ..block(0, 0.1)
    };
    assert!(flickers(&[within; 2], &still), "it moves within the second");
}

/// A display of 10 mA shows zero for what a sleeping car draws.
#[test]
fn a_zero_is_one_on_a_fine_display_only() {
    let of = |min_a: f32, max_a: f32, resolution_a: f32| {
        is_zero(&Block {
            min_a,
            max_a,
            resolution_a,
            ..block(0, 0.0)
        })
    };
    assert!(of(0.0, 0.0, 0.001) && of(-0.0004, 0.0004, 0.0001));
    assert!(!of(0.0, 0.0, 0.01) && !of(-0.001, 0.0, 0.001) && !of(0.0, 0.001, 0.001));
    assert!(!is_zero(&Block {
        reads: Reads::of(0),
        ..block(0, 0.0)
    }));
}

fn evidence(spans: &[(u32, u32)]) -> Evidence {
    let hidden = spans.iter().map(|(from, to)| Hidden {
        fault: Fault::Dead,
        from: at(*from),
        to: at(*to),
    });
    let joined_s = spans
        .iter()
        .map(|(from, to)| (f64::from(*from), f64::from(*to)));
    Evidence {
        hidden: hidden.collect(),
        joined_s: joined_s.collect(),
    }
}

#[test]
fn what_is_hidden_is_hidden_from_its_beginning_to_its_end() {
    let evidence = evidence(&[(10, 20), (30, 40)]);
    let found = [9.0, 10.0, 19.0, 20.0, 35.0, 40.0].map(|t_s| evidence.hides(t_s));
    assert_eq!(found, [false, true, true, false, true, false]);
}

/// A dead meter of two minutes that began to charge within it: hidden as one.
#[test]
fn stretches_that_overlap_are_one() {
    let lasting = |from, to| (at(from), at(to));
    let mut scan = BlockScan::default();
    scan.read = 1000;
    scan.zeros.blocks = 100;
    scan.zeros.spans = vec![lasting(100, 200), lasting(300, 310)];
    scan.charged.spans = vec![lasting(150, 180), lasting(305, 320)];
    let session = car(&[(0, 0.03)], 10).session();
    let found = Evidence::of(&session, &scan);
    assert_eq!(found.joined_s, [(100.0, 200.0), (300.0, 320.0)]);
}

/// A fault hides the end when it is longer than a minute and reaches to within five seconds of it.
#[test]
fn only_a_long_fault_at_the_end_hides_it() {
    for (from_s, to_s, end_s, expected) in [
        (100, 200, 203, true),
        (100, 200, 208, false),
        (150, 200, 203, false),
        (100, 250, 250, true),
    ] {
        let found = evidence(&[(10, 20), (from_s, to_s)])
            .at(at(end_s))
            .is_some();
        assert_eq!(found, expected, "{from_s} to {to_s} of {end_s}");
    }
}
