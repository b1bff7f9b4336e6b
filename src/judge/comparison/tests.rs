//! Whole small records: one deed each, and what is found.

use super::Seen;
use crate::judge::finding::{Finding, Manner, Trial};
use crate::judge::kit::{HOUR, MIN, TestCar};
use crate::judge::reason::TrialReason;
use crate::reading::Elapsed;

/// A sleeping car at 160 mA, of which a pull at ten minutes leaves `left_a`, by `end_s`.
fn pulled(left_a: f64, end_s: u32) -> Trial {
    let car = TestCar::asleep(&[(0, 0.160), (600, left_a)]);
    car.marked(&[(600, "pull A1")]).trial(end_s)
}

/// The limit is 50 mA, U of a change some tenths of a milliampere.
#[test]
fn the_finding_follows_from_the_change_and_the_limit() {
    for (left_a, expected) in [
        (0.047, Finding::Clears),
        (0.053, Finding::Lowers),
        (0.154, Finding::Lowers),
        (0.158, Finding::NoChange),
        (0.160, Finding::NoChange),
        (0.162, Finding::NoChange),
        (0.166, Finding::Raises),
    ] {
        assert_eq!(pulled(left_a, 1500).finding, expected, "{left_a}");
    }
    // A car that was below all along is lowered, not cleared.
    let below = TestCar::asleep(&[(0, 0.040), (600, 0.020)]);
    let below = below.marked(&[(600, "pull A1")]).trial(1500);
    assert_eq!(below.finding, Finding::Lowers);
}

/// 2 mA are beyond U and matter to nobody: told as too little, not as the same.
#[test]
fn a_change_too_small_to_matter_is_told_as_such() {
    assert!(matches!(pulled(0.158, 1500).reason, TrialReason::TooLittle { by_a } if by_a < 0.0));
    assert!(matches!(
        pulled(0.160, 1500).reason,
        TrialReason::Same { .. }
    ));
    assert!(matches!(pulled(0.166, 1500).reason, TrialReason::Rose { by_a, .. } if by_a > 0.0));
}

/// What falls with the pull is its own; what falls minutes later was kept awake by it.
#[test]
fn the_manner_says_what_fell_when() {
    for (levels, expected) in [
        (&[(0, 0.160), (600, 0.030)][..], Manner::AtOnce),
        (&[(0, 0.160), (660, 0.030)], Manner::Late),
        (&[(0, 0.160), (600, 0.100), (660, 0.030)], Manner::Both),
        // A part below a tenth of the fall, or below 5 mA of a later one, is none.
        (&[(0, 0.160), (600, 0.150), (660, 0.030)], Manner::Late),
        (&[(0, 0.160), (600, 0.040), (660, 0.032)], Manner::AtOnce),
        (&[(0, 0.060), (600, 0.034), (660, 0.030)], Manner::AtOnce),
        (&[(0, 0.060), (600, 0.036), (660, 0.030)], Manner::Both),
    ] {
        let trial = TestCar::asleep(levels)
            .marked(&[(600, "pull A1")])
            .trial(1500);
        assert_eq!(trial.finding, Finding::Clears, "{levels:?}");
        assert_eq!(trial.manner, Some(expected), "{levels:?}");
    }
}

/// A load that comes by itself ten minutes before the next pull is none of that pull.
#[test]
fn what_rose_before_a_pull_is_none_of_it() {
    let levels = [(0, 0.160), (600, 0.030), (3000, 0.150)];
    let marks = [(600, "pull A1"), (3600, "pull B2")];
    let judged = TestCar::asleep(&levels).marked(&marks).judged(2 * HOUR);
    assert_eq!(judged.trials[1].finding, Finding::NoChange);
    assert_eq!(judged.unclaimed.len(), 1);
}

/// Pulled and put back while the car was going to sleep: a stage of that is no level of the pull.
#[test]
fn a_stage_after_a_pull_is_no_rise_over_where_the_car_came_to_rest() {
    let levels = [(0, 2.0), (60, 0.700), (171, 0.445), (900, 0.020)];
    let marks = [(1, "lock"), (180, "pull A1"), (420, "refit A1")];
    let judged = TestCar::of(&levels).marked(&marks).judged(90 * MIN);
    assert_eq!(judged.trials[0].finding, Finding::CannotTell);
}

/// A minute without readings across the pull, and nobody saw how it fell.
#[test]
fn a_fall_in_a_gap_is_of_no_manner() {
    for (back_s, blind) in [(640, false), (670, true)] {
        let levels = [(0, 0.160), (595, f64::NAN), (back_s, 0.030)];
        let trial = TestCar::asleep(&levels)
            .marked(&[(600, "pull A1")])
            .trial(1800);
        assert_eq!(trial.finding, Finding::Clears);
        let is_blind = matches!(trial.reason, TrialReason::Blind { for_s } if for_s > 60.0);
        assert_eq!(is_blind, blind, "{back_s}: {:?}", trial.reason);
    }
}

#[test]
fn what_is_put_back_is_compared_with_what_it_was() {
    for (back_a, differs) in [
        (0.160, Some(0.0)),
        (0.162, Some(0.0)),
        (0.200, Some(0.040)),
        (0.120, Some(-0.040)),
    ] {
        let levels = [(0, 0.160), (600, 0.030), (1200, back_a)];
        let car = TestCar::asleep(&levels).marked(&[(600, "pull A1"), (1200, "refit A1")]);
        let trial = car.trial(1200 + 50 * MIN);
        assert_eq!(trial.finding, Finding::Raises);
        let TrialReason::Rose { by_a, differs_a } = trial.reason else {
            panic!("{trial:?}")
        };
        assert!((by_a - (back_a - 0.030)).abs() < 0.002, "{by_a}");
        assert_eq!(
            differs_a.map(|a| (a * 1e3).round() / 1e3),
            differs,
            "{back_a}"
        );
    }
}

/// Out twice, or back without having been out: another fuse was meant.
#[test]
fn a_label_that_cannot_be_spoils_the_trial() {
    for marks in [
        &[(300, "pull A1"), (600, "pull A1")][..],
        &[(600, "refit A1")],
        &[(300, "pull B2"), (600, "refit A1")],
    ] {
        let trial = TestCar::asleep(&[(0, 0.160)]).marked(marks).trial(1200);
        assert_eq!(trial.finding, Finding::Spoiled, "{marks:?}");
        assert!(matches!(trial.reason, TrialReason::Misnamed { ref label, .. } if label == "A1"));
    }
    let right = TestCar::asleep(&[(0, 0.160)]).marked(&[(300, "pull A1"), (600, "refit A1")]);
    assert_ne!(right.trial(1200).finding, Finding::Spoiled);
}

/// Half a milliampere is a meter that lost its current; with one that flickers and comes back with
/// the fuse, next to nothing was left.
#[test]
fn a_pull_that_leaves_no_current_is_no_cure() {
    let dead = pulled(0.0, 1500);
    assert_eq!(dead.finding, Finding::Spoiled);
    assert!(matches!(dead.reason, TrialReason::NoCurrent { at_a } if at_a.abs() < 0.001));
    assert_eq!(pulled(0.004, 1500).finding, Finding::Clears);
    let levels = [(0, 0.160), (600, 0.000_1), (1500, 0.160)];
    let back = TestCar::asleep(&levels).marked(&[(600, "pull A1"), (1500, "refit A1")]);
    assert_ne!(back.judged(2400).trials[0].finding, Finding::Spoiled);
}

/// Shorter than a level can stand, the next deed overtakes it, and the two are a run.
#[test]
fn quick_pulls_are_judged_together() {
    let levels = [(0, 0.160), (600, 0.100), (612, 0.030)];
    let car = TestCar::asleep(&levels).marked(&[(600, "pull A1"), (612, "pull B2")]);
    let judged = car.judged(1800);
    let [first, last] = judged.trials.as_slice() else {
        panic!("{:?}", judged.trials)
    };
    assert_eq!(last.finding, Finding::Clears);
    assert!(
        first
            .first_look
            .is_some_and(|look| (look.a + 0.060).abs() < 0.003),
        "{first:?}"
    );
    assert!(
        last.first_look
            .is_some_and(|look| (look.a + 0.070).abs() < 0.003),
        "{last:?}"
    );
}

/// Removals whose time-out has not run share what falls later.
#[test]
fn a_late_fall_after_two_removals_is_of_both() {
    let levels = [(0, 0.260), (1000, 0.030)];
    let marks = [(300, "pull A1"), (900, "pull B2")];
    let trial = TestCar::asleep(&levels).marked(&marks).trial(2000);
    assert_eq!(trial.manner, Some(Manner::Late));
    assert!(
        matches!(trial.reason, TrialReason::Shared { later_a, .. } if (later_a - 0.230).abs() < 0.002)
    );
    assert_eq!(trial.with, ["A1", "B2"]);
    // An own part is surely of the second.
    let levels = [(0, 0.260), (900, 0.160), (1000, 0.030)];
    let trial = TestCar::asleep(&levels).marked(&marks).trial(2000);
    assert_eq!(trial.manner, Some(Manner::AtOnce));
    assert!(
        trial
            .change
            .is_some_and(|own| (own.a + 0.100).abs() < 0.003)
    );
}

/// A car that is up for twice its time and sleeps without a fuse was kept up by it.
#[test]
fn a_car_that_sleeps_only_without_it_was_kept_up() {
    let levels = |pull_s| [(0, 3.0), (20, 1.5), (pull_s, 1.5), (pull_s + 120, 0.020)];
    for (pull_s, cleared) in [(60 * MIN, true), (10 * MIN, false)] {
        let car = TestCar::of(&levels(pull_s)).marked(&[(20, "lock"), (pull_s, "pull A1")]);
        let trial = car.trial(pull_s + 30 * MIN);
        assert_eq!(trial.finding == Finding::Clears, cleared, "{trial:?}");
        if !cleared {
            assert!(
                matches!(trial.reason, TrialReason::UpTooShort { up_s, needed_s } if up_s < needed_s)
            );
        }
    }
}

/// While nothing else was done a level above the limit may still fall, until the time-out and half.
#[test]
fn a_finding_above_the_limit_is_so_far() {
    let timeout_s = 45.0 * 60.0;
    let at = |trial: &Trial| trial.stands_at.map(Elapsed::secs);
    assert_eq!(at(&pulled(0.100, 1500)), Some(600.0 + 1.5 * timeout_s));
    assert_eq!(at(&pulled(0.030, 1500)), None, "below");
    assert_eq!(at(&pulled(0.100, 600 + 68 * MIN)), None, "it has run");
}

/// A wake every twenty minutes, pulled at two hours: none for one and a half periods is the end.
#[test]
fn regular_wakes_have_stopped_after_a_period_and_a_half() {
    let wakes = |from_s, to_s| {
        let onsets = (from_s..to_s).step_by(1200);
        onsets.flat_map(|at_s| [(at_s, 1.2), (at_s + 40, 0.030)])
    };
    let quiet: Vec<(u32, f64)> = [(0, 0.030)]
        .into_iter()
        .chain(wakes(600, 2 * HOUR))
        .collect();
    let trial = |levels: &[(u32, f64)], end_s| {
        TestCar::asleep(levels)
            .marked(&[(2 * HOUR, "pull A1")])
            .trial(end_s)
    };
    let early = trial(&quiet, 2 * HOUR + 25 * MIN);
    assert_eq!(early.finding, Finding::NotYet);
    assert!(
        matches!(early.reason, TrialReason::WakesOpen { needed_s, .. } if (needed_s - 1800.0).abs() < 5.0)
    );
    let stopped = trial(&quiet, 2 * HOUR + 33 * MIN);
    assert_eq!(stopped.finding, Finding::Clears);
    assert!(
        matches!(stopped.reason, TrialReason::WakesStopped { every_s, .. } if (every_s - 1200.0).abs() < 5.0)
    );
    let more: Vec<(u32, f64)> = quiet
        .iter()
        .copied()
        .chain(wakes(2 * HOUR + 600, 4 * HOUR))
        .collect();
    let on = trial(&more, 4 * HOUR);
    assert_eq!(on.finding, Finding::NoChange);
    assert!(
        matches!(on.reason, TrialReason::WakesGoOn { seen: 6, .. }),
        "{:?}",
        on.reason
    );
}

/// A trial stands while the stays that it asked about do, and what it asked of others is so still.
#[test]
fn a_trial_stands_while_what_it_was_judged_from_does() {
    let car = TestCar::asleep(&[(0, 0.160), (600, 0.030)]).marked(&[(600, "pull A1")]);
    car.stays(1500, |_, stays| {
        let mut stays = stays.clone();
        stays.known = 2;
        let seen = |reach, woke, stood| Seen {
            at: 1,
            reach,
            woke: vec![(0, woke)],
            stood: vec![(1, stood)],
            ..Seen::default()
        };
        let stands = seen(1, false, Some(1));
        assert!(stands.stands(&stays, 1));
        assert!(!stands.stands(&stays, 0), "another stay");
        for (changed, why) in [
            (seen(2, false, Some(1)), "it asked beyond what is known"),
            (seen(1, true, Some(1)), "the car had woken"),
            (seen(1, false, None), "it had not stood"),
        ] {
            assert!(!changed.stands(&stays, 1), "{why}");
        }
    });
}
