//! How far a mark may lie from the step it belongs to: hands and keys are not one.

use super::rules::{MARK_TOLERANCE_S, MATTER_A, SETTLE_S};
use super::stay::{Basis, Stay};
use crate::reading::Elapsed;
use crate::session::Placed;
use crate::signal::Change;

/// How far a step at `step_t` lies from a mark made at `mark_t`, in seconds; `None` when it is too
/// far to be the same deed.
#[must_use]
pub fn apart_s(step_t: Elapsed, mark_t: Elapsed) -> Option<f64> {
    let apart_s = step_t.secs_since(mark_t).abs();
    (apart_s <= MARK_TOLERANCE_S).then_some(apart_s)
}

/// The deed nearest to a step at `step_t`, of `deeds` in their order, and how far its mark is;
/// `None` when none is near enough to be the same.
#[must_use]
pub fn nearest<'a>(deeds: &[&'a Placed], step_t: Elapsed) -> Option<(f64, &'a Placed)> {
    let first = deeds.partition_point(|placed| placed.at() < step_t.plus_secs(-MARK_TOLERANCE_S));
    let near = deeds.get(first..).unwrap_or(&[]).iter();
    let within = near
        .map_while(|placed| (placed.at() <= step_t.plus_secs(MARK_TOLERANCE_S)).then_some(*placed));
    within
        .filter_map(|placed| Some((apart_s(step_t, placed.at())?, placed)))
        .min_by(|a, b| a.0.total_cmp(&b.0))
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

    #[test]
    fn a_step_belongs_to_a_mark_close_by_on_either_side() {
        let mark_t = Elapsed::from_secs(100.0);
        assert_eq!(apart_s(Elapsed::from_secs(98.0), mark_t), Some(2.0));
        assert_eq!(apart_s(Elapsed::from_secs(108.0), mark_t), Some(8.0));
        assert_eq!(apart_s(Elapsed::from_secs(108.5), mark_t), None);
    }

    use crate::judge::stay::testkit::{at, basis, car, deed, unseen};
    use crate::session::mark::{Did, MarkId};

    /// Of two deeds the nearer one, of those not too far on either side.
    #[test]
    fn a_step_belongs_to_the_nearest_deed() {
        let car = car(&[(0, 0.03)], 200);
        let session = car
            .mark(100, "pull F3")
            .mark(110, "pull F4")
            .mark(150, "pull F5")
            .session();
        let basis = basis(&session);
        let nearest =
            |t_s| nearest(&basis.deeds, at(t_s)).map(|(apart_s, placed)| (apart_s, placed.mark.id));
        for (t_s, expected) in [
            (102, Some((2.0, MarkId(1)))),
            (106, Some((4.0, MarkId(2)))),
            (95, Some((5.0, MarkId(1)))),
            (130, None),
            (85, None),
            (165, None),
        ] {
            assert_eq!(nearest(t_s), expected, "{t_s}");
        }
    }

    /// How long before a removal marked at 500 s the car fell by `a`, where it may be that removal.
    fn late_s(fell_s: u32, by_a: f64, did: Did, from_s: u32, more: &[(u32, f64)]) -> Option<f64> {
        let levels = [&[(0, 0.1), (fell_s, 0.1 - by_a)], more].concat();
        let session = car(&levels, 700).session();
        let next = unseen(500, 700, deed(1, did));
        let found = marked_late(&basis(&session), at(from_s), &next);
        found.map(|change| (500.0 - change.t.secs()).round())
    }

    #[test]
    fn a_fall_shortly_before_a_removal_may_be_that_removal() {
        for (fell_s, by_a, did, from_s, more, expected, why) in [
            (
                450,
                0.05,
                Did::Pull,
                0,
                &[][..],
                Some(50.0),
                "fifty seconds before",
            ),
            (
                490,
                0.05,
                Did::Pull,
                0,
                &[],
                Some(10.0),
                "ten seconds before",
            ),
            (
                496,
                0.05,
                Did::Pull,
                0,
                &[],
                None,
                "within a mark's tolerance: it is the removal",
            ),
            (
                504,
                0.05,
                Did::Pull,
                0,
                &[],
                None,
                "and so is what comes after it",
            ),
            (
                370,
                0.05,
                Did::Pull,
                0,
                &[],
                None,
                "more than two minutes before",
            ),
            (450, -0.05, Did::Pull, 0, &[], None, "a rise is none"),
            (450, 0.05, Did::Refit, 0, &[], None, "nothing was removed"),
            (
                450,
                0.05,
                Did::Pull,
                460,
                &[],
                None,
                "before anybody looked",
            ),
            (
                450,
                0.05,
                Did::Pull,
                0,
                &[(520, 0.03)],
                Some(50.0),
                "what fell long after is another",
            ),
            (450, 0.05, Did::Pull, 0, &[(470, 0.1)], None, "it came back"),
        ] {
            assert_eq!(late_s(fell_s, by_a, did, from_s, more), expected, "{why}");
        }
    }

    /// What no car notices is no change; a glide, or what happened in a gap, was not seen to fall.
    #[test]
    fn only_a_fall_that_was_seen_and_matters_counts() {
        let marked = |car: &crate::judge::stay::testkit::Car| {
            let session = car.session();
            let next = unseen(500, 700, deed(1, Did::Pull));
            let found = marked_late(&basis(&session), at(0), &next);
            found.map(|change| (500.0 - change.t.secs()).round())
        };
        let levels = [(0, 0.1000), (450, 0.0500), (480, 0.0520)];
        assert_eq!(
            marked(&car(&levels, 700).display(4, 0.0001)),
            Some(50.0),
            "2 mA later do not matter"
        );
        let levels = [(0, 0.1000), (450, 0.0500), (480, 0.0560)];
        assert_eq!(
            marked(&car(&levels, 700).display(4, 0.0001)),
            None,
            "6 mA do"
        );
        let gap = [(0, 0.1), (440, f64::NAN), (480, 0.05)];
        assert_eq!(marked(&car(&gap, 700)), None, "nobody saw it");
    }
}
