//! Tests of `rulings`: small records and tables, both sides of each threshold.

use super::*;
use crate::judge::Judgement;
use crate::judge::kit::{HOUR, MIN, TestCar};

fn says(judged: &Judgement, is: impl Fn(&VerdictReason) -> bool) -> bool {
    judged.reasons.iter().any(is)
}

/// A car with its limit of 50 mA, without the meter's accuracy: a tenth of it is too close.
#[test]
fn without_the_accuracy_a_tenth_of_the_limit_is_too_close() {
    for (level_a, expected) in [
        (0.044, Verdict::Below),
        (0.046, Verdict::CannotTell),
        (0.054, Verdict::CannotTell),
        (0.056, Verdict::Above),
    ] {
        let car = TestCar::asleep(&[(0, level_a)]).card(|card| card.accuracy = None);
        let judged = car.judged(600);
        assert_eq!(judged.verdict, expected, "{level_a}");
        let off = (level_a - 0.050).abs() / 0.050;
        assert!(
            says(
                &judged,
                |r| matches!(r, VerdictReason::NoAccuracy { share } if (share - off).abs() < 0.01)
            ),
            "{:?}",
            judged.reasons
        );
    }
}

/// Locked at 20 s with a time-out of 45 min, which may be too short by half.
#[test]
fn above_is_so_far_until_the_time_out_and_half() {
    let judged = |end_s| {
        let car = TestCar::of(&[(0, 3.3), (20, 0.120)]).marked(&[(20, "lock")]);
        car.judged(end_s)
    };
    let lie = |r: &VerdictReason| matches!(r, VerdictReason::MayLie { until_s } if (until_s - 4050.0).abs() < 1.0);
    assert_eq!(judged(44 * MIN).verdict, Verdict::NotSettled);
    let early = judged(50 * MIN);
    assert_eq!((early.verdict, says(&early, lie)), (Verdict::Above, true));
    assert_eq!(early.stands_at, Some(Elapsed::from_secs(20.0 + 4050.0)));
    let late = judged(70 * MIN);
    assert_eq!(
        (late.verdict, says(&late, lie), late.stands_at),
        (Verdict::Above, false, None)
    );
}

/// A pull that left the car above its limit is not settled until the time-out has run since,
/// unless the car had slept below.
#[test]
fn a_removal_has_its_own_wait() {
    let judged = |after_s| {
        let car =
            TestCar::of(&[(0, 0.200), (HOUR, 0.120)]).marked(&[(0, "lock"), (HOUR, "pull A1")]);
        car.judged(HOUR + after_s)
    };
    let since = |r: &VerdictReason| matches!(r, VerdictReason::SinceDeed { .. });
    let early = judged(20 * MIN);
    assert_eq!(
        (early.verdict, says(&early, since)),
        (Verdict::NotSettled, true)
    );
    assert_eq!(early.stands_at, Some(Elapsed::from_secs(3600.0 + 2700.0)));
    let late = judged(46 * MIN);
    assert_eq!((late.verdict, says(&late, since)), (Verdict::Above, false));
}

#[test]
fn nobody_locked_is_told_of_what_is_above_only() {
    let not_locked = |r: &VerdictReason| *r == VerdictReason::NotLocked;
    let judged = |level_a, marks: &[(u32, &str)]| {
        TestCar::of(&[(0, 2.0), (60, level_a)])
            .marked(marks)
            .judged(80 * MIN)
    };
    let above = judged(0.120, &[]);
    assert_eq!(
        (above.verdict, says(&above, not_locked)),
        (Verdict::Above, true)
    );
    assert!(!says(&judged(0.120, &[(20, "lock")]), not_locked));
    assert!(!says(&judged(0.020, &[]), not_locked));
    let asleep = TestCar::asleep(&[(0, 0.120)]).judged(80 * MIN);
    assert_eq!(
        (asleep.verdict, says(&asleep, not_locked)),
        (Verdict::Above, false)
    );
}

/// What rose and has not come back may be a wake: the verdict is so far.
#[test]
fn a_level_that_just_rose_is_so_far() {
    let judged = |rise_a, end_s| TestCar::asleep(&[(0, 0.020), (HOUR, rise_a)]).judged(end_s);
    let risen = |r: &VerdictReason| matches!(r, VerdictReason::Risen { at_s, .. } if (at_s - 3600.0).abs() < 3.0);
    let rose = judged(0.300, HOUR + 60);
    assert_eq!((rose.verdict, says(&rose, risen)), (Verdict::Below, true));
    assert!(rose.stands_at.is_some());
    assert!(!says(&judged(0.020, HOUR + 60), risen));
}

#[test]
fn what_is_out_is_told_with_the_verdict() {
    let with = |r: &VerdictReason| matches!(r, VerdictReason::With { out } if *out == ["A1"]);
    let car = TestCar::asleep(&[(0, 0.160), (600, 0.020)]).marked(&[(600, "pull A1")]);
    assert!(says(&car.judged(1500), with));
    let back = car.marked(&[(700, "refit A1")]);
    assert!(!says(&back.judged(1500), with));
}
