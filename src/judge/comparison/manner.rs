//! How a fall came: at once with the removal, or late and in stages.
//!
//! A direct load leaves with its fuse. A fall that comes later means that the removed part kept
//! other modules awake: the fault may sit on another circuit of the same network.

use super::both_sides::BothSides;
use super::part_a;
use super::sides::Side;
use crate::judge::finding::{Level, Manner, Trial};
use crate::judge::reason::TrialReason;
use crate::judge::rules::{
    AT_ONCE_S, EDGE_S, HOLE_S, MARK_TOLERANCE_S, MATTER_A, NEAR_SHARE, SAME_A, SAME_CHANGE_SHARE,
    SUSPECT_A,
};
use crate::judge::stay::Basis;
use crate::judge::stay::evidence::Hidden;
use crate::reading::Elapsed;
use crate::signal::Gap;

/// Puts the manner onto a trial whose level fell.
pub(super) fn tell(case: &BothSides<'_>, trial: &mut Trial) {
    let fell = trial.finding.is_fall() && trial.did.removes();
    if !fell || !matches!(trial.reason, TrialReason::Fell { .. }) {
        return;
    }
    let (basis, change) = (case.bench.basis, case.resting.change);
    let fall_a = -change.a;
    if let Some(for_s) = blind_s(basis, trial.t, case.after) {
        trial.reason = TrialReason::Blind { for_s };
        return;
    }
    let (stages, last_after_s) = stages(basis, trial.t, case.after);
    let Some(own) = case.own else {
        trial.manner = without_look(case);
        trial.reason = TrialReason::Fell {
            own_a: None,
            later_a: fall_a,
            stages,
            last_after_s,
        };
        return;
    };
    if own.a
        > own
            .u_a
            .max(SUSPECT_A)
            .max(NEAR_SHARE * case.before.shown.level.a)
    {
        trial.reason = TrialReason::Woke { rise_a: own.a };
        return;
    }
    let own_a = (-own.a).max(0.0);
    let later_a = fall_a - own_a;
    let is_own = own_a > own.u_a.max(part_a(fall_a, MATTER_A));
    let is_later = later_a > change.u_a.max(own.u_a).max(part_a(fall_a, SAME_A));
    let others = case.removals_before();
    if is_later && !others.is_empty() {
        // Removals before it had not run their time-out: only the own part is surely of this one.
        trial.reason = TrialReason::Shared { own_a, later_a };
        if is_own {
            trial.manner = Some(Manner::AtOnce);
            trial.change = Some(own);
        } else {
            trial.manner = Some(Manner::Late);
            trial.with = others;
            trial.with.push(trial.what.join("+"));
        }
        return;
    }
    // One fall so shortly after the mark may be the removal itself, marked early.
    let is_near = stages == 1 && last_after_s <= AT_ONCE_S;
    trial.manner = match (is_own, is_later) {
        (true, true) => Some(Manner::Both),
        _ if own_a >= later_a => Some(Manner::AtOnce),
        (_, true) if !is_near => Some(Manner::Late),
        _ => None,
    };
    trial.reason = TrialReason::Fell {
        own_a: Some(own_a),
        later_a: later_a.max(0.0),
        stages,
        last_after_s,
    };
}

/// Where the level just before the deed tells nothing: typed readings, or a car that was opened.
fn without_look(case: &BothSides<'_>) -> Option<Manner> {
    let (before, after) = (case.before, case.after);
    if after.shown.is_sparse && before.is_adjacent {
        // One reading may be of a mark made early; two say that it had not fallen yet. What nobody
        // read at once may be either.
        let track = case.bench.basis.session.signal().track();
        let sure = after.stay.from.plus_secs(MARK_TOLERANCE_S);
        let old = track.values(sure, after.shown.fell.plus_secs(-EDGE_S));
        let read_s = after.shown.fell.secs_since(after.stay.from);
        return match old.len() {
            0 if read_s <= AT_ONCE_S => Some(Manner::AtOnce),
            0 | 1 => None,
            _ => Some(Manner::Late),
        };
    }
    // A load of its own leaves an open car too; what kept others awake does not show there.
    let change = case.resting.change;
    let is_own = |look: Level| {
        (look.a - change.a).abs()
            <= look
                .u_a
                .max(change.u_a)
                .max(SAME_CHANGE_SHARE * change.a.abs())
    };
    match case.opened {
        // The open car was too restless to show it: nobody saw how it went.
        Some(look) if look.u_a >= change.a.abs() / 2.0 => None,
        Some(look) if is_own(look) => Some(Manner::AtOnce),
        Some(_) if !before.is_adjacent => Some(Manner::Late),
        // The stages of a car that was opened are those of its falling asleep.
        None if !before.is_adjacent || !after.is_adjacent => None,
        _ => after.fell_late().then_some(Manner::Late),
    }
}

/// For how long evidence was missing between the deed and the level after it, if for too long.
fn blind_s(basis: &Basis<'_>, at: Elapsed, after: &Side<'_>) -> Option<f64> {
    let (from, to) = (
        at.plus_secs(-MARK_TOLERANCE_S),
        after.shown.fell.max(at.plus_secs(MARK_TOLERANCE_S)),
    );
    let gaps = basis
        .session
        .signal()
        .gaps()
        .iter()
        .filter(|gap| gap.to > from && gap.from < to);
    let hidden = basis.evidence.hidden.iter();
    let hidden = hidden.filter(|hidden| hidden.to > from && hidden.from < to);
    let for_s: f64 = gaps.map(Gap::lasts_s).sum::<f64>() + hidden.map(Hidden::lasts_s).sum::<f64>();
    (for_s > HOLE_S).then_some(for_s)
}

/// How many falls came later than the deed itself, and how long after it the last of them did.
fn stages(basis: &Basis<'_>, at: Elapsed, after: &Side<'_>) -> (usize, f64) {
    let to = after.shown.fell.plus_secs(MARK_TOLERANCE_S);
    let changes = basis.session.signal().changes();
    let first = changes.partition_point(|change| change.t <= at);
    let later = changes.get(first..).unwrap_or(&[]).iter();
    let falls: Vec<f64> = later
        .take_while(|change| change.t <= to)
        .filter(|change| change.to_a < change.from_a)
        .map(|change| change.t.secs_since(at))
        .filter(|after_s| *after_s > MARK_TOLERANCE_S)
        .collect();
    (falls.len(), falls.last().copied().unwrap_or(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::finding::Finding;
    use crate::judge::kit::{MIN, TestCar};

    /// Typed once a minute: read within 20 s it is at once, one reading of the old level may be of a
    /// mark made early, two are not.
    #[test]
    fn typed_readings_tell_late_from_at_once() {
        for (mark, fall_s, expected) in [
            ((585, "pull A1"), 600, Some(Manner::AtOnce)),
            ((575, "pull A1"), 600, None),
            ((590, "pull A1"), 660, None),
            ((590, "pull A1"), 720, Some(Manner::Late)),
            ((595, "pull A1"), 720, None),
        ] {
            let car = TestCar::asleep(&[(0, 0.160), (fall_s, 0.030)]).read_every(60.0);
            let trial = car.marked(&[mark]).trial(60 * MIN);
            assert_eq!(
                (trial.finding, trial.manner),
                (Finding::Clears, expected),
                "{fall_s}"
            );
        }
    }

    /// A rise of more than 20 mA, or a quarter of the level, with the pull: it woke the car.
    #[test]
    fn a_pull_that_wakes_the_car_hides_how_it_fell() {
        for (level_a, rise_a, woke) in [
            (0.060, 0.015, false),
            (0.060, 0.025, true),
            (0.060, 0.300, true),
            (0.200, 0.040, false),
            (0.200, 0.060, true),
        ] {
            let levels = [(0, level_a), (600, level_a + rise_a), (700, 0.030)];
            let trial = TestCar::asleep(&levels)
                .marked(&[(600, "pull A1")])
                .trial(60 * MIN);
            assert_eq!(trial.finding, Finding::Clears, "{rise_a}");
            let is_woken = matches!(trial.reason, TrialReason::Woke { .. });
            assert_eq!(is_woken, woke, "{rise_a}: {:?}", trial.reason);
        }
    }

    /// Unlocked for the pull, at 1.9 A: a load of its own leaves an open car too; what kept others
    /// awake shows only once the car is asleep again.
    #[test]
    fn a_load_of_its_own_leaves_an_open_car_too() {
        for (left_a, asleep_s, expected) in [
            (1.770, 1200, Manner::AtOnce),
            (1.780, 1200, Manner::AtOnce),
            (1.788, 1200, Manner::Late),
            (1.900, 1200, Manner::Late),
            (1.900, 1000, Manner::Late),
        ] {
            let levels = [(0, 0.160), (600, 1.900), (900, left_a), (asleep_s, 0.030)];
            let marks = [(600, "unlock"), (900, "pull A1"), (1000, "lock")];
            let trial = TestCar::asleep(&levels).marked(&marks).trial(60 * MIN);
            assert_eq!(
                (trial.finding, trial.manner),
                (Finding::Clears, Some(expected)),
                "{left_a}"
            );
        }
    }

    /// Unplugged two seconds after the door was opened and locked two seconds later: nobody saw it go.
    #[test]
    fn what_was_pulled_out_of_a_car_just_opened_is_neither_late_nor_at_once() {
        let levels = [(0, 0.160), (600, 5.900), (606, 0.900), (640, 0.030)];
        let marks = [(600, "unlock"), (602, "unplug fan"), (604, "lock")];
        let trial = TestCar::asleep(&levels).marked(&marks).trial(60 * MIN);
        assert_eq!((trial.finding, trial.manner), (Finding::Clears, None));
    }

    /// 7 mA at once and 53 later: its own part is a part from 3 mA, or a tenth of all, on.
    #[test]
    fn a_small_part_of_its_own_is_told_beside_a_late_one() {
        for (own_a, expected) in [(0.007, Manner::Both), (0.005, Manner::Late)] {
            let levels = [(0, 0.080), (600, 0.080 - own_a), (700, 0.020)];
            let car = TestCar::asleep(&levels).marked(&[(600, "pull A1")]);
            assert_eq!(car.trial(1500).manner, Some(expected), "{own_a}");
        }
    }

    /// What falls within 8 s of the key is of the hand, and no stage of the car.
    #[test]
    fn a_fall_within_a_hand_of_the_key_is_no_stage() {
        let levels = [(0, 0.160), (605, 0.120), (700, 0.030)];
        let car = TestCar::asleep(&levels).marked(&[(600, "pull A1")]);
        let reason = car.trial(1500).reason;
        assert!(
            matches!(reason, TrialReason::Fell { stages: 1, last_after_s, .. } if (last_after_s - 100.0).abs() < 2.0),
            "{reason:?}"
        );
    }

    /// 17.5 mA of a fall of 20 came late: 2.5 mA at once are none of its own.
    #[test]
    fn less_than_three_milliamperes_are_no_part_of_its_own() {
        for (own_a, expected) in [(0.0025, Manner::Late), (0.0045, Manner::Both)] {
            let levels = [(0, 0.060), (600, 0.060 - own_a), (700, 0.040)];
            let car = TestCar::asleep(&levels).display(4, 0.000_2);
            let trial = car.marked(&[(600, "pull A1")]).trial(1500);
            assert_eq!(trial.manner, Some(expected), "{own_a}");
        }
    }

    /// Two falls within twenty seconds of the key are no removal that was marked early.
    #[test]
    fn two_falls_just_after_the_key_are_late() {
        let levels = [(0, 0.260), (609, 0.150), (618, 0.030)];
        let car = TestCar::asleep(&levels).marked(&[(600, "pull A1")]);
        assert_eq!(car.trial(1500).manner, Some(Manner::Late));
    }

    /// What falls as something is put back has no manner: nothing was taken out.
    #[test]
    fn only_a_removal_has_a_manner() {
        let car = TestCar::asleep(&[(0, 0.160), (900, 0.030)]);
        let trial = car
            .marked(&[(300, "pull A1"), (900, "refit A1")])
            .trial(2400);
        assert!(
            trial.finding.is_fall() && trial.manner.is_none(),
            "{trial:?}"
        );
    }

    /// More than a minute in which nobody saw the current, in readings or behind a dead meter, from 8 s
    /// before the key until the level after it, or 8 s after the key.
    #[test]
    fn a_fall_is_unseen_where_evidence_is_missing_beside_the_key() {
        let (gap, dead) = (f64::NAN, 0.0);
        for (from_s, to_s, a, is_blind) in [
            (520, 597, gap, true),
            (515, 585, gap, false),
            (100, 300, gap, false),
            (606, 680, gap, true),
            (617, 690, gap, false),
            (590, 630, gap, false),
            (595, 670, dead, true),
            (300, 400, dead, false),
            (700, 800, dead, false),
        ] {
            let old_a = if to_s < 600 { 0.160 } else { 0.030 };
            let mut levels = vec![(0, 0.160), (from_s, a), (to_s, old_a), (600, 0.030)];
            if from_s < 600 && to_s > 600 {
                levels.pop();
            }
            levels.sort_by_key(|(at_s, _)| *at_s);
            let car = TestCar::asleep(&levels).marked(&[(600, "pull A1")]);
            let trial = car.trial(1800);
            let found = matches!(trial.reason, TrialReason::Blind { .. });
            assert_eq!(found, is_blind, "{from_s} to {to_s}: {trial:?}");
        }
        let levels = [(0, 0.160), (590, gap), (630, dead), (670, 0.030)];
        let car = TestCar::asleep(&levels).marked(&[(600, "pull A1")]);
        let reason = car.trial(1800).reason;
        assert!(
            matches!(reason, TrialReason::Blind { .. }),
            "both: {reason:?}"
        );
    }

    /// A fall within 20 s of the key may be the removal itself, marked too early.
    #[test]
    fn a_fall_just_after_the_key_is_of_no_manner() {
        for (fall_s, expected) in [
            (606, Some(Manner::AtOnce)),
            (612, None),
            (619, None),
            (622, Some(Manner::Late)),
        ] {
            let car = TestCar::asleep(&[(0, 0.160), (fall_s, 0.030)]);
            let trial = car.marked(&[(600, "pull A1")]).trial(1500);
            assert_eq!(trial.manner, expected, "{fall_s}");
        }
    }

    #[test]
    fn the_stages_of_a_late_fall_are_counted() {
        let levels = [(0, 0.260), (700, 0.200), (800, 0.120), (900, 0.030)];
        let trial = TestCar::asleep(&levels)
            .marked(&[(600, "pull A1")])
            .trial(1800);
        let TrialReason::Fell {
            own_a,
            later_a,
            stages,
            last_after_s,
        } = trial.reason
        else {
            panic!("{trial:?}")
        };
        assert_eq!(stages, 3);
        assert!((last_after_s - 300.0).abs() < 2.0, "{last_after_s}");
        assert!((later_a - 0.230).abs() < 0.002, "{later_a}");
        assert!(own_a.is_some_and(|own_a| own_a.abs() < 0.002), "{own_a:?}");
    }
}
