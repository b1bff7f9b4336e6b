//! The words and shapes of a judgement: what screens, reports and `judge --json` all read.

use serde::Serialize;

use super::reason::NowReason;
pub use super::trial::{Finding, Manner, Trial};
use crate::reading::Elapsed;
use crate::reading::band::Band;
use crate::reading::quantity;
use crate::session::mark::MarkId;

/// What the current is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Phase {
    /// High and unsteady: modules at work.
    Awake,
    /// Going down.
    Falling,
    /// Flat, but sleep is not proven.
    Plateau,
    /// Flat and sleep proven, or flat long after the time-out.
    Settled,
    /// A wake out of settled.
    Stirring,
    /// No usable reading.
    Blind,
}

impl Phase {
    /// The phase as screens and files write it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Awake => "awake",
            Self::Falling => "falling",
            Self::Plateau => "plateau",
            Self::Settled => "settled",
            Self::Stirring => "stirring",
            Self::Blind => "blind",
        }
    }
}

/// A value with its expanded uncertainty (k = 2, about 95 %), in ampere.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Level {
    /// The value.
    pub a: f64,
    /// Its expanded uncertainty.
    pub u_a: f64,
}

impl Level {
    /// The value with its U: `22.0 mA ± 3.5 mA`.
    pub fn in_words(self) -> String {
        quantity::level(self.a, self.u_a)
    }
}

/// One stretch in one phase.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PhaseSpan {
    /// Which.
    pub phase: Phase,
    /// Since when.
    pub from: Elapsed,
    /// Until when.
    pub to: Elapsed,
    /// The mean current in it; `None` when blind.
    pub level: Option<Level>,
}

impl PhaseSpan {
    /// How long it lasts, in seconds.
    pub fn lasts_s(&self) -> f64 {
        self.to.secs_since(self.from)
    }
}

/// What the car does now.
#[derive(Clone, Debug, PartialEq)]
pub struct Now {
    /// The phase.
    pub phase: Phase,
    /// Since when.
    pub since: Elapsed,
    /// The level of the present flat stretch, when there is one.
    pub level: Option<Level>,
    /// The reason.
    pub reason: NowReason,
    /// When the sleep time-out will have run; `None` when nothing started it.
    pub timeout_at: Option<Elapsed>,
    /// When the flat level of now will count as settled if it stays.
    pub settles_at: Option<Elapsed>,
}

/// A change of level that the signal itself shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LevelStep {
    /// The first reading of the new level.
    pub t: Elapsed,
    /// The level before, in ampere.
    pub from_a: f64,
    /// The level after, in ampere.
    pub to_a: f64,
    /// Whether it happened somewhere inside a gap that ends at `t`.
    pub in_gap: bool,
    /// The mark that explains it.
    pub mark: Option<MarkId>,
}

/// A lasting step out of a settled level that nobody marked.
#[derive(Clone, Debug, PartialEq)]
pub struct Unclaimed {
    /// When.
    pub t: Elapsed,
    /// The settled level before, in ampere.
    pub from_a: f64,
    /// The level after, in ampere.
    pub to_a: f64,
    /// The fuses of an announced run of which one may be it; none outside a run.
    pub among: Vec<String>,
}

/// A wake out of settled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wake {
    /// When it began.
    pub from: Elapsed,
    /// When it ended.
    pub to: Elapsed,
    /// Highest current, in ampere.
    pub peak_a: f64,
    /// Charge above the settled level, in ampere-seconds.
    pub charge_as: f64,
    /// Whether the meter was over its range in it: peak and charge are then the least they can be.
    pub over: bool,
}

impl Wake {
    /// How long it lasts, in seconds.
    pub fn lasts_s(&self) -> f64 {
        self.to.secs_since(self.from)
    }
}

/// Wakes that come regularly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cycle {
    /// From one onset to the next, in seconds.
    pub period_s: f64,
    /// How long each lasts, in seconds.
    pub width_s: f64,
    /// Mean current above the settled level while it lasts, in ampere.
    pub extra_a: f64,
    /// Charge of each, in ampere-seconds.
    pub charge_as: f64,
    /// How many were seen.
    pub count: usize,
}

/// One circuit's share of the settled current.
#[derive(Clone, Debug, PartialEq)]
pub struct Share {
    /// The circuits; more than one when they were never told apart.
    pub what: Vec<String>,
    /// The share with its U.
    pub level: Level,
}

/// The settled current that the car shows now, and its mean with the wakes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SettledNow {
    /// The settled level.
    pub level: Level,
    /// The mean over time, wakes included, in ampere.
    pub average: Level,
    /// Since when.
    pub since: Elapsed,
    /// Let through before the time-out has run: it may still fall, and the car may still stir.
    pub early: bool,
}

impl SettledNow {
    /// The average with its ends: it is never below the settled level.
    pub const fn average_band(&self) -> Band {
        let low_a = self.average.a - self.average.u_a;
        let least_a = self.level.a - self.level.u_a;
        let high_a = self.average.a + self.average.u_a;
        Band::new(low_a.max(least_a), self.average.a, high_a)
    }
}

/// Against the limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// Surely above.
    Above,
    /// Surely below.
    Below,
    /// Too close for this meter.
    CannotTell,
    /// The current has not settled.
    NotSettled,
}

impl Verdict {
    /// The verdict as screens and files write it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Above => "above",
            Self::Below => "below",
            Self::CannotTell => "cannot tell",
            Self::NotSettled => "not settled",
        }
    }
}
