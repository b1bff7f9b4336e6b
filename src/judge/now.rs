//! What the car does now, with the reason in one line.

use super::finding::{Level, Now, Phase};
use super::hold::{AWAKE_A, Ground};
use super::limit::Sourced;
use super::phase::Walk;
use super::{uncertainty, wait};
use crate::reading::{Elapsed, quantity};
use crate::session::Session;

/// The phase at the end of the record and why it is that.
#[must_use]
pub fn now(session: &Session, walk: &Walk, timeout: Sourced) -> Now {
    let end = session.signal().last_t().unwrap_or_default();
    let (phase, since) = walk
        .stretches
        .last()
        .map_or((Phase::Blind, end), |last| (last.phase, last.from));
    let view = View {
        session,
        walk,
        timeout,
        end,
    };
    let level = match phase {
        Phase::Settled | Phase::Plateau => view.level(),
        Phase::Awake | Phase::Falling | Phase::Stirring | Phase::Blind => None,
    };
    let why = view.why(phase, level);
    let timeout_at = walk.clock_from.map(|from| from.plus_secs(timeout.value));
    Now {
        phase,
        since,
        level,
        why,
        timeout_at,
    }
}

struct View<'a> {
    session: &'a Session,
    walk: &'a Walk,
    timeout: Sourced,
    end: Elapsed,
}

impl View<'_> {
    fn level(&self) -> Option<Level> {
        let last = self
            .walk
            .settlings
            .last()
            .filter(|last| last.to >= self.end);
        let from = last.map_or(self.walk.boundary.plus_secs(2.0), |last| last.data_from);
        uncertainty::estimate(self.session, from, self.end).map(|estimate| estimate.level())
    }

    fn why(&self, phase: Phase, level: Option<Level>) -> String {
        let amps = level.map_or(self.walk.level_a.unwrap_or_default(), |level| level.a);
        let amps = quantity::current(amps);
        let stood = quantity::span(self.end.secs_since(self.walk.boundary));
        match phase {
            Phase::Blind => "no usable reading".into(),
            Phase::Awake => {
                let high = self.walk.level_a.is_some_and(|level_a| level_a >= AWAKE_A);
                let doing = if high {
                    "modules at work"
                } else {
                    "not steady yet"
                };
                format!("{doing}, {}", self.waited())
            }
            Phase::Falling => {
                let change = self.walk.last_change;
                let from = change.map(|c| format!(" from {}", quantity::current(c.from_a)));
                format!("fell{} {stood} ago", from.unwrap_or_default())
            }
            Phase::Stirring => {
                let base = self.walk.settlings.last().map_or(0.0, |last| last.level_a);
                let since = self
                    .walk
                    .stretches
                    .last()
                    .map_or(self.end, |last| last.from);
                let ago = quantity::span(self.end.secs_since(since));
                format!("woke {ago} ago out of {}", quantity::current(base))
            }
            Phase::Plateau => match &self.walk.resettle_after {
                // What went back in may have woken the car: then the whole time-out counts.
                Some(mark) if mark.did.restores() => {
                    let waited = self.waited();
                    format!("re-settling after {mark}: at {amps} for {stood}, {waited}")
                }
                Some(mark) => {
                    let stood_s = self.end.secs_since(self.walk.boundary);
                    let hold_s = self.walk.resettle_s.filter(|hold_s| stood_s < *hold_s);
                    let stood = hold_s.map_or(stood, |hold_s| wait::of_whole(stood_s, hold_s));
                    format!("re-settling after {mark}: at {amps} for {stood}")
                }
                None => format!("flat at {amps} for {stood}, {}", self.waited()),
            },
            Phase::Settled => self.settled(&amps),
        }
    }

    fn settled(&self, amps: &str) -> String {
        let Some(last) = self.walk.settlings.last() else {
            return String::new();
        };
        let held = quantity::span(self.end.secs_since(last.data_from));
        let over_s = self
            .walk
            .clock_from
            .map_or(0.0, |from| self.end.secs_since(from) - self.timeout.value);
        if last.ground == Ground::TimedOut && last.level_a >= AWAKE_A {
            let over = quantity::span(over_s.max(0.0));
            return format!("asleep it is not: {amps}, {over} past the time-out");
        }
        let ground = match last.ground {
            Ground::Known => "a level already known with these fuses",
            Ground::AtLimit => "at or below the limit, before the time-out has run",
            Ground::Resettled => "not above the settled level before",
            Ground::TimedOut => "held past the time-out",
            Ground::SaidAsleep => "the card says it was asleep",
        };
        let took = last
            .descent
            .map(|descent| format!(" after {}", quantity::span(descent.took_s)));
        format!(
            "{amps}, flat for {held}{}: {ground}",
            took.unwrap_or_default()
        )
    }

    fn waited(&self) -> String {
        let whole = quantity::span(self.timeout.value);
        self.walk.clock_from.map_or_else(
            || format!("time-out {whole}"),
            |from| {
                let waited_s = self.end.secs_since(from);
                if waited_s > self.timeout.value && self.walk.is_unlocked {
                    "no lock marked: the wait begins there".into()
                } else if waited_s > self.timeout.value {
                    let over = quantity::span(waited_s - self.timeout.value);
                    format!("{over} past the time-out of {whole}")
                } else {
                    format!("{} waited", wait::of_whole(waited_s, self.timeout.value))
                }
            },
        )
    }
}
