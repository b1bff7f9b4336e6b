//! What besides flatness must be true before a level is called settled.
//!
//! Each ground is knowledge from outside the signal: the limit, the time-out, a level already
//! settled in this fuse state, whether a pull found the car asleep.

use std::collections::BTreeMap;

use super::uncertainty;
use crate::session::Session;

/// At or above this the network is awake; a pull that finds this is judged with more patience
/// (common practice, no source: a sleeping car draws tens of milliamperes, modules at work
/// amperes).
pub const AWAKE_A: f64 = 0.5;
/// A level that may only be confirmed, or can only fall further, is flat for this long.
const SHORT_S: f64 = 120.0;
/// At or below the limit nothing worse can follow, and `above` is never said of it.
const AT_LIMIT_S: f64 = 90.0;
/// After a pull out of an awake car: modules need time to notice.
const AFTER_AWAKE_S: f64 = 300.0;
const AFTER_AWAKE_HIGH_S: f64 = 600.0;
const DWELLS: f64 = 2.0;
/// Past the time-out a level still has to hold for this long.
const PAST_TIMEOUT_S: f64 = 600.0;
/// Levels this close are the same level.
const NEAR_MIN_A: f64 = 0.005;
const NEAR_SHARE: f64 = 0.05;
/// At or near the limit: a tenth of it, or the meter's own uncertainty.
pub const LIMIT_SHARE: f64 = 0.10;

/// What proved a settled stretch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ground {
    /// The level was settled before, with the same fuses out.
    Known,
    /// At or below the limit: it can only fall further. Never `above`.
    AtLimit,
    /// After a removal out of a settled level, and not above it.
    Resettled,
    /// The time-out has run and the level held on.
    TimedOut,
    /// The card says that the car was asleep when the record began.
    SaidAsleep,
}

impl Ground {
    /// Whether the level may still fall, so that `above` must not be said of it.
    #[must_use]
    pub const fn may_fall(self) -> bool {
        matches!(self, Self::AtLimit)
    }
}

/// How things stand when the signal is flat.
#[derive(Clone, Copy, Debug)]
pub struct Standing {
    /// The level, in ampere.
    pub level_a: f64,
    /// How long it has stood, in seconds.
    pub stood_s: f64,
    /// How long the time-out has been running.
    pub waited_s: Option<f64>,
    /// The settled level before the last removal or refit.
    pub reference_a: Option<f64>,
    /// Whether anything was removed or refitted at all.
    pub resettling: bool,
    /// How long ago the last removal was; `None` when the last such mark was a refit.
    pub since_pull_s: Option<f64>,
    /// The longest level since the last mark, in seconds.
    pub longest_dwell_s: f64,
    /// Whether nothing has settled yet in this record.
    pub only_state: bool,
}

/// What is known from outside the signal.
#[derive(Clone, Debug)]
pub struct Known {
    limit_a: f64,
    limit_margin_a: f64,
    timeout_s: f64,
    asleep_at_start: bool,
    settled: BTreeMap<Vec<String>, Vec<f64>>,
}

impl Known {
    /// What the session's card says.
    #[must_use]
    pub fn new(session: &Session, limit_a: f64, timeout_s: f64) -> Self {
        let margin_a = uncertainty::margin_a(session, limit_a).max(LIMIT_SHARE * limit_a);
        Self {
            limit_a,
            limit_margin_a: margin_a,
            timeout_s,
            asleep_at_start: session.card().asleep_at_start.unwrap_or(false),
            settled: BTreeMap::new(),
        }
    }

    /// A level has settled with these fuses out.
    pub fn remember(&mut self, out: &[String], level_a: f64) {
        self.settled.entry(out.to_vec()).or_default().push(level_a);
    }

    /// The ground on which a flat level counts as settled; `None` while it is a plateau.
    #[must_use]
    pub fn ground(&self, out: &[String], now: &Standing) -> Option<Ground> {
        if now.stood_s < AT_LIMIT_S {
            return None;
        }
        let long_enough = now.stood_s >= SHORT_S;
        let known = self.settled.get(out).filter(|_| long_enough);
        if known.is_some_and(|levels| levels.iter().any(|level| near(now.level_a, *level))) {
            return Some(Ground::Known);
        }
        if long_enough && self.asleep_at_start && now.only_state && !now.resettling {
            return Some(Ground::SaidAsleep);
        }
        if Self::resettled(now) {
            return Some(Ground::Resettled);
        }
        if now
            .waited_s
            .is_some_and(|waited_s| waited_s >= self.timeout_s)
            && now.stood_s >= PAST_TIMEOUT_S
        {
            return Some(Ground::TimedOut);
        }
        (now.level_a <= self.limit_a + self.limit_margin_a).then_some(Ground::AtLimit)
    }

    /// The time-out has run and the level held on.
    #[must_use]
    pub fn timed_out(&self, now: &Standing) -> bool {
        let waited = now
            .waited_s
            .is_some_and(|waited_s| waited_s >= self.timeout_s);
        waited && now.stood_s >= PAST_TIMEOUT_S
    }

    fn resettled(now: &Standing) -> bool {
        let (Some(hold_s), Some(since_pull_s)) = (Self::resettle_s(now), now.since_pull_s) else {
            return false;
        };
        now.stood_s.min(since_pull_s) >= hold_s
    }

    /// For how long the level has to stand after a removal out of a settled one; `None` when it
    /// stands above that one, or the last deed was no removal.
    #[must_use]
    pub fn resettle_s(now: &Standing) -> Option<f64> {
        let reference_a = now.reference_a.filter(|_| now.since_pull_s.is_some())?;
        if now.level_a > reference_a && !near(now.level_a, reference_a) {
            return None;
        }
        Some(if reference_a < AWAKE_A {
            SHORT_S
        } else if now.level_a > AWAKE_A {
            AFTER_AWAKE_HIGH_S
        } else {
            AFTER_AWAKE_S.max(DWELLS * now.longest_dwell_s)
        })
    }
}

/// Whether two levels are the same level.
#[must_use]
pub fn near(a: f64, level_a: f64) -> bool {
    (a - level_a).abs() <= NEAR_MIN_A.max(NEAR_SHARE * level_a.abs())
}
