//! Whether a car slept, on both sides of each rule.

use super::*;
use crate::judge::stay::testkit::{at, car, deed, flat, rested, seen, shown, unseen};
use crate::session::Session;

/// A basis of limit 50 mA and time-out 10 min.
fn session(asleep: bool) -> Session {
    let car = car(&[(0, 0.03)], 5);
    car.with(|card| card.asleep_at_start = asleep.then_some(true))
        .session()
}

fn basis(session: &Session) -> Basis<'_> {
    crate::judge::stay::testkit::basis(session)
}

const LOCK: Opening = deed(1, Did::Lock);
const UNLOCK: Opening = deed(2, Did::Unlock);
const PULL: Opening = deed(3, Did::Pull);
const REFIT: Opening = deed(4, Did::Refit);
const ZERO: Opening = deed(5, Did::Zero);

#[track_caller]
fn slept(earlier: &[Stay], stay: &Stay) -> Option<Ground> {
    rest(&basis(&session(false)), earlier, stay).ground
}

/// At or below the limit a level can only fall further: after a minute and a half, of which a minute
/// at the level of now. The meter's own margin counts to it, but no more than a tenth.
#[test]
fn at_the_limit_a_car_has_rested_after_a_minute_and_a_half() {
    let stood = |a, rest_s, stood_s| {
        let mut shown = shown(0, 300, a);
        (shown.at_rest_s, shown.stood_s) = (rest_s, stood_s);
        slept(&[], &seen(unseen(0, 300, UNLOCK), shown))
    };
    assert_eq!(stood(0.030, 95.0, 65.0), Some(Ground::AtLimit));
    assert_eq!(stood(0.030, 85.0, 65.0), None);
    assert_eq!(stood(0.030, 95.0, 55.0), None);
    assert_eq!(
        stood(0.0505, 95.0, 65.0),
        Some(Ground::AtLimit),
        "within what the meter may err"
    );
    assert_eq!(stood(0.060, 95.0, 65.0), None);
}

/// A meter of which nobody knows anything does not make a level of 56 mA one at the limit.
#[test]
fn the_margin_of_a_poor_meter_is_a_tenth_of_the_limit() {
    let poor = car(&[(0, 0.03)], 5)
        .with(|card| card.accuracy = "20%+9".parse().ok())
        .session();
    let of = |a| rest(&basis(&poor), &[], &flat(0, 300, UNLOCK, a)).ground;
    assert_eq!((of(0.054), of(0.056)), (Some(Ground::AtLimit), None));
}

/// Typed readings, ten minutes apart: two and a half of them make a level.
#[test]
fn typed_readings_make_a_level_when_there_are_two_and_a_half() {
    let typed = |stood_s| {
        let shown = Shown {
            is_sparse: true,
            step_s: 600.0,
            stood_s,
            at_rest_s: stood_s,
            ..shown(0, 1800, 0.03)
        };
        slept(&[], &seen(unseen(0, 1800, UNLOCK), shown))
    };
    assert_eq!(
        (typed(1400.0), typed(1600.0)),
        (None, Some(Ground::AtLimit))
    );
}

/// Above the limit the time-out has to run, of a car that was left, and the level has to stand for
/// two minutes.
#[test]
fn above_the_limit_the_time_out_proves_a_sleep() {
    let locked = |until_s, stood_s| {
        let shown = Shown {
            stood_s,
            ..shown(0, until_s, 0.2)
        };
        slept(&[], &seen(unseen(0, until_s, LOCK), shown))
    };
    assert_eq!(locked(610, 130.0), Some(Ground::TimedOut));
    assert_eq!(locked(590, 130.0), None, "not yet");
    assert_eq!(locked(610, 110.0), None, "not for two minutes");
    assert_eq!(
        slept(&[], &flat(0, 900, UNLOCK, 0.2)),
        None,
        "a door may be open"
    );
    let proven = rest(&basis(&session(false)), &[], &flat(0, 900, LOCK, 0.2)).proven;
    assert_eq!(proven, at(600), "when the time-out had run");
    let came = Shown {
        fell: at(700),
        arrived: at(700),
        ..shown(0, 900, 0.2)
    };
    let proven = rest(
        &basis(&session(false)),
        &[],
        &seen(unseen(0, 900, LOCK), came),
    )
    .proven;
    assert_eq!(proven, at(820), "two minutes after it fell");
}

/// What was removed may have kept others awake: above the limit the wait begins with the removal.
#[test]
fn above_the_limit_a_removal_begins_a_wait_of_its_own() {
    let removed = |a| {
        let shown = Shown {
            stood_s: 130.0,
            at_rest_s: 60.0,
            ..shown(500, 700, a)
        };
        let stay = Stay {
            clock: at(0),
            was_left: true,
            ..seen(unseen(500, 700, PULL), shown)
        };
        slept(&[unseen(0, 500, LOCK)], &stay)
    };
    assert_eq!(
        (removed(0.2), removed(0.04)),
        (None, Some(Ground::TimedOut))
    );
}

/// A removal out of a sleeping car, at no higher level: asleep at the limit, standing so far above.
#[test]
fn a_removal_out_of_a_sleep_inherits_it() {
    let rest_after = |before: &Stay, opening, fell_s, a| {
        let shown = Shown {
            fell: at(fell_s),
            ..shown(1000, 1200, a)
        };
        let shown = Shown {
            at_rest_s: 80.0,
            stood_s: 130.0,
            ..shown
        };
        rest(
            &basis(&session(false)),
            std::slice::from_ref(before),
            &seen(unseen(1000, 1200, opening), shown),
        )
    };
    let before = rested(0, 1000, LOCK, 0.2, Ground::TimedOut);
    let below = rest_after(&before, PULL, 1000, 0.04);
    assert_eq!(
        (below.ground, below.inherited),
        (Some(Ground::Removed), true)
    );
    let above = rest_after(&before, PULL, 1000, 0.18);
    assert_eq!((above.ground, above.so_far), (None, true));
    assert!(
        !rest_after(&before, PULL, 1030, 0.18).so_far,
        "late: perhaps a stage"
    );
    assert!(rest_after(&before, PULL, 1010, 0.18).so_far, "at once");
    assert_eq!(
        rest_after(&before, PULL, 1030, 0.04).ground,
        Some(Ground::Removed),
        "late, and low"
    );
    assert!(
        rest_after(&before, PULL, 1000, 0.208).so_far,
        "as high as before"
    );
    assert!(
        !rest_after(&before, PULL, 1000, 0.212).so_far,
        "higher: it woke"
    );
    let awake = flat(0, 1000, LOCK, 0.2);
    assert!(
        !rest_after(&awake, PULL, 1000, 0.18).inherited,
        "it did not sleep before"
    );
    assert!(
        !rest_after(&before, REFIT, 1000, 0.18).inherited,
        "a refit wakes"
    );
    assert!(
        rest_after(&before, ZERO, 1000, 0.18).inherited,
        "a zeroed clamp does not"
    );
    assert!(!rest_after(&awake, ZERO, 1000, 0.18).inherited);
    let said = rested(0, 1000, Opening::Start, 0.2, Ground::SaidAsleep);
    assert_eq!(
        rest_after(&said, PULL, 1000, 0.18).ground,
        Some(Ground::Removed),
        "nothing is left to fall"
    );
    let handed_on = Stay {
        rest: SleepProof {
            inherited: true,
            ..SleepProof::default()
        },
        ..awake
    };
    assert!(
        rest_after(&handed_on, PULL, 1000, 0.18).so_far,
        "removal after removal"
    );
}

/// The card's word counts for the beginning of the record alone.
#[test]
fn the_card_says_that_the_car_slept_when_the_record_began() {
    let of = |asleep, opening, stood_s| {
        let shown = Shown {
            stood_s,
            ..shown(0, 300, 0.2)
        };
        rest(
            &basis(&session(asleep)),
            &[],
            &seen(unseen(0, 300, opening), shown),
        )
        .ground
    };
    assert_eq!(of(true, Opening::Start, 130.0), Some(Ground::SaidAsleep));
    assert_eq!(of(true, Opening::Start, 110.0), None);
    assert_eq!(of(false, Opening::Start, 130.0), None);
    assert_eq!(of(true, UNLOCK, 130.0), None);
}

/// This very state at this very level has rested before, for its time-out or by the card's word.
#[test]
fn a_level_at_which_this_state_has_rested_is_known() {
    let before = rested(0, 700, LOCK, 0.2, Ground::TimedOut);
    let again =
        |before: &Stay, a| slept(std::slice::from_ref(before), &flat(1000, 1200, UNLOCK, a));
    assert_eq!(again(&before, 0.2), Some(Ground::Known));
    assert_eq!(again(&before, 0.23), None, "another level");
    assert_eq!(
        again(
            &Stay {
                to: at(500),
                ..before.clone()
            },
            0.2
        ),
        None,
        "not for its time-out"
    );
    assert_eq!(
        again(
            &Stay {
                setup: 1,
                ..before.clone()
            },
            0.2
        ),
        None,
        "another state"
    );
    let said = rested(0, 300, Opening::Start, 0.2, Ground::SaidAsleep);
    assert_eq!(again(&said, 0.2), Some(Ground::Known));
    let brief = Shown {
        at_rest_s: 80.0,
        ..shown(1000, 1080, 0.2)
    };
    assert_eq!(
        slept(&[before], &seen(unseen(1000, 1080, UNLOCK), brief)),
        None
    );
}

/// Whether the time-out runs: locked, or come down by itself, or low from the first.
#[test]
fn the_time_out_runs_in_a_car_that_was_left() {
    let waits = |stay: &Stay| is_waiting(&basis(&session(false)), stay);
    let came = |opening| {
        let shown = Shown {
            arrived: at(60),
            ..shown(0, 300, 0.2)
        };
        seen(unseen(0, 300, opening), shown)
    };
    assert!(waits(&unseen(0, 300, LOCK)));
    assert!(!waits(&unseen(0, 300, UNLOCK)));
    assert!(!waits(&unseen(0, 300, Opening::Start)) && !waits(&flat(0, 300, Opening::Start, 2.0)));
    assert!(
        is_waiting(&basis(&session(true)), &unseen(0, 300, Opening::Start)),
        "the card says so"
    );
    assert!(
        waits(&flat(0, 300, Opening::Start, 0.2)),
        "tens of milliamperes are a sleeping car's"
    );
    assert!(
        !waits(&flat(0, 300, UNLOCK, 0.2)) && waits(&came(UNLOCK)),
        "it came down"
    );
    assert!(
        waits(&rested(0, 300, UNLOCK, 0.03, Ground::AtLimit)),
        "it sleeps"
    );
    let left = |was_left| Stay {
        was_left,
        ..flat(0, 300, PULL, 2.0)
    };
    assert!(waits(&left(true)) && !waits(&left(false)));
}

/// Ten seconds on the way down, to less than half an ampere.
#[test]
fn a_car_comes_down_by_itself() {
    let came = |arrived_s, a| {
        let stay = unseen(0, 300, UNLOCK);
        came_down(
            &stay,
            &Shown {
                arrived: at(arrived_s),
                ..shown(0, 300, a)
            },
        )
    };
    assert!(came(15, 0.2) && came(15, 0.4));
    assert!(!came(8, 0.2) && !came(15, 0.6));
}

/// Who was left before: after a lock; after what slept or came down; not after a door was opened.
#[test]
fn what_was_done_to_an_open_car_leaves_it_open() {
    let pulled = unseen(500, 900, PULL);
    let after = |before: Stay| was_left_before(&[before], &pulled);
    assert!(was_left_before(&[], &unseen(0, 300, LOCK)));
    assert!(!was_left_before(&[], &pulled));
    assert!(after(unseen(0, 500, LOCK)));
    assert!(!after(flat(0, 500, UNLOCK, 2.0)) && !after(flat(0, 500, Opening::Start, 2.0)));
    assert!(after(rested(0, 500, UNLOCK, 0.03, Ground::AtLimit)));
    let came = Shown {
        arrived: at(60),
        ..shown(0, 500, 0.2)
    };
    assert!(after(seen(unseen(0, 500, UNLOCK), came)));
    let left = |opening, was_left| Stay {
        was_left,
        ..flat(0, 500, opening, 2.0)
    };
    assert!(after(left(PULL, true)) && !after(left(PULL, false)));
    assert!(!after(left(UNLOCK, true)) && !after(left(Opening::Start, true)));
}

/// Only removals lie between the card's word and now.
#[test]
fn the_cards_word_holds_through_removals_alone() {
    let said = rested(0, 300, Opening::Start, 0.2, Ground::SaidAsleep);
    let pulled = flat(300, 400, PULL, 0.2);
    assert!(said_asleep(&[said.clone(), pulled.clone()]));
    assert!(!said_asleep(&[
        said,
        flat(300, 350, UNLOCK, 2.0),
        pulled.clone()
    ]));
    assert!(!said_asleep(&[pulled]));
}

/// Later than twenty seconds, or than two and a half readings where those are minutes apart.
#[test]
fn a_level_reached_late_is_not_the_removals_own() {
    let late = |fell_s, is_sparse| {
        let shown = Shown {
            fell: at(fell_s),
            is_sparse,
            step_s: 60.0,
            ..shown(0, 900, 0.2)
        };
        falls_late_in(&unseen(0, 900, PULL), &shown)
    };
    assert!(late(25, false) && !late(15, false));
    assert!(late(160, true) && !late(140, true));
}

/// Above the limit a level may still fall until it has stood for half as long again as the card says.
#[test]
fn a_level_above_the_limit_may_still_fall() {
    let may = |stay: &Stay| stay.may_still_fall(&basis(&session(false)));
    assert!(may(&rested(0, 890, LOCK, 0.2, Ground::TimedOut)));
    assert!(!may(&rested(0, 910, LOCK, 0.2, Ground::TimedOut)));
    assert!(
        !may(&rested(0, 890, LOCK, 0.04, Ground::TimedOut)),
        "it is below"
    );
    assert!(may(&flat(0, 910, LOCK, 0.2)) && !may(&unseen(0, 910, LOCK)));
    assert!(!may(&rested(0, 300, LOCK, 0.2, Ground::Known)));
    let pulled = Stay {
        clock: at(0),
        ..rested(800, 910, PULL, 0.2, Ground::TimedOut)
    };
    assert!(may(&pulled), "the removal begins anew");
}
