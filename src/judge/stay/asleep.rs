//! Whether the car slept in a stay: what besides its level has to be true, and since when it is.

use serde::Serialize;

use super::shown::Shown;
use super::{Basis, Opening, Stay};
use crate::judge::rules::{
    AT_ONCE_S, AWAKE_A, LIE_TIMES, MATTER_A, NO_ACCURACY_SHARE, REST_S, SETTLE_S, SPARSE_READINGS,
};
use crate::judge::{levels, uncertainty};
use crate::reading::Elapsed;
use crate::session::mark::Did;

/// What shows that the car sleeps at a level.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ground {
    /// At or below the limit: it can only fall further. Never `above`.
    AtLimit,
    /// The time-out has run and the level held on.
    TimedOut,
    /// This very state has rested at this level before.
    Known,
    /// A removal out of a sleeping car, and not above the level before.
    Removed,
    /// The card says that the car was asleep when the record began.
    SaidAsleep,
}

/// Whether the car slept.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SleepProof {
    /// What shows it; `None` while nothing does.
    pub ground: Option<Ground>,
    /// When it was shown.
    pub proven: Elapsed,
    /// Whether the car can be taken to sleep because it did before a removal, at whatever level.
    pub inherited: bool,
    /// Whether it stands after a removal at no higher level than before, above the limit: the
    /// removed part may have kept others awake, and they may still fall until the time-out has run.
    pub so_far: bool,
    /// When it will be shown if the level stays; `None` once it is, and while no wait would show it.
    pub due: Option<Elapsed>,
}

impl SleepProof {
    /// Whether there is a level to compare with: settled, or standing so far.
    pub const fn stands(&self) -> bool {
        self.ground.is_some() || self.so_far
    }
}

impl Stay {
    /// Whether its level is above the limit, and was not watched for long enough that it would not
    /// have come down further: a stated time-out may be too short.
    pub fn may_still_fall(&self, basis: &Basis<'_>) -> bool {
        let is_above = (self.shown.as_deref()).is_some_and(|shown| shown.level.a > basis.limit_a);
        let watched_s = self.to.secs_since(self.begun_after_removal());
        is_above
            && match self.rest.ground {
                None => true,
                Some(Ground::TimedOut) => watched_s < LIE_TIMES * basis.timeout_s,
                Some(Ground::Known | Ground::SaidAsleep | Ground::Removed | Ground::AtLimit) => {
                    false
                }
            }
    }
}

/// Judges one stay; `earlier` are those before it.
pub(super) fn rest(basis: &Basis<'_>, earlier: &[Stay], stay: &Stay) -> SleepProof {
    let before = earlier.last();
    let inherited = stay.opening.is_removal()
        && before.is_some_and(|before| before.rest.inherited || before.rest.stands());
    let inherited = inherited
        || matches!(stay.opening, Opening::Deed(_, did) if !did.stirs() && !did.removes())
            && before.is_some_and(|before| before.rest.ground.is_some());
    let nothing = SleepProof {
        inherited,
        ..SleepProof::default()
    };
    let Some(shown) = &stay.shown else {
        return nothing;
    };
    let level_a = shown.level.a;
    if shown.has_just_fallen() {
        return nothing;
    }
    let rest_s = if shown.is_sparse {
        SPARSE_READINGS * shown.step_s
    } else {
        REST_S
    };
    let stands_s = if shown.is_sparse {
        rest_s
    } else {
        REST_S.min(60.0)
    };
    let rest_left_s = (rest_s - shown.at_rest_s).max(stands_s - shown.held_s);
    let settle_s = if shown.is_sparse { rest_s } else { SETTLE_S };
    let settle_left_s = settle_s - shown.held_s;
    let since = |wait_s: f64| {
        let held = shown.held;
        held.plus_secs(wait_s.min(shown.until.secs_since(held)))
    };
    // What was removed may have kept others awake: above the limit the wait begins there.
    let begun = if level_a > basis.limit_a {
        stay.begun_after_removal()
    } else {
        stay.clock
    };
    let timeout_left_s = basis.timeout_s - shown.until.secs_since(begun);
    let margin_a =
        uncertainty::margin_a(basis.session, basis.limit_a).min(NO_ACCURACY_SHARE * basis.limit_a);
    let way = |is_open: bool, ground: Ground, left_s: f64, proven: Elapsed| {
        let way = Way {
            ground,
            left_s,
            proven,
        };
        is_open.then_some(way)
    };
    let said = stay.opening == Opening::Start && basis.session.card().asleep_at_start == Some(true);
    let ran_out = begun.plus_secs(basis.timeout_s);
    let stands = inherited && not_above(before, level_a) && !falls_late(basis, stay);
    let only_so_far = level_a > basis.limit_a && !said_asleep(earlier);
    let settled = since(SETTLE_S);
    let ways = [
        way(
            known(basis, earlier, stay),
            Ground::Known,
            rest_left_s,
            since(REST_S),
        ),
        way(said, Ground::SaidAsleep, settle_left_s, settled),
        way(
            was_left(basis, stay, shown),
            Ground::TimedOut,
            settle_left_s.max(timeout_left_s),
            settled.max(ran_out),
        ),
        way(stands, Ground::Removed, settle_left_s, settled),
        way(
            level_a <= basis.limit_a + margin_a,
            Ground::AtLimit,
            rest_left_s,
            since(rest_s),
        ),
    ];
    let ways = || ways.iter().flatten();
    let due_s = ways().map(|way| way.left_s).filter(|left_s| *left_s > 0.0);
    let due = due_s
        .reduce(f64::min)
        .map(|left_s| shown.until.plus_secs(left_s));
    match ways().find(|way| way.left_s <= 0.0) {
        None => SleepProof { due, ..nothing },
        Some(way) if way.ground == Ground::Removed && only_so_far => SleepProof {
            so_far: true,
            proven: way.proven,
            due,
            ..nothing
        },
        Some(way) => SleepProof {
            ground: Some(way.ground),
            proven: way.proven,
            ..nothing
        },
    }
}

/// One way to show that the car sleeps.
#[derive(Clone, Copy)]
struct Way {
    ground: Ground,
    /// How long the level has still to stand for it, in seconds; not above zero once it has.
    left_s: f64,
    /// Since when it is shown, then.
    proven: Elapsed,
}

/// Whether the car was left to sleep: locked, or come down by itself. One that was opened, or that
/// nobody is known to have locked, may have a door open.
fn was_left(basis: &Basis<'_>, stay: &Stay, shown: &Shown) -> bool {
    let low = stay.opening == Opening::Start && shown.level.a < AWAKE_A;
    !may_be_open(basis, stay) || low || came_down(stay, shown)
}

/// Whether a door may be open for all that the marks say.
fn may_be_open(basis: &Basis<'_>, stay: &Stay) -> bool {
    match stay.opening {
        Opening::Start => basis.session.card().asleep_at_start != Some(true),
        Opening::Deed(_, Did::Unlock) => true,
        // What was done to an open car leaves it open.
        Opening::Deed(..) | Opening::Unnamed | Opening::Unmarked => !stay.was_left,
    }
}

/// Whether the time-out runs in this stay: the car was left to sleep, or sleeps.
pub fn is_waiting(basis: &Basis<'_>, stay: &Stay) -> bool {
    let left = stay.shown.as_deref().map_or_else(
        || !may_be_open(basis, stay),
        |shown| was_left(basis, stay, shown),
    );
    left || stay.rest.stands()
}

/// Whether the car had been left to sleep when this stay began: locked, or come down by itself
/// since it was opened.
pub(super) fn was_left_before(earlier: &[Stay], stay: &Stay) -> bool {
    if stay.opening.is_lock() {
        return true;
    }
    let Some(before) = earlier.last() else {
        return false;
    };
    match before.opening {
        Opening::Deed(_, Did::Lock) => true,
        Opening::Start | Opening::Deed(..) | Opening::Unnamed | Opening::Unmarked => {
            let opened = matches!(
                before.opening,
                Opening::Start | Opening::Deed(_, Did::Unlock)
            );
            let came = before
                .shown
                .as_deref()
                .is_some_and(|shown| came_down(before, shown));
            came || before.rest.ground.is_some() || before.was_left && !opened
        }
    }
}

/// Whether the current fell by itself in this stay, as that of a car does that goes to sleep.
pub fn came_down(stay: &Stay, shown: &Shown) -> bool {
    shown.level.a < AWAKE_A && shown.arrived.secs_since(stay.from) > REST_S / 9.0
}

/// Whether the card says that the car slept, and nobody has touched it since but for removals:
/// then nothing is left that could fall later.
fn said_asleep(earlier: &[Stay]) -> bool {
    let chain = earlier.iter().rev().find(|stay| !stay.opening.is_removal());
    chain.is_some_and(|stay| stay.rest.ground == Some(Ground::SaidAsleep))
}

/// Whether the level stands not above that of the stay before.
fn not_above(before: Option<&Stay>, level_a: f64) -> bool {
    let level = before
        .and_then(|before| before.shown.as_deref())
        .map(|shown| shown.level.a);
    level.is_none_or(|before_a| level_a <= before_a + 3.0 * MATTER_A)
}

/// Whether the present level, above the limit, was reached late after a removal: then it may be a
/// stage on the way down.
fn falls_late(basis: &Basis<'_>, stay: &Stay) -> bool {
    stay.shown
        .as_deref()
        .is_some_and(|shown| shown.level.a > basis.limit_a && falls_late_in(stay, shown))
}

/// Whether the present level was reached later than a removal itself would.
pub fn falls_late_in(stay: &Stay, shown: &Shown) -> bool {
    let readings_s = if shown.is_sparse {
        SPARSE_READINGS * shown.step_s
    } else {
        0.0
    };
    shown.fell.secs_since(stay.from) > AT_ONCE_S.max(readings_s)
}

/// Whether this very state has rested at this level before, for its time-out, and no lower since: a
/// state that turned out to come down further may do so again.
fn known(basis: &Basis<'_>, earlier: &[Stay], stay: &Stay) -> bool {
    let Some(shown) = &stay.shown else {
        return false;
    };
    let mates = earlier.iter().filter(|mate| mate.setup == stay.setup);
    let rested = mates.filter_map(|mate| Some((mate, mate.rested()?.level.a)));
    let mut newest_first = rested.rev().take_while(|(_, level_a)| {
        *level_a > shown.level.a || levels::same(*level_a, shown.level.a)
    });
    newest_first.any(|(mate, level_a)| {
        let waited = mate.to.secs_since(mate.clock) >= basis.timeout_s;
        let said = mate.rest.ground == Some(Ground::SaidAsleep);
        levels::same(level_a, shown.level.a) && (waited || said)
    })
}

#[cfg(test)]
mod tests;
