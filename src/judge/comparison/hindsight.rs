//! What the stays beside and after a deed say of its two sides: a level that was there before, a
//! state that came down further, a car that slept on with what was put back.

use super::Bench;
use super::sides::{self, Side};
use crate::judge::levels;
use crate::judge::setup::Setup;
use crate::judge::stay::{Opening, Stay};
use crate::session::mark::Did;

/// The stay beside the deed, where it stood already at a level above the one `before` that stands
/// after it too: what rose before a deed is none of it.
pub(super) fn risen_before<'a>(
    bench: &Bench<'a>,
    at: usize,
    before: &Side<'_>,
    after: &Side<'_>,
) -> Option<Side<'a>> {
    let stays = &bench.stays.all;
    let beside = sides::side(stays.get(at.checked_sub(1)?)?, true, true)?;
    let (old_a, new_a) = (before.level.a, after.level.a);
    let was_there = new_a > old_a
        && levels::same(beside.level.a, new_a)
        && !levels::same(beside.level.a, old_a);
    was_there.then_some(beside)
}

/// The same state again, with everything put back that was taken out of it since, where it turned
/// out to come down further than it had.
pub(super) fn fallen_later<'a>(
    bench: &Bench<'a>,
    next: usize,
    side: &Side<'a>,
) -> Option<Side<'a>> {
    if !side.stay.may_still_fall(bench.basis) {
        return None;
    }
    let setups = &bench.stays.setups;
    let own = setups.get(side.stay.setup)?;
    let later = bench.stays.all.iter().enumerate().skip(next);
    let mut later = later.take_while(|(at, stay)| {
        bench.stays_to(*at);
        let is_beyond = |other: &Setup| {
            (other.swaps, other.guesses) == (own.swaps, own.guesses)
                && other.out.is_superset(&own.out)
        };
        setups.get(stay.setup).is_some_and(|setup| is_beyond(setup))
    });
    let (_, again) =
        later.find(|(_, stay)| stay.setup == side.stay.setup && is_lower(bench, stay, side))?;
    sides::side(again, false, false)
}

/// The state before a removal, when what came out was put back next and the car slept on with it:
/// its level then, in ampere.
pub(super) fn asleep_with_it(bench: &Bench<'_>, at: usize, before: &Side<'_>) -> Option<f64> {
    let all = &bench.stays.all;
    let removed = all.get(at)?.setup;
    let next = at
        + all
            .get(at..)?
            .iter()
            .take_while(|stay| stay.setup == removed)
            .count();
    let back = bench.stays_to(next).all.get(next)?;
    let is_refit =
        matches!(back.opening, Opening::Deed(_, did) if did.restores() && did != Did::Swap);
    let is_same = is_refit && back.setup == before.stay.setup;
    let slept_on =
        is_same && before.stay.may_still_fall(bench.basis) && is_lower(bench, back, before);
    slept_on.then(|| back.standing().map(|shown| shown.level.a))?
}

/// Whether this stay surely rests lower than `side` does.
fn is_lower(bench: &Bench<'_>, stay: &Stay, side: &Side<'_>) -> bool {
    stay.standing().is_some_and(|shown| {
        let (level_a, old_a) = (shown.level.a, side.shown.level.a);
        !stay.may_still_fall(bench.basis) && level_a < old_a && !levels::same(level_a, old_a)
    })
}

#[cfg(test)]
mod tests {
    use crate::judge::finding::{Finding, Manner};
    use crate::judge::kit::{HOUR, TestCar};
    use crate::judge::reason::TrialReason;

    /// Put back, and the car slept on as it had come to sleep without it: what fell late was the car.
    #[test]
    fn a_car_that_sleeps_on_with_it_was_going_to_sleep() {
        for (back_a, is_asleep) in [(0.030, true), (0.160, false)] {
            let levels = [(0, 0.160), (3060, 0.030), (4500, back_a)];
            let marks = [
                (1, "lock"),
                (3000, "pull A1"),
                (3600, "lock"),
                (4500, "refit A1"),
            ];
            let judged = TestCar::of(&levels).marked(&marks).judged(2 * HOUR);
            let trial = &judged.trials[0];
            let said = matches!(trial.reason, TrialReason::AsleepWithIt { fell_a, level_a }
                if (fell_a - 0.130).abs() < 0.002 && (level_a - 0.030).abs() < 0.001);
            assert_eq!(said, is_asleep, "{back_a}: {trial:?}");
            let found = trial.finding == Finding::Clears && trial.manner == Some(Manner::Late);
            assert_eq!(found, !is_asleep, "{back_a}: {trial:?}");
        }
    }

    /// What left at once is of the removal, though the car sleeps lower with it later; unless a removal
    /// shortly before may have had its part.
    #[test]
    fn what_left_at_once_was_not_the_car_going_to_sleep() {
        let a1 = (2800, "pull A1");
        let b2 = &[(3000, "pull B2"), (4500, "refit B2")][..];
        let both = [(0, 0.160), (3000, 0.142), (3060, 0.030), (4500, 0.048)];
        let once = [(0, 0.160), (3000, 0.030), (4500, 0.030)];
        for (levels, before, manner) in [
            (&both[..], None, Some(Manner::Both)),
            (&once[..], None, Some(Manner::AtOnce)),
            (&once[..], Some(a1), None),
        ] {
            let marks: Vec<_> = before.into_iter().chain(b2.iter().copied()).collect();
            let car = TestCar::of(levels).marked(&[(1, "lock")]).marked(&marks);
            let judged = car.judged(2 * HOUR);
            let trial = judged.trials.iter().find(|trial| trial.what == ["B2"]);
            let trial = trial.unwrap();
            assert_eq!(trial.manner, manner, "{before:?}: {trial:?}");
            let is_asleep = matches!(trial.reason, TrialReason::AsleepWithIt { .. });
            assert_eq!(is_asleep, manner.is_none(), "{before:?}: {trial:?}");
        }
    }
}
