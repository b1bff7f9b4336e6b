//! The wire formats of meters that speak by themselves.

use std::num::NonZeroU32;

use super::handheld::Handheld;

/// A format that can be named, and recognised by listening.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Format {
    /// Plain text lines.
    Text,
    /// A handheld meter's own.
    Handheld(Handheld),
}

impl Format {
    /// The format of this name.
    pub fn named(name: &str) -> Option<Self> {
        if name == Self::Text.name() {
            return Some(Self::Text);
        }
        Handheld::named(name).map(Self::Handheld)
    }

    /// The name in a meter URI.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Text => "text",
            Self::Handheld(kind) => kind.name(),
        }
    }

    /// Bits a second at which meters of this format speak; `None` when each its own.
    pub const fn baud(self) -> Option<NonZeroU32> {
        match self {
            Self::Text => None,
            Self::Handheld(kind) => NonZeroU32::new(kind.baud()),
        }
    }
}
