//! Whether the car slept in a stay: what besides its level has to be true, and since when it is.

use serde::Serialize;

use super::shown::Shown;
use super::{Basis, Opening, Stay};
use crate::judge::rules::{
    AT_ONCE_S, AWAKE_A, LIE_TIMES, MATTER_A, REST_S, SETTLE_S, SPARSE_READINGS,
};
use crate::judge::{levels, uncertainty};
use crate::reading::Elapsed;
use crate::session::mark::Did;

/// No meter is so poor that a level further above the limit may be at it (common practice, no
/// source).
pub(super) const EDGE_SHARE: f64 = 0.1;

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
}

impl SleepProof {
    /// Whether there is a level to compare with: settled, or standing so far.
    #[must_use]
    pub const fn stands(&self) -> bool {
        self.ground.is_some() || self.so_far
    }
}

impl Stay {
    /// Whether its level is above the limit, and was not watched for long enough that it would not
    /// have come down further: a stated time-out may be too short.
    #[must_use]
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
    let rested = shown.at_rest_s >= rest_s && shown.stood_s >= stands_s;
    let settled = shown.stood_s >= if shown.is_sparse { rest_s } else { SETTLE_S };
    let since = |wait_s: f64| {
        shown
            .fell
            .plus_secs(wait_s.min(shown.until.secs_since(shown.fell)))
    };
    let proven = |ground: Ground, at: Elapsed| SleepProof {
        ground: Some(ground),
        proven: at,
        inherited,
        so_far: false,
    };
    // What was removed may have kept others awake: above the limit the wait begins there.
    let begun = if level_a > basis.limit_a {
        stay.begun_after_removal()
    } else {
        stay.clock
    };
    let waited_s = shown.until.secs_since(begun);
    let margin_a =
        uncertainty::margin_a(basis.session, basis.limit_a).min(EDGE_SHARE * basis.limit_a);
    if known(basis, earlier, stay) && rested {
        return proven(Ground::Known, since(REST_S));
    }
    if stay.opening == Opening::Start
        && basis.session.card().asleep_at_start == Some(true)
        && settled
    {
        return proven(Ground::SaidAsleep, since(SETTLE_S));
    }
    if waited_s >= basis.timeout_s && settled && was_left(basis, stay, shown) {
        let ran_out = begun.plus_secs(basis.timeout_s);
        return proven(Ground::TimedOut, since(SETTLE_S).max(ran_out));
    }
    if inherited && settled && not_above(before, level_a) && !falls_late(basis, stay) {
        if level_a <= basis.limit_a || said_asleep(earlier) {
            return proven(Ground::Removed, since(SETTLE_S));
        }
        return SleepProof {
            so_far: true,
            proven: since(SETTLE_S),
            ..nothing
        };
    }
    if level_a <= basis.limit_a + margin_a && rested {
        return proven(Ground::AtLimit, since(rest_s));
    }
    nothing
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
        Opening::Deed(..) | Opening::Unmarked => !stay.was_left,
    }
}

/// Whether the time-out runs in this stay: the car was left to sleep, or sleeps.
#[must_use]
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
        Opening::Start | Opening::Deed(..) | Opening::Unmarked => {
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
#[must_use]
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
#[must_use]
pub fn falls_late_in(stay: &Stay, shown: &Shown) -> bool {
    let readings_s = if shown.is_sparse {
        SPARSE_READINGS * shown.step_s
    } else {
        0.0
    };
    shown.fell.secs_since(stay.from) > AT_ONCE_S.max(readings_s)
}

/// Whether this very state has rested at this level before, and for its time-out.
fn known(basis: &Basis<'_>, earlier: &[Stay], stay: &Stay) -> bool {
    let Some(shown) = &stay.shown else {
        return false;
    };
    let mates = earlier.iter().filter(|mate| mate.setup == stay.setup);
    mates
        .filter_map(|mate| Some((mate, mate.rested()?)))
        .any(|(mate, rested)| {
            let same = levels::same(rested.level.a, shown.level.a);
            let waited = mate.to.secs_since(mate.clock) >= basis.timeout_s;
            same && (waited || mate.rest.ground == Some(Ground::SaidAsleep))
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::kit::{Car, HOUR, MIN};

    /// On what ground the last stay sleeps.
    fn ground(car: &Car, end_s: u32) -> Option<Ground> {
        car.stays(end_s, |_, stays| stays.all.last().unwrap().rest.ground)
    }

    /// Locked at 20 s, down to `level_a` at ten minutes; the limit is 50 mA, the time-out 45 min.
    fn locked(level_a: f64) -> Car {
        Car::of(&[(0, 3.3), (20, 1.9), (10 * MIN, level_a)]).marked(&[(20, "lock")])
    }

    #[test]
    fn a_level_at_the_limit_sleeps_soon_and_one_above_it_past_its_time_out() {
        for (level_a, end_s, expected) in [
            (0.030, 11 * MIN, None),
            (0.030, 12 * MIN, Some(Ground::AtLimit)),
            (0.120, 12 * MIN, None),
            (0.120, 44 * MIN, None),
            (0.120, 46 * MIN, Some(Ground::TimedOut)),
            (0.030, 46 * MIN, Some(Ground::TimedOut)),
        ] {
            assert_eq!(
                ground(&locked(level_a), end_s),
                expected,
                "{level_a} A, {end_s} s"
            );
        }
        let open = Car::of(&[(0, 1.9)]).marked(&[(20, "unlock")]);
        assert_eq!(ground(&open, 2 * HOUR), None, "a door may be open");
        assert_eq!(
            ground(&Car::of(&[(0, 1.9)]), 2 * HOUR),
            None,
            "nobody locked it"
        );
        assert_eq!(
            ground(&Car::of(&[(0, 0.45)]), 2 * HOUR),
            Some(Ground::TimedOut),
            "it draws too little to be open"
        );
    }

    #[test]
    fn the_card_says_that_it_slept_once_the_level_has_stood_for_two_minutes() {
        let said = Car::asleep(&[(0, 0.120)]);
        assert_eq!(ground(&said, 110), None);
        assert_eq!(ground(&said, 130), Some(Ground::SaidAsleep));
    }

    /// A removal out of sleep: at or below the limit it sleeps on, above it stands so far.
    #[test]
    fn a_removal_out_of_sleep_inherits_it() {
        let rest = |left_a, late_s| {
            let levels = [
                (0, 3.3),
                (20, 0.120),
                (HOUR, 0.120),
                (HOUR + late_s, left_a),
            ];
            let car = Car::of(&levels).marked(&[(20, "lock"), (HOUR, "pull A1")]);
            car.stays(HOUR + late_s + 200, |_, stays| {
                stays.all.last().unwrap().rest
            })
        };
        let below = rest(0.030, 0);
        assert_eq!(
            (below.ground, below.so_far),
            (Some(Ground::TimedOut), false)
        );
        let above = rest(0.080, 0);
        assert_eq!(
            (above.ground, above.so_far, above.stands()),
            (None, true, true)
        );
        let late = rest(0.080, 60);
        assert_eq!(
            (late.ground, late.stands()),
            (None, false),
            "a stage on the way down"
        );
        let rose = rest(0.140, 0);
        assert_eq!(
            (rose.ground, rose.stands()),
            (None, false),
            "more than 9 mA higher"
        );
        assert!(rest(0.126, 0).stands(), "no more than 9 mA higher");
        // Where the card says that the car slept nothing is left that could fall later.
        for left_a in [0.030, 0.080] {
            let car = Car::asleep(&[(0, 0.120), (600, left_a)]).marked(&[(600, "pull A1")]);
            assert_eq!(ground(&car, 900), Some(Ground::Removed), "{left_a}");
        }
    }

    /// A state that has rested at this level for its time-out is known again at once.
    #[test]
    fn a_known_level_is_known_again() {
        for (back_a, expected) in [(0.120, Some(Ground::Known)), (0.130, None)] {
            let levels = [(0, 3.3), (20, 0.120), (HOUR, 2.0), (HOUR + 300, back_a)];
            let car =
                Car::of(&levels).marked(&[(20, "lock"), (HOUR, "unlock"), (HOUR + 200, "lock")]);
            assert_eq!(ground(&car, HOUR + 600), expected, "{back_a}");
        }
    }

    #[test]
    fn what_was_watched_past_time_out_and_half_falls_no_further() {
        for (end_s, level_a, expected) in [
            (30 * MIN, 0.120, true),
            (50 * MIN, 0.120, true),
            (70 * MIN, 0.120, false),
            (50 * MIN, 0.030, false),
        ] {
            let falls = locked(level_a).stays(end_s, |basis, stays| {
                stays.all.last().unwrap().may_still_fall(basis)
            });
            assert_eq!(falls, expected, "{end_s} s, {level_a} A");
        }
    }
}
