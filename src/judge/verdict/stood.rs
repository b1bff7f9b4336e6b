//! Levels that stood above the limit for long and are gone again: a load that comes and goes.
//!
//! Had the record ended while one stood, its verdict would have been `above`; that the car draws
//! less now does not undo it.

use super::against_limit;
use crate::judge::finding::{Verdict, Wake};
use crate::judge::hold::{AWAKE_A, near};
use crate::judge::phase::{Settling, Walk};
use crate::judge::{limit, uncertainty};
use crate::reading::{Elapsed, quantity};
use crate::session::mark::Did;
use crate::session::{Placed, Session};

/// The longest such level of the record, and what came before it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Stood {
    /// None.
    Nothing,
    /// It rose out of the present level and came back to it: the car draws so much, at times.
    Rose(High),
    /// The car came down from it: a load that went, or a car that sleeps late.
    Fell(High),
}

/// Where such a level stood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct High {
    level_a: f64,
    from: Elapsed,
    to: Elapsed,
}

impl High {
    fn in_words(self) -> String {
        format!(
            "{} for {} from {}",
            quantity::current(self.level_a),
            quantity::span(self.to.secs_since(self.from)),
            quantity::clock(self.from)
        )
    }
}

impl Stood {
    /// The best verdict that it allows.
    pub(super) const fn verdict(self) -> Verdict {
        match self {
            Self::Nothing => Verdict::Below,
            Self::Rose(_) => Verdict::Above,
            Self::Fell(_) => Verdict::CannotTell,
        }
    }

    /// Why it allows no better one than `verdict`; `None` where something else does not either.
    pub(super) fn in_words(self, verdict: Verdict) -> Option<String> {
        match self {
            Self::Rose(high) if verdict == Verdict::Above => {
                Some(format!("{}: what ran then?", high.in_words()))
            }
            Self::Fell(high) if verdict == Verdict::CannotTell => Some(format!(
                "it stood at {}, past its time-out: what was done then? Or did the car only then fall asleep? Lock it again and watch",
                high.in_words()
            )),
            Self::Nothing | Self::Rose(_) | Self::Fell(_) => None,
        }
    }
}

/// What stood above the limit, with the same fuses out and since the car was last locked or
/// unlocked, and is not the level of `last`; `wakes` are those that came out of that one.
pub(super) fn stood(
    session: &Session,
    walk: &Walk,
    (last, wakes): (&Settling, &[Wake]),
    limit_a: f64,
) -> Stood {
    let mut marks = session.marks();
    let used = marks.rfind(|placed| matches!(placed.mark.did, Did::Lock | Did::Unlock));
    let used = used.map_or(Elapsed::from_ms(i64::MIN), Placed::at);
    let timeout_s = limit::timeout(session.card()).value;
    let is_high = |settling: &&Settling| {
        let proven = !settling.ground.may_fall() && settling.fuse_state == last.fuse_state;
        let earlier = settling.proven > used && settling.to < last.data_from;
        let level = || uncertainty::estimate(session, settling.data_from, settling.to);
        proven
            && earlier
            && level().is_some_and(|level| against_limit(&level, limit_a) == Verdict::Above)
    };
    let longest = walk
        .settlings
        .iter()
        .filter(|settling| settling.level_a > limit_a.max(last.level_a))
        .filter(|settling| !near(settling.level_a, last.level_a))
        .filter(is_high)
        .max_by(|a, b| lasted_s(a).total_cmp(&lasted_s(b)));
    let Some(longest) = longest else {
        return Stood::Nothing;
    };
    let high = High {
        level_a: longest.level_a,
        from: longest.data_from,
        to: longest.to,
    };
    let within = |wake: &&Wake| wake.from <= high.from && high.to <= wake.to;
    if let Some(wake) = wakes.iter().find(within) {
        return Stood::Rose(High {
            from: wake.from,
            to: wake.to,
            ..high
        });
    }
    if lasted_s(longest) >= timeout_s && high.level_a < AWAKE_A {
        return Stood::Fell(high);
    }
    Stood::Nothing
}

fn lasted_s(settling: &Settling) -> f64 {
    settling.to.secs_since(settling.data_from)
}
