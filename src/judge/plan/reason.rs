//! Why the plan says what it says, as data.

use crate::session::mark::Did;

/// One circuit draws nearly all that is too much.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MostFound {
    /// What the car draws with it, in ampere.
    pub of_a: f64,
    /// And without it.
    pub left_a: f64,
}

/// Why this is next.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum PlanReason {
    /// The meter sees no current: no fuse is to blame.
    #[default]
    DeadMeter,
    /// What was moved last is not judged yet.
    Pending {
        /// It.
        what: Vec<String>,
    },
    /// These are likeliest for the time they take.
    Likely {
        /// How many candidates are taken at once, and of how many.
        taken: usize,
        /// See `taken`.
        open: usize,
        /// How likely the drawer is among them.
        p: f64,
        /// Whether so many draw that only one at a time tells anything.
        one_by_one: bool,
        /// What is found already, in ampere.
        found_a: f64,
    },
    /// What one fuse feeds has another.
    SecondFuse {
        /// The fuse that was moved.
        moved: Vec<String>,
        /// What it draws, in ampere.
        a: f64,
    },
    /// One or more of these draw: which?
    Narrow {
        /// What to do to tell.
        did: Did,
        /// With these.
        next: Vec<String>,
        /// Of these.
        all: Vec<String>,
        /// What they draw between them, in ampere, where that was seen.
        a: Option<f64>,
    },
    /// The circuit is known, its parts are not.
    Parts {
        /// Its fuses.
        fuses: Vec<String>,
        /// What it draws of its own, in ampere.
        a: Option<f64>,
        /// Whether it kept others awake.
        keeps_awake: bool,
        /// Whether its fuse is out.
        is_out: bool,
        /// How many parts it feeds.
        parts: usize,
        /// What is still too much without it.
        left: Option<MostFound>,
    },
    /// Unplugging this part brought the current down.
    Found {
        /// It.
        part: String,
        /// What was not tried beside it.
        untried: Vec<String>,
    },
    /// Each circuit alone is as it should be, together they are too much.
    ManySmall {
        /// They and what each draws, in ampere, the largest first.
        small: Vec<(String, f64)>,
    },
    /// Nobody knows which fuses the car has: the next one, whichever it is.
    AnotherFuse {
        /// What no trial explains, in ampere.
        excess_a: f64,
    },
    /// Nothing behind the mapped fuses draws it.
    Unfused {
        /// What no trial explains, in ampere.
        excess_a: f64,
    },
}

impl PlanReason {
    /// The same with what is still too much without the circuit.
    pub(super) fn with_left(mut self, found: Option<MostFound>) -> Self {
        if let Self::Parts { left, .. } = &mut self {
            *left = found;
        }
        self
    }
}
