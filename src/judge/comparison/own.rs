//! The first look, a deed's own effect: the change within seconds of a mark, from the mark's own step where the signal
//! shows one. Neighbouring marks and steps never get into it, so that pulls in quick succession
//! each have their own.

use crate::judge::finding::{Level, LevelStep};
use crate::judge::first_look::BriefMean;
use crate::judge::memory::{FirstLookKey, StayKey};
use crate::judge::rules::{AT_ONCE_S, EDGE_S, MARK_TOLERANCE_S, SPARSE_S};
use crate::judge::stay::{Basis, Stays};
use crate::judge::{mark_tolerance, uncertainty};
use crate::reading::Elapsed;
use crate::session::Placed;

/// When the thing was done: a fuse that bounces in its socket makes more than one step.
#[derive(Clone, Copy)]
struct Deed {
    from: Elapsed,
    to: Elapsed,
    margin_s: f64,
}

/// The change that the mark itself shows; `None` where the readings beside it are too few.
pub fn first_look(
    basis: &Basis<'_>,
    stays: &Stays,
    at: usize,
    steps: &[LevelStep],
    placed: &Placed,
) -> Option<Level> {
    let session = basis.session;
    let deed = deed(steps, placed);
    let (earliest, latest) = neighbours(basis, placed, &deed);
    let before_to = deed.from.plus_secs(-deed.margin_s);
    let before_from = before_to.plus_secs(-AT_ONCE_S).max(earliest);
    let after_to = deed.to.plus_secs(MARK_TOLERANCE_S).min(latest);
    let is_hidden = basis
        .evidence
        .within(before_from, after_to)
        .next()
        .is_some();
    let is_shared = mark_tolerance::is_shared(basis, placed);
    if is_hidden || is_shared || after_to.secs_since(before_from) > SPARSE_S + AT_ONCE_S {
        return None;
    }
    let before = at.checked_sub(1).and_then(|i| stays.all.get(i));
    let earlier = before.and_then(|stay| stay.shown.as_deref());
    let key = FirstLookKey {
        mark: placed.mark.id,
        window: [before_from, before_to, deed.to, after_to],
        before: before.map(|stay| StayKey::of(basis, stay)),
    };
    basis.first_look(key, || {
        let after = BriefMean::of(session, deed.to.plus_secs(EDGE_S), after_to)?;
        let before = BriefMean::of(session, before_from, before_to)?;
        let still = earlier
            .map(|shown| shown.newest(basis, before_to))
            .unwrap_or_default();
        Some(before.to(&after, &still, uncertainty::gain_u(session.card())))
    })
}

fn deed(steps: &[LevelStep], placed: &Placed) -> Deed {
    let at = placed.at();
    let id = Some(placed.mark.id);
    let first = steps.partition_point(|step| step.t < at.plus_secs(-MARK_TOLERANCE_S));
    let near = steps.get(first..).unwrap_or(&[]).iter();
    let near = near.take_while(|step| step.t <= at.plus_secs(MARK_TOLERANCE_S));
    let mut own = near.filter(|step| step.mark == id);
    let Some(first) = own.next() else {
        return Deed {
            from: at,
            to: at,
            // Without a step, what was read just before the mark may be of after the deed.
            margin_s: 2.0 * EDGE_S,
        };
    };
    Deed {
        from: first.t,
        to: own.last().map_or(first.t, |last| last.t),
        margin_s: EDGE_S,
    }
}

/// Where the nearest other deed before and after leaves the signal to this one.
fn neighbours(basis: &Basis<'_>, placed: &Placed, deed: &Deed) -> (Elapsed, Elapsed) {
    let at = placed.at();
    let (mut earliest, mut latest) = (Elapsed::from_ms(i64::MIN), Elapsed::from_ms(i64::MAX));
    // A slope close to a mark without a step is the mark's own doing.
    let own = |t: Elapsed| {
        let within = deed.from <= t && t <= deed.to;
        within || deed.from == at && deed.to == at && mark_tolerance::apart_s(t, at).is_some()
    };
    let changes = basis.session.signal().changes();
    let passed = changes.partition_point(|change| change.t <= deed.from);
    let (before, after) = changes.split_at_checked(passed).unwrap_or_default();
    let moves = [
        before
            .iter()
            .rev()
            .map(|change| change.t)
            .find(|t| !own(*t)),
        after.iter().map(|change| change.t).find(|t| !own(*t)),
    ];
    let passed = basis.deeds.partition_point(|other| other.at() <= deed.from);
    let (before, after) = basis.deeds.split_at_checked(passed).unwrap_or_default();
    // A car that is locked or opened shows that itself, if it shows.
    let other = |other: &&&Placed| other.mark.id != placed.mark.id && other.mark.did.is_tried();
    let deeds = [before.iter().rev().find(other), after.iter().find(other)];
    for t in moves
        .into_iter()
        .chain(deeds.map(|one| one.map(|other| other.at())))
        .flatten()
    {
        if t <= deed.from {
            earliest = earliest.max(t.plus_secs(EDGE_S));
        } else {
            latest = latest.min(t.plus_secs(-EDGE_S));
        }
    }
    (earliest, latest)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::comparison::testkit::bench;
    use crate::judge::kit::TestCar;

    /// Where the signal shows no step of its own, what was read in the three seconds before the key
    /// may be of after the deed; up to there it is of before.
    #[test]
    fn a_key_without_a_step_may_come_three_seconds_late() {
        for (fall_s, is_whole) in [(598, true), (597, true), (590, false)] {
            let car = TestCar::asleep(&[(0, 0.160), (fall_s, 0.030)]).display(3, 0.0);
            let car = car.marked(&[(600, "pull A1")]);
            let look = bench(&car, 700, |bench| {
                let placed = bench.basis.deeds[0];
                first_look(bench.basis, bench.stays, 1, &[], placed).unwrap()
            });
            let found = (look.a + 0.130).abs() < 1e-6;
            assert_eq!(found, is_whole, "{fall_s}: {look:?}");
        }
    }

    /// A change six seconds after the key is of a deed that shows no step; after the last step of a
    /// fuse that bounced in its socket it is the car's own.
    #[test]
    fn a_change_after_the_steps_of_a_bouncing_fuse_is_none_of_it() {
        let car = TestCar::asleep(&[(0, 0.160), (606, 0.030)]).marked(&[(600, "pull A1")]);
        bench(&car, 700, |bench| {
            let placed = bench.basis.deeds[0];
            let at = placed.at();
            let leaves = |before_s: f64, after_s: f64| {
                let deed = Deed {
                    from: at.plus_secs(-before_s),
                    to: at.plus_secs(after_s),
                    margin_s: EDGE_S,
                };
                let (_, latest) = neighbours(bench.basis, placed, &deed);
                (latest < at.plus_secs(60.0)).then(|| latest.secs_since(at))
            };
            assert_eq!(leaves(0.0, 0.0), None);
            for (before_s, after_s) in [(0.0, 2.0), (2.0, 0.0), (2.0, 2.0)] {
                let found = leaves(before_s, after_s);
                assert_eq!(found, Some(6.0 - EDGE_S), "{before_s} {after_s}");
            }
            assert_eq!(leaves(0.0, 6.0), None, "it is its last step");
        });
    }

    /// Steps of a fuse that bounced, up to 8 s before its mark and after it.
    #[test]
    fn a_deed_lasts_from_its_first_step_to_its_last() {
        let car = TestCar::asleep(&[(0, 0.160)]).marked(&[(600, "pull A1")]);
        bench(&car, 700, |bench| {
            let placed = bench.basis.deeds[0];
            let step = |t_s: f64, mark| LevelStep {
                t: Elapsed::from_secs(t_s),
                from_a: 0.160,
                to_a: 0.030,
                in_gap: false,
                mark,
            };
            let own = Some(placed.mark.id);
            let steps = [
                step(594.0, None),
                step(595.0, own),
                step(606.0, own),
                step(607.0, None),
            ];
            let deed = deed(&steps, placed);
            assert_eq!((deed.from.secs(), deed.to.secs()), (595.0, 606.0));
        });
    }

    /// The nearest deed and the nearest change on either side, a second and a half within.
    #[test]
    fn a_look_reaches_to_its_neighbours() {
        let levels = [(0, 0.160), (560, 0.260), (640, 0.160)];
        let changes = &[(600, "pull A1")][..];
        let deeds = &[(580, "pull B2"), (600, "pull A1"), (620, "pull C3")];
        for (marks, from_s, to_s) in [(changes, 561.5, 638.5), (deeds, 581.5, 618.5)] {
            let car = TestCar::asleep(&levels).marked(marks);
            bench(&car, 900, |bench| {
                let is_a1 = |placed: &&&Placed| placed.mark.what == ["A1"];
                let placed = bench.basis.deeds.iter().find(is_a1).unwrap();
                let (from, to) = neighbours(bench.basis, placed, &deed(&[], placed));
                let apart = [from.secs() - from_s, to.secs() - to_s];
                assert!(apart.iter().all(|s| s.abs() < 1.1), "{from:?} {to:?}");
            });
        }
    }
}
