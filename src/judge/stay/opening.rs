//! What began a stay, and what follows from that alone.

use crate::session::mark::{Did, MarkId};

/// What began a stay.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Opening {
    /// The record began.
    Start,
    /// Somebody did something to the car, or to its meter.
    Deed(MarkId, Did),
    /// A run was announced, or a fall in one came: something comes out, and nobody has said which.
    Unnamed,
    /// The level changed out of a proven rest and did not come back, and nobody said why.
    Unmarked,
}

impl Opening {
    /// The deed on a fuse or part that began it.
    pub const fn tried(self) -> Option<(MarkId, Did)> {
        match self {
            Self::Deed(id, did) if did.is_tried() => Some((id, did)),
            Self::Deed(..) | Self::Start | Self::Unnamed | Self::Unmarked => None,
        }
    }

    /// Whether what began it made another state of the car.
    pub const fn is_another_state(self) -> bool {
        self.tried().is_some() || matches!(self, Self::Unnamed)
    }

    /// Whether a lock began it.
    pub const fn is_lock(self) -> bool {
        matches!(self, Self::Deed(_, Did::Lock))
    }

    /// Whether a removal began it: that wakes nothing by itself.
    pub const fn is_removal(self) -> bool {
        match self {
            Self::Unnamed => true,
            Self::Deed(_, did) => did.removes(),
            Self::Start | Self::Unmarked => false,
        }
    }

    /// Whether the sleep time-out runs anew from here.
    pub const fn stirs(self) -> bool {
        match self {
            Self::Start | Self::Unmarked => true,
            Self::Unnamed => false,
            Self::Deed(_, did) => did.stirs(),
        }
    }
}
