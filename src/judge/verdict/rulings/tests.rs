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

/// Below the limit before the time-out has run is early, as long as nobody touches the car.
#[test]
fn below_is_early_until_the_time_out() {
    let early = |r: &VerdictReason| matches!(r, VerdictReason::Early { .. });
    let car = TestCar::of(&[(0, 3.3), (20, 1.9), (10 * MIN, 0.030), (900, 2.0)]);
    let car = car.marked(&[(20, "lock")]);
    let waiting = car.judged(14 * MIN);
    assert!(says(&waiting, early), "{:?}", waiting.reasons);
    assert_eq!(waiting.stands_at, Some(Elapsed::from_secs(20.0 + 2700.0)));
    let touched = car.marked(&[(900, "unlock")]).judged(910);
    assert_eq!((says(&touched, early), touched.stands_at), (true, None));
    let until = |r: &VerdictReason| matches!(r, VerdictReason::Until { at_s } if (at_s - 900.0).abs() < 2.0);
    assert!(says(&touched, until) && !says(&waiting, until));
    assert!(!says(&waiting, |r| matches!(
        r,
        VerdictReason::Until { .. }
    )));
}

/// The figures of a quiet car: its level, and U of its average either way.
#[test]
fn a_verdict_is_told_with_its_interval() {
    let judged = TestCar::asleep(&[(0, 0.020)]).judged(HOUR);
    let u_a = judged.settled.unwrap().level.u_a;
    let found = judged.reasons.iter().find_map(|r| {
        let VerdictReason::Measured {
            average_a,
            low_a,
            high_a,
            ..
        } = r
        else {
            return None;
        };
        Some([average_a - low_a, high_a - average_a])
    });
    let found = found.unwrap();
    assert!(
        found.iter().all(|half_a| (half_a / u_a - 1.0).abs() < 0.05),
        "{found:?} {u_a}"
    );
}

/// One large event may be a wake after all: it is told for six hours more.
#[test]
fn a_touch_is_so_far_for_six_hours() {
    let car = TestCar::asleep(&[(0, 0.020), (4000, 2.0), (4060, 0.020)]);
    let judged = car.judged(3 * HOUR);
    assert!(says(&judged, |r| matches!(
        r,
        VerdictReason::Touched { .. }
    )));
    let stands_s = judged.stands_at.unwrap().secs();
    assert!((stands_s - 4060.0 - 21_600.0).abs() < 3.0, "{stands_s}");
}

/// Too close by few wakes, or by the level itself.
#[test]
fn nobody_can_tell_for_few_wakes_or_for_the_level() {
    let few = |r: &VerdictReason| matches!(r, VerdictReason::FewWakes { wakes: 2, .. });
    let close = |r: &VerdictReason| matches!(r, VerdictReason::TooClose { .. });
    let levels = [
        (0, 0.030),
        (4000, 1.5),
        (4040, 0.030),
        (8000, 1.5),
        (8040, 0.030),
    ];
    let waking = TestCar::asleep(&levels).judged(3 * HOUR);
    assert_eq!(waking.verdict, Verdict::CannotTell);
    assert!(
        says(&waking, few) && !says(&waking, close),
        "{:?}",
        waking.reasons
    );
    let near = TestCar::asleep(&[(0, 0.0495)]).judged(HOUR);
    assert_eq!(near.verdict, Verdict::CannotTell);
    assert!(
        says(&near, close) && !says(&near, few),
        "{:?}",
        near.reasons
    );
}

/// A wake every twenty minutes until the pull: nothing is said until one and a half periods are over.
#[test]
fn a_verdict_waits_for_wakes_that_may_have_stopped() {
    let wakes = (600..2 * HOUR).step_by(1200);
    let wakes = wakes.flat_map(|at_s| [(at_s, 1.2), (at_s + 40, 0.030)]);
    let levels: Vec<(u32, f64)> = [(0, 0.030)].into_iter().chain(wakes).collect();
    let car = TestCar::asleep(&levels).marked(&[(2 * HOUR, "pull A1")]);
    let open = |r: &VerdictReason| matches!(r, VerdictReason::WakesOpen { needed_s, .. } if (needed_s - 304.0).abs() < 10.0);
    let judged = car.judged(2 * HOUR + 25 * MIN);
    assert_eq!(
        (judged.verdict, says(&judged, open)),
        (Verdict::CannotTell, true)
    );
    assert!(!says(&car.judged(2 * HOUR + 35 * MIN), |r| matches!(
        r,
        VerdictReason::WakesOpen { .. }
    )));
}
