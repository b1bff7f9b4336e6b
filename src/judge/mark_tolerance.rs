//! How far a mark may lie from the step it belongs to: hands and keys are not one.

use super::levels;
use super::rules::{EDGE_S, MARK_TOLERANCE_S, MATTER_A, SETTLE_S, SPARSE_S};
use super::stay::{Basis, Stay};
use crate::reading::Elapsed;
use crate::session::Placed;
use crate::signal::Change;
use crate::signal::track;

/// How far a step at `step_t` lies from a mark made at `mark_t`, in seconds; `None` when it is too
/// far to be the same deed.
pub fn apart_s(step_t: Elapsed, mark_t: Elapsed) -> Option<f64> {
    let apart_s = step_t.secs_since(mark_t).abs();
    (apart_s <= MARK_TOLERANCE_S).then_some(apart_s)
}

/// The deed nearest to a step at `step_t`, of `deeds` in their order, and how far its mark is;
/// `None` when none is near enough to be the same.
pub fn nearest<'a>(deeds: &[&'a Placed], step_t: Elapsed) -> Option<(f64, &'a Placed)> {
    let first = deeds.partition_point(|placed| placed.at() < step_t.plus_secs(-MARK_TOLERANCE_S));
    let near = deeds.get(first..).unwrap_or(&[]).iter();
    near.map_while(|placed| Some((apart_s(step_t, placed.at())?, *placed)))
        .min_by(|a, b| a.0.total_cmp(&b.0))
}

/// The deed that a change is of, and how far its mark is. A reading typed before a mark, minutes after
/// the one before it, is of that deed only if the next one stands where it stood.
pub(super) fn deed_of<'a>(basis: &Basis<'a>, change: &Change) -> Option<(f64, &'a Placed)> {
    let (apart_s, placed) = nearest(&basis.deeds, change.t)?;
    let (at, track) = (placed.at(), basis.session.signal().track());
    let around = change.t.plus_secs(-SPARSE_S);
    let is_typed = change.t < at && track.values(around, change.t).is_empty();
    let next = || track::read(track.between(at, basis.end().plus_secs(1.0))).next();
    let stands = next().is_none_or(|next| levels::same(next.a(), change.to_a));
    (!is_typed || stands).then_some((apart_s, placed))
}

/// Whether a step beside this mark is as near to the mark of another removal or refit: then it is of
/// one of the two, and nobody knows of which.
pub(super) fn is_shared(basis: &Basis<'_>, placed: &Placed) -> bool {
    let at = placed.at();
    let changes = basis.session.signal().changes();
    let first = changes.partition_point(|change| change.t < at.plus_secs(-MARK_TOLERANCE_S));
    let near = changes.get(first..).unwrap_or(&[]).iter();
    let mut near = near.take_while(|change| change.t <= at.plus_secs(MARK_TOLERANCE_S));
    let tried = || {
        let deeds = basis.deeds.iter();
        deeds.filter(|other| other.mark.id != placed.mark.id && other.mark.did.is_tried())
    };
    near.any(|change| {
        // As near as one to two.
        let own_s = change.t.secs_since(at).abs();
        tried().any(|other| {
            let apart_s = change.t.secs_since(other.at()).abs();
            let (near_s, far_s) = (own_s.min(apart_s), own_s.max(apart_s));
            near_s > EDGE_S && far_s < 2.0 * near_s
        })
    })
}

/// The fall after `from` that may be the removal which began `next`, marked late: shortly before
/// the mark, lasting up to it, and the removal itself shows none.
pub(super) fn marked_late<'a>(basis: &Basis<'a>, from: Elapsed, next: &Stay) -> Option<&'a Change> {
    let fell_a = |change: &Change| change.from_a - change.to_a;
    let at = next.from;
    if !next.opening.is_removal() {
        return None;
    }
    let beside = |change: &&Change| change.t.secs_since(at) >= -SETTLE_S;
    let changes = basis.session.signal().changes().iter().rev();
    let near = changes.skip_while(|change| change.t.secs_since(at) > MARK_TOLERANCE_S);
    let last = near
        .take_while(beside)
        .find(|change| fell_a(change).abs() > MATTER_A)?;
    let is_late = at.secs_since(last.t) > MARK_TOLERANCE_S && last.t > from;
    let is_seen = !last.ramp && !last.in_gap;
    (is_late && is_seen && fell_a(last) > 0.0).then_some(last)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::kit::TestCar;

    #[test]
    fn a_step_belongs_to_a_mark_close_by_on_either_side() {
        let mark_t = Elapsed::from_secs(100.0);
        assert_eq!(apart_s(Elapsed::from_secs(98.0), mark_t), Some(2.0));
        assert_eq!(apart_s(Elapsed::from_secs(108.0), mark_t), Some(8.0));
        assert_eq!(apart_s(Elapsed::from_secs(108.5), mark_t), None);
    }

    /// Of two keys the nearer one, and none further than a hand needs, on either side.
    #[test]
    fn a_step_is_of_the_nearest_mark_within_a_hand() {
        let car = TestCar::asleep(&[(0, 0.2)]).marked(&[(100, "pull A1"), (110, "pull B2")]);
        let session = car.until(200);
        let deeds: Vec<&Placed> = session.marks().collect();
        for (step_s, expected) in [
            (91.5, None),
            (92.5, Some((7.5, "A1"))),
            (104.0, Some((4.0, "A1"))),
            (106.0, Some((4.0, "B2"))),
            (117.5, Some((7.5, "B2"))),
            (118.5, None),
        ] {
            let found = nearest(&deeds, Elapsed::from_secs(step_s));
            let found = found.map(|(s, placed)| (s, placed.mark.what.join("+")));
            assert_eq!(
                found,
                expected.map(|(s, what)| (s, what.to_owned())),
                "{step_s}"
            );
        }
    }

    /// A fall 9 s to 2 min before the key, of more than 3 mA, after which the removal shows none.
    #[test]
    fn a_removal_marked_late_has_its_fall_before_it() {
        for (fall_s, to_a, mark, expected) in [
            (660, 0.030, 675, true),
            (660, 0.030, 778, true),
            (660, 0.030, 783, false),
            (660, 0.030, 666, false),
            (660, 0.400, 675, false),
        ] {
            let levels = [(0, 0.163), (fall_s, to_a)];
            let car = TestCar::asleep(&levels).marked(&[(mark, "pull L1")]);
            let found = car.stays(1500, |basis, stays| {
                let next = stays
                    .all
                    .iter()
                    .find(|stay| stay.opening.is_removal())
                    .unwrap();
                marked_late(basis, Elapsed::ZERO, next).is_some()
            });
            assert_eq!(found, expected, "{to_a} A at {fall_s}, marked {mark}");
        }
        // Nobody saw when it fell in a minute without readings.
        let levels = [(0, 0.163), (600, f64::NAN), (660, 0.030)];
        let car = TestCar::asleep(&levels).marked(&[(675, "pull L1")]);
        let found = car.stays(1500, |basis, stays| {
            marked_late(basis, Elapsed::ZERO, stays.all.last().unwrap()).is_some()
        });
        assert!(!found, "in a gap");
        let car = TestCar::asleep(&[(0, 0.163), (660, 0.030)]).marked(&[(675, "lock")]);
        let found = car.stays(1500, |basis, stays| {
            marked_late(basis, Elapsed::ZERO, stays.all.last().unwrap()).is_some()
        });
        assert!(!found, "a lock takes nothing out");
    }

    /// A fall of its own within 8 s of the key is the removal; one of less than 3 mA before is none.
    #[test]
    fn a_removal_with_a_fall_of_its_own_was_not_marked_late() {
        for (old_a, next_s, expected) in [
            (0.163, 680, false),
            (0.163, 695, true),
            (0.104, 1400, true),
            (0.102, 1400, false),
        ] {
            let levels = [(0, old_a), (660, 0.100), (next_s, 0.030)];
            let car = TestCar::asleep(&levels).display(4, 0.000_2);
            let found = car.marked(&[(675, "pull L1")]).stays(1500, |basis, stays| {
                let mut stays = stays.all.iter();
                let next = stays.find(|stay| stay.opening.is_removal()).unwrap();
                marked_late(basis, Elapsed::ZERO, next).is_some()
            });
            assert_eq!(found, expected, "{old_a} {next_s}");
        }
    }

    /// A fall seven seconds before one key and eight after another is of one of the two; two seconds
    /// after a key it is of that one.
    #[test]
    fn a_step_as_near_to_two_marks_is_of_neither_alone() {
        for (fall_s, expected) in [(608, [true, true]), (602, [false, false])] {
            let marks = [(600, "pull A1"), (615, "pull B2")];
            let car = TestCar::asleep(&[(0, 0.160), (fall_s, 0.030)]).marked(&marks);
            let found = car.stays(900, |basis, _| {
                [0, 1].map(|at| is_shared(basis, basis.deeds[at]))
            });
            assert_eq!(found, expected, "{fall_s}");
        }
    }

    /// Typed five seconds before the key: it is of the deed if the next reading agrees.
    #[test]
    fn a_reading_typed_before_the_key_is_of_the_deed_if_the_next_agrees() {
        for (next_a, expected) in [(0.023, None), (0.123, Some("A1"))] {
            let levels = [(0, 0.600), (600, 0.123), (606, next_a)];
            let car = TestCar::asleep(&levels)
                .read_every(60.0)
                .marked(&[(605, "pull A1")]);
            let found = car.stays(900, |basis, _| {
                let change = &basis.session.signal().changes()[0];
                deed_of(basis, change).map(|(_, placed)| placed.mark.what.join("+"))
            });
            assert_eq!(found.as_deref(), expected, "{next_a}");
        }
    }
}
