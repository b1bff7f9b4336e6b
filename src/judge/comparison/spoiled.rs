//! A deed that cannot be what it says: a label that cannot be, a meter that saw nothing.

use super::Bench;
use super::sides::{Side, Sides};
use crate::judge::finding::Finding;
use crate::judge::reason::TrialReason;
use crate::judge::rules::AT_ONCE_S;
use crate::judge::stay::evidence::{Fault, Hidden};
use crate::judge::stay::{Opening, Stay};
use crate::judge::{levels, mark_tolerance};
use crate::reading::Elapsed;
use crate::session::Placed;

/// So many labels that are out are enough to see which one was meant.
const NAMED: usize = 60;

/// Why there is nothing to judge, and what is found instead.
pub(super) fn spoiled(
    bench: &Bench<'_>,
    placed: &Placed,
    at: usize,
    sides: &Sides<'_>,
) -> Option<(Finding, TrialReason)> {
    let stay = bench.stays.all.get(at)?;
    let reason = misnamed(bench, placed, at).or_else(|| no_current(bench, stay, sides));
    let spoiled = reason.map(|reason| (Finding::Spoiled, reason));
    let unclear = || frozen(bench, placed, stay, sides).or_else(|| fell_before(bench, at));
    spoiled.or_else(|| Some((Finding::CannotTell, unclear()?)))
}

/// A fall that nobody marked, shortly before a removal was: perhaps it is that of the removal, be
/// it this one or the next.
fn fell_before(bench: &Bench<'_>, at: usize) -> Option<TrialReason> {
    let fell = |unmarked: usize| {
        let stays = &bench.stays_to(at + 2).all;
        let before = stays.get(unmarked.checked_sub(1)?)?;
        let (fallen, next) = (stays.get(unmarked)?, stays.get(unmarked + 1)?);
        let is_unmarked = fallen.opening == Opening::Unmarked;
        let fall =
            mark_tolerance::marked_late(bench.basis, before.from, next).filter(|_| is_unmarked)?;
        Some((fall.from_a - fall.to_a, next.from.secs_since(fall.t), next))
    };
    if let Some((fell_a, before_s, _)) = at.checked_sub(1).and_then(fell) {
        return Some(TrialReason::FellBefore {
            fell_a,
            before_s,
            by: None,
        });
    }
    // What was taken out long before has nothing left to do.
    let own = bench.stays.all.get(at)?;
    let (fell_a, before_s, next) = fell(at + 1)?;
    let waited_s = next.from.secs_since(own.from) - before_s;
    let may_be_own = own.opening.is_removal() && waited_s < bench.basis.timeout_s;
    let by = bench.basis.placed(next.opening.tried()?.0)?;
    may_be_own.then(|| TrialReason::FellBefore {
        fell_a,
        before_s,
        by: Some(by.mark.to_string()),
    })
}

/// Put back what never came out, or taken out what is out already: another fuse was meant.
fn misnamed(bench: &Bench<'_>, placed: &Placed, at: usize) -> Option<TrialReason> {
    let before = bench.stays.all.get(at.checked_sub(1)?)?;
    let setups = &bench.stays.setups;
    let setup = setups.get(before.marked)?;
    // What the signal shows of it may be what the mark says.
    setups.get(before.setup)?.misnamed(&placed.mark)?;
    let label = setup.misnamed(&placed.mark)?.clone();
    let since = bench.basis.session.out_since(&label, placed.at());
    Some(TrialReason::Misnamed {
        label,
        out: setup.out.iter().take(NAMED).cloned().collect(),
        since_s: since.map(Elapsed::secs),
    })
}

/// The meter saw no current at all, before or after.
fn no_current(bench: &Bench<'_>, stay: &Stay, sides: &Sides<'_>) -> Option<TrialReason> {
    let overlaps = |hidden: &&Hidden| {
        hidden.fault == Fault::Dead
            && hidden.from < stay.to
            && hidden.to > stay.from
            && hidden.lasts_s() > AT_ONCE_S
    };
    let is_zero = stay.shown.is_none()
        && bench
            .basis
            .evidence
            .hidden
            .iter()
            .any(|hidden| overlaps(&hidden));
    let levels = [&sides.before, &sides.after]
        .into_iter()
        .flatten()
        .map(|side| (side.stay, side.shown.level));
    let mut dead = levels.filter(|(_, level)| levels::is_dead(level.a));
    let dead_a = dead
        .find(|(stay, level)| !(levels::moves(level) && came_back(bench, stay)))
        .map(|(_, level)| level.a);
    dead_a
        .or(is_zero.then_some(0.0))
        .map(|at_a| TrialReason::NoCurrent { at_a })
}

/// Whether the current came back with what was put back next: then the meter saw all along, and
/// next to nothing was left, with most fuses out.
fn came_back(bench: &Bench<'_>, stay: &Stay) -> bool {
    let later = bench
        .all_stays()
        .all
        .iter()
        .skip_while(|next| next.from < stay.to);
    let mut put_back = later.take_while(|next| !next.opening.is_removal());
    let is_refit = |next: &Stay| matches!(next.opening, Opening::Deed(_, did) if did.restores());
    put_back.any(|next| {
        let shown = next.shown.as_deref();
        is_refit(next) && shown.is_some_and(|shown| !levels::is_dead(shown.level.a))
    })
}

/// No digit moved through the deed, or through all that came after it, and no rest on both sides
/// tells what it did all the same.
fn frozen(
    bench: &Bench<'_>,
    placed: &Placed,
    stay: &Stay,
    sides: &Sides<'_>,
) -> Option<TrialReason> {
    let at = placed.at();
    let has_rest = |side: &Option<Side<'_>>| side.as_ref().is_some_and(|side| side.is_rested);
    if has_rest(&sides.before) && has_rest(&sides.after) {
        return None;
    }
    let through = |hidden: &&Hidden| {
        let crosses = hidden.from <= at && hidden.to >= at;
        let covers = hidden.from <= stay.from && hidden.to >= stay.to;
        hidden.fault == Fault::Frozen && (crosses || covers)
    };
    let frozen = bench.basis.evidence.hidden.iter().find(through)?;
    Some(TrialReason::Frozen {
        for_s: frozen.lasts_s(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::finding::Trial;
    use crate::judge::kit::TestCar;

    /// A fall that nobody marked, twenty seconds before B2 was: B2's, or that of what was taken out
    /// less than a time-out of ten minutes before. What was put back takes nothing away.
    #[test]
    fn an_unmarked_fall_may_be_of_the_removal_before_it_or_after_it() {
        for (marks, fall_s, is_unclear) in [
            (&[(600, "pull A1")][..], 1000, true),
            (&[(600, "pull A1")], 1400, false),
            (&[(300, "pull A1"), (600, "refit A1")], 1000, false),
        ] {
            let car = TestCar::asleep(&[(0, 0.160), (fall_s, 0.030)])
                .card(|card| card.sleep_timeout_s = Some(600.0))
                .marked(marks)
                .marked(&[(fall_s + 20, "pull B2")]);
            let mut trials = car.judged(2400).trials;
            let before_s = |trial: Option<Trial>| match trial.map(|trial| trial.reason) {
                Some(TrialReason::FellBefore { before_s, by, .. }) => Some((before_s.round(), by)),
                _ => None,
            };
            assert_eq!(before_s(trials.pop()), Some((20.0, None)), "{fall_s}");
            let by = Some("pull B2".to_owned());
            let expected = is_unclear.then_some((20.0, by));
            assert_eq!(before_s(trials.pop()), expected, "{marks:?} {fall_s}");
        }
    }

    /// How the first pull of this record, at ten minutes, is judged.
    fn first(levels: &[(u32, f64)], next_s: u32) -> (Finding, TrialReason) {
        let car = TestCar::asleep(levels).marked(&[(600, "pull A1"), (next_s, "pull B2")]);
        let trial = car.judged(next_s + 600).trials.swap_remove(0);
        (trial.finding, trial.reason)
    }

    /// Zeros for more than twenty seconds, in a stay of which nothing else is known, are a meter that
    /// saw no current; a loose lead beside a level, or a charger, says nothing of it.
    #[test]
    fn a_stay_of_which_only_zeros_are_known_saw_no_current() {
        let (old, new) = ((0, 0.160), 0.030);
        for (levels, next_s, expected, why) in [
            (vec![old, (600, 0.0), (630, new)], 630, true, "zeros alone"),
            (
                vec![old, (600, 0.0), (615, new)],
                615,
                false,
                "not for twenty seconds",
            ),
            (
                vec![old, (600, 0.0), (630, new)],
                1200,
                false,
                "there is a level beside them",
            ),
            (
                vec![old, (300, 0.0), (340, 0.160), (600, new)],
                602,
                false,
                "long before",
            ),
            (
                vec![old, (600, new), (640, 0.0), (680, new)],
                602,
                false,
                "long after",
            ),
            (
                vec![old, (600, -0.5), (640, new)],
                640,
                false,
                "a charger is no dead meter",
            ),
        ] {
            let found = first(&levels, next_s);
            let is_dead = matches!(found, (Finding::Spoiled, TrialReason::NoCurrent { .. }));
            assert_eq!(is_dead, expected, "{why}: {found:?}");
        }
    }

    /// On HOLD from five minutes until after the pull at ten: nobody knows what it did, until the
    /// display has moved again for long enough to show a rest.
    #[test]
    fn a_display_on_hold_through_the_deed_tells_nothing() {
        let flickers = |from_s: u32, to_s, a| {
            (from_s..to_s).map(move |t_s| (t_s, a + 0.001 * f64::from(t_s % 2)))
        };
        let levels: Vec<(u32, f64)> = flickers(0, 300, 0.160)
            .chain([(300, 0.161)])
            .chain(flickers(700, 1500, 0.030))
            .collect();
        let car = TestCar::asleep(&levels)
            .read_every(1.0)
            .display(3, 0.0)
            .marked(&[(600, "pull A1")]);
        let early = car.trial(760);
        assert_eq!(early.finding, Finding::CannotTell, "{early:?}");
        assert!(
            matches!(early.reason, TrialReason::Frozen { for_s } if (for_s - 400.0).abs() < 3.0),
            "{early:?}"
        );
        assert_eq!(car.trial(1500).finding, Finding::Clears);
    }
}
