//! What can be asked, and the order of it. Nothing that changes function or range has a name here.

use crate::reading::Elapsed;

/// What comes next when no question is open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum NextStep {
    Remote,
    /// Errors from before we came are not ours: so many were thrown away.
    OldErrors(u32),
    Function,
    /// Read, but not before this.
    Read(Elapsed),
    /// An answer is missing: listen until then, ask for errors, and drop all that comes before
    /// that answer, whose shape no reading has.
    Resync(Elapsed, Question),
    /// Begin again after this.
    Pause(Elapsed),
}

/// What was asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Question {
    OldErrors(u32),
    Function,
    Reading,
    /// What went wrong with the question inside.
    Error(Missed),
}

/// The question that had no good answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Missed {
    Function,
    Reading,
    Nothing,
}

/// A question that waits for its answer.
#[derive(Clone, Copy, Debug)]
pub(super) struct OpenQuestion {
    pub(super) question: Question,
    pub(super) at: Elapsed,
}

impl Question {
    /// As it goes out.
    pub(super) const fn text(self) -> &'static str {
        match self {
            Self::OldErrors(_) | Self::Error(_) => "SYST:ERR?",
            Self::Function => "CONF?",
            Self::Reading => "READ?",
        }
    }

    /// What a missing answer leaves open.
    pub(super) const fn missed(self) -> Missed {
        match self {
            Self::Function => Missed::Function,
            Self::Reading => Missed::Reading,
            Self::OldErrors(_) => Missed::Nothing,
            Self::Error(missed) => missed,
        }
    }
}
