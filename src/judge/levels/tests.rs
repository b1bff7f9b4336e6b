//! The settled level of each state.

use super::*;
use crate::judge::stay::Opening;
use crate::judge::stay::asleep::{Ground, SleepProof};
use crate::judge::stay::testkit::{deed, flat, rested, stays};
use crate::session::mark::Did;

#[test]
fn levels_are_the_same_within_five_milliamperes_or_a_twentieth() {
    for (one_a, other_a, expected) in [
        (0.030, 0.034, true),
        (0.030, 0.036, false),
        (0.500, 0.480, true),
        (0.500, 0.470, false),
        (-0.500, -0.480, true),
        (0.003, -0.003, false),
    ] {
        assert_eq!(same(one_a, other_a), expected, "{one_a} {other_a}");
        assert_eq!(same(other_a, one_a), expected, "{other_a} {one_a}");
    }
    assert!(is_dead(0.0005) && is_dead(-0.0005) && !is_dead(0.002) && !is_dead(-0.002));
}

fn slept(from_s: u32, setup: usize, opening: Opening, a: f64) -> Stay {
    let stay = rested(from_s, from_s + 100, opening, a, Ground::TimedOut);
    Stay { setup, ..stay }
}

/// Which state each settled level is of, and what is out in it.
fn told(stays: &Stays) -> Vec<(usize, String, f64)> {
    let of = |one: StateLevel| (one.fuse_state, one.out.join("+"), one.level.a);
    levels(stays).into_iter().map(of).collect()
}

const PULL: Opening = deed(1, Did::Pull);
const REFIT: Opening = deed(2, Did::Refit);
const LOCK: Opening = deed(3, Did::Lock);

/// The last level of each state counts; a dead meter, and a car that did not sleep, tell none.
#[test]
fn a_state_has_the_last_level_that_settled_in_it() {
    let all = vec![
        slept(0, 0, Opening::Start, 0.20),
        slept(100, 0, LOCK, 0.19),
        slept(200, 1, PULL, 0.03),
        slept(300, 0, REFIT, 0.0005),
        Stay {
            setup: 0,
            ..flat(400, 500, LOCK, 2.0)
        },
    ];
    let stays = stays(&[&[], &["F3"]], all);
    assert_eq!(
        told(&stays),
        [(0, String::new(), 0.19), (1, "F3".to_owned(), 0.03)]
    );
    assert_eq!(states(&stays), [0, 1, 0]);
}

/// A level that may still fall speaks for its state only until the state is seen to rest.
#[test]
fn a_level_so_far_gives_way_to_one_that_settled() {
    let so_far = |from_s, a| Stay {
        setup: 1,
        rest: SleepProof {
            so_far: true,
            ..SleepProof::default()
        },
        ..flat(from_s, from_s + 100, PULL, a)
    };
    let with = |later: Vec<Stay>| {
        let first = slept(0, 0, Opening::Start, 0.20);
        told(&stays(
            &[&[], &["F3"]],
            [vec![first, so_far(100, 0.15)], later].concat(),
        ))
        .len()
    };
    assert_eq!(with(vec![]), 2);
    let back = slept(200, 0, REFIT, 0.20);
    assert_eq!(
        with(vec![back.clone(), slept(300, 1, PULL, 0.03)]),
        3,
        "the settled one counts"
    );
    assert_eq!(with(vec![back, so_far(300, 0.14)]), 4, "both stand so far");
}

/// After a mark that cannot be, what is out is a guess, and its level is of no state.
#[test]
fn a_guessed_state_has_no_level() {
    let mut guessed = stays(
        &[&[], &["F3"]],
        vec![slept(0, 0, Opening::Start, 0.2), slept(100, 1, PULL, 0.03)],
    );
    let setup = crate::judge::setup::Setup {
        guesses: 1,
        ..(*guessed.setups[1]).clone()
    };
    guessed.setups[1] = Arc::new(setup);
    assert_eq!(told(&guessed).len(), 1);
}

/// The trials before the first new part.
#[test]
fn a_new_part_ends_what_was_before_the_repair() {
    let marks = ["pull F3", "refit F3", "swap M4"];
    let mut car = crate::judge::stay::testkit::car(&[(0, 0.2)], 200);
    for (t_s, cell) in (50..).step_by(30).zip(marks) {
        car = car.mark(t_s, cell);
    }
    let trials = car.judged().trials;
    assert_eq!(
        (before_repair(&trials), before_repair(&trials[..2])),
        (2, usize::MAX)
    );
}
