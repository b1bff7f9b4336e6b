//! One removal or refit, judged: how it came out, and how a fall came.

use super::finding::Level;
use super::reason::TrialReason;
use crate::reading::Elapsed;
use crate::session::mark::{Did, MarkId};

/// How a trial came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Finding {
    /// The current fell and is now below the limit.
    Clears,
    /// The current fell, and is still not below the limit.
    Lowers,
    /// No change beyond U.
    NoChange,
    /// The current rose.
    Raises,
    /// Settled, but the meter cannot tell.
    CannotTell,
    /// The current has not settled since.
    NotYet,
    /// Something disturbed the trial; the reason says what and what to do.
    Spoiled,
}

impl Trial {
    /// All that it is judged together with, itself included: what was not told apart.
    pub fn together(&self) -> &[String] {
        if self.with.len() > 1 {
            &self.with
        } else {
            &self.what
        }
    }

    /// What its change is of: all of a run where they were judged together.
    pub fn of_whom(&self) -> &[String] {
        if self.after.is_some() && self.finding != Finding::Spoiled {
            self.together()
        } else {
            &self.what
        }
    }

    /// Whether what it took out kept others awake.
    pub fn is_late(&self) -> bool {
        matches!(self.manner, Some(Manner::Late | Manner::Both))
    }
}

impl Finding {
    /// The finding as screens and files write it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Clears => "clears",
            Self::Lowers => "lowers",
            Self::NoChange => "no change",
            Self::Raises => "raises",
            Self::CannotTell => "cannot tell",
            Self::NotYet => "not yet",
            Self::Spoiled => "spoiled",
        }
    }

    /// Whether the current fell by what was done.
    pub const fn is_fall(self) -> bool {
        matches!(self, Self::Clears | Self::Lowers)
    }
}

/// How a fall came.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Manner {
    /// With the removal: a direct load.
    AtOnce,
    /// Later and in stages: the removed part kept others awake.
    Late,
    /// Part at once, part late.
    Both,
}

impl Manner {
    /// The manner as screens and files write it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::AtOnce => "at once",
            Self::Late => "late",
            Self::Both => "both",
        }
    }
}

/// One removal or refit, judged.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// The mark.
    pub mark: MarkId,
    /// When it was done.
    pub t: Elapsed,
    /// What was done.
    pub did: Did,
    /// To what.
    pub what: Vec<String>,
    /// What else came out or went in between the two levels: a run of quick deeds.
    pub with: Vec<String>,
    /// The settled level before.
    pub before: Option<Level>,
    /// The first settled level after.
    pub after: Option<Level>,
    /// After minus before: a fall is negative.
    pub change: Option<Level>,
    /// The change seen within seconds of the mark, before anything is settled: a first look.
    pub first_look: Option<Level>,
    /// How it came out.
    pub finding: Finding,
    /// How the fall came.
    pub manner: Option<Manner>,
    /// When the finding stands, while it may still change.
    pub stands_at: Option<Elapsed>,
    /// The reason.
    pub reason: TrialReason,
}
