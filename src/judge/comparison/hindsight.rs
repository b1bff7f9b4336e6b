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
