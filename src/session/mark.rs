//! What the technician did, as marks: the verbs, the labels, and which verbs disturb the car.

mod cell;

use serde::{Deserialize, Serialize};

use crate::reading::{Elapsed, named};
pub use cell::{MarkError, labels, parse_mark};

/// The number by which a later strike, claim or finding names a mark.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct MarkId(pub u32);

impl MarkId {
    /// The one after it.
    #[must_use]
    pub const fn next(self) -> Self {
        Self(self.0.saturating_add(1))
    }
}

/// The verb of a mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Did {
    /// Locked the car: the sleep time-out starts.
    Lock,
    /// Unlocked the car or opened a door.
    Unlock,
    /// Took a fuse or relay out.
    Pull,
    /// Put a fuse or relay back.
    Refit,
    /// Parted a connector, so that one component is off its circuit.
    Unplug,
    /// Joined the connector again.
    Plug,
    /// Put a new part in place of the old one.
    Swap,
    /// Announced fuses that are pulled one after another, by hands far from the keys; without any,
    /// that they are done.
    Run,
    /// Zeroed the clamp.
    Zero,
    /// Finished the work: what follows is no evidence.
    Finish,
    /// Left a stretch out: it is no evidence.
    #[serde(rename = "leave out")]
    LeaveOut,
    /// Wrote something down.
    Note,
}

/// What a verb is done to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DoneTo {
    /// A fuse, a relay or another part, which is named.
    Part(Handling),
    /// The car as a whole.
    Car,
    /// The meter.
    Meter,
    /// What counts of the record.
    Record,
    /// Nothing but what is written.
    Paper,
}

/// What happens to a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Handling {
    /// It comes off its supply.
    Out,
    /// It gets its supply back.
    Back,
    /// Another one takes its place.
    New,
}

named!(Did::word {
    Lock = "lock",
    Unlock = "unlock",
    Pull = "pull",
    Refit = "refit",
    Unplug = "unplug",
    Plug = "plug",
    Swap = "swap",
    Run = "run",
    Zero = "zero",
    Finish = "finish",
    LeaveOut = "leave out",
    Note = "note",
});

impl Did {
    /// What this is done to; everything else that is asked of a verb follows from it.
    pub const fn done_to(self) -> DoneTo {
        match self {
            Self::Pull | Self::Unplug => DoneTo::Part(Handling::Out),
            Self::Refit | Self::Plug => DoneTo::Part(Handling::Back),
            Self::Swap => DoneTo::Part(Handling::New),
            Self::Lock | Self::Unlock => DoneTo::Car,
            Self::Zero => DoneTo::Meter,
            Self::Finish | Self::LeaveOut => DoneTo::Record,
            Self::Run | Self::Note => DoneTo::Paper,
        }
    }

    /// Whether this removes something from the car or puts it back, and so is judged as a trial.
    pub const fn is_tried(self) -> bool {
        matches!(self.done_to(), DoneTo::Part(_))
    }

    /// Whether hands were at the car, or at its meter.
    pub const fn touches(self) -> bool {
        !matches!(self.done_to(), DoneTo::Record | DoneTo::Paper)
    }

    /// Whether this takes something off its supply.
    pub const fn removes(self) -> bool {
        matches!(self.done_to(), DoneTo::Part(Handling::Out))
    }

    /// Whether this gives a circuit or part its supply back: modules start up and may wake the
    /// car (trade table 1.4, "fuse, relay or connector pulled or refitted").
    pub const fn restores(self) -> bool {
        self.is_tried() && !self.removes()
    }

    /// Whether this by itself restarts the sleep time-out. A pull does not: only a rise in the
    /// current after it would.
    pub const fn stirs(self) -> bool {
        matches!(self.done_to(), DoneTo::Car) || self.restores()
    }
}

/// One thing the technician did.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Mark {
    /// The mark's own number, unique in its session.
    pub id: MarkId,
    /// What was done.
    pub did: Did,
    /// To which fuses or parts, with the labels as they were typed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub what: Vec<String>,
    /// When it was done, if the mark was placed late.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        with = "super::seconds"
    )]
    pub at: Option<Elapsed>,
    /// Where the stretch begins that is left out.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        with = "super::seconds"
    )]
    pub from: Option<Elapsed>,
    /// Where it ends.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        with = "super::seconds"
    )]
    pub to: Option<Elapsed>,
    /// How often the bell of a run calls, in seconds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub every_s: Option<f64>,
    /// The words of a note.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub text: String,
}

impl Mark {
    /// A mark that this was done just now, without a number yet.
    pub const fn new(did: Did) -> Self {
        Self {
            id: MarkId(0),
            did,
            what: Vec::new(),
            at: None,
            from: None,
            to: None,
            every_s: None,
            text: String::new(),
        }
    }

    /// When the thing was done, for a mark journalled at `t`.
    pub fn done_at(&self, t: Elapsed) -> Elapsed {
        self.at.or(self.from).unwrap_or(t)
    }
}

/// A mark, when it was journalled, and whether it was struck.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// The mark.
    pub mark: Mark,
    /// When the journal took it.
    pub noted: Elapsed,
    /// Whether a later strike withdrew it.
    pub struck: bool,
}

impl Placed {
    /// When the thing was done.
    #[must_use]
    pub fn at(&self) -> Elapsed {
        self.mark.done_at(self.noted)
    }
}
