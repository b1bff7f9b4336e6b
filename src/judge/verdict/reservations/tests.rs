//! Tests of `reservations`: small records and tables, both sides of each threshold.

use super::*;
use crate::judge::kit::{self, HOUR, TestCar};

/// U is twice what stands here as noise.
#[test]
fn a_level_that_no_parked_car_has_is_doubted() {
    use Implausible::{Negative, Nothing, Unit};
    let session = TestCar::asleep(&[]).until(10);
    let basis = kit::basis(&session);
    for (a, u_a, measured, expected) in [
        (0.030, 0.001, Verdict::Below, None),
        (10.1, 0.001, Verdict::Above, Some(Unit)),
        (9.9, 0.001, Verdict::Above, None),
        (-0.030, 0.001, Verdict::Below, Some(Negative)),
        (-0.030, 0.014, Verdict::Below, Some(Negative)),
        (-0.030, 0.016, Verdict::Below, Some(Nothing)),
        (0.0009, 0.0001, Verdict::Below, Some(Nothing)),
        (0.0011, 0.0001, Verdict::Below, None),
        (0.0300, 0.016, Verdict::Below, Some(Nothing)),
        (0.0300, 0.014, Verdict::Below, None),
        (0.0300, 0.016, Verdict::CannotTell, None),
    ] {
        let level = kit::level(a, u_a);
        let found = implausible(&basis, &level, measured);
        assert_eq!(found, expected, "{a} A, {u_a} A: {measured:?}");
    }
    assert_eq!(
        implausible(&basis, &Estimate::NOTHING, Verdict::Below),
        Some(Implausible::Zero)
    );
}

/// 7 mA, of a clamp that may be 14 mA off by now: it sees a current, and the verdict stands.
#[test]
fn a_clamp_that_drifts_does_see_a_current() {
    let car = TestCar::asleep(&[(0, 0.007)]).card(|card| card.drift_a_per_h = Some(0.007));
    let judged = car.marked(&[(1, "zero")]).judged(2 * HOUR);
    assert_eq!(judged.verdict, Verdict::Below, "{:?}", judged.reasons);
}

/// Clamped on the wrong way round: no wait turns it.
#[test]
fn a_negative_current_is_said_at_once_and_for_good() {
    let car = TestCar::of(&[(0, -2.0), (300, -0.360)]).marked(&[(1, "lock")]);
    for end_s in [1200, 2 * HOUR] {
        let judged = car.judged(end_s);
        assert_eq!(judged.verdict, Verdict::CannotTell, "{end_s}");
        let negative = Implausible::Negative;
        assert!(
            matches!(judged.reasons[0], VerdictReason::Implausible { kind, .. } if kind == negative)
        );
    }
}

/// It went below by itself, and passes once its average over all of it is below.
#[test]
fn a_car_that_stood_above_passes_when_its_average_does() {
    let stood = |down_for_s: u32| {
        let car = TestCar::asleep(&[(0, 0.100), (2 * HOUR, 0.020)]);
        let judged = car.judged(2 * HOUR + down_for_s);
        let stood = judged.reasons.iter().any(|reason| {
            matches!(reason, VerdictReason::Stood { level_a, for_s, .. }
                if (level_a - 0.100).abs() < 0.001 && (for_s - 7200.0).abs() < 60.0)
        });
        (stood, judged.verdict)
    };
    // (2 h at 100 mA + t at 20 mA) / (2 h + t) is the limit of 50 mA after 3 h 20 min.
    assert_eq!(stood(HOUR), (true, Verdict::CannotTell));
    assert_eq!(stood(3 * HOUR), (true, Verdict::CannotTell));
    assert_eq!(stood(4 * HOUR), (false, Verdict::Below));
}

/// Two minutes, or a twentieth of the watch.
#[test]
fn holes_worth_a_word() {
    let told = |hole_s: u32, end_s| {
        let car = TestCar::asleep(&[(0, 0.020), (900, f64::NAN), (900 + hole_s, 0.020)]);
        let is_hole = |reason: &VerdictReason| matches!(reason, VerdictReason::Holes { .. });
        car.judged(end_s).reasons.iter().any(is_hole)
    };
    assert!(!told(115, 1800) && told(125, 1800));
    assert!(!told(170, HOUR) && told(190, HOUR));
}

/// A clamp's zero may be all of a slope; a car that falls by itself is not settled where it
/// will be below within the hour.
#[test]
fn a_level_that_moves() {
    let judged = |from_a, a_per_h, clamp: bool| {
        let car = TestCar::asleep(&[(0, from_a)]).moving(a_per_h);
        car.card(|card| card.clamp_mv_per_a = clamp.then_some(100.0))
            .judged(HOUR)
    };
    let moves = |judged: &crate::judge::Judgement| {
        judged.reasons.iter().find_map(|reason| {
            let VerdictReason::Moves { a_per_h, is_clamp } = *reason else {
                return None;
            };
            Some((a_per_h, is_clamp))
        })
    };
    let still = judged(0.090, 0.0, false);
    assert_eq!((still.verdict, moves(&still)), (Verdict::Above, None));
    // 90 mA to 70 mA within this hour, to 50 mA and below within the next.
    let falls = judged(0.090, -0.025, false);
    assert_eq!(falls.verdict, Verdict::NotSettled);
    assert!(moves(&falls).is_some_and(|(a, clamp)| (a + 0.025).abs() < 0.002 && !clamp));
    let far = judged(0.150, -0.025, false);
    assert_eq!(far.verdict, Verdict::Above);
    let rises = judged(0.090, 0.025, false);
    assert_eq!(rises.verdict, Verdict::Above);
    assert!(moves(&rises).is_some_and(|(a, _)| (a - 0.025).abs() < 0.002));
    // From 45 mA a clamp rose above, from 55 mA it fell below: nobody knows.
    assert_eq!(judged(0.040, 0.025, true).verdict, Verdict::CannotTell);
    assert_eq!(judged(0.060, -0.025, true).verdict, Verdict::CannotTell);
    assert_eq!(judged(0.080, 0.025, true).verdict, Verdict::Above);
}
