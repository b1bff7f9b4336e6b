//! The limit and the sleep time-out in force, each with where it came from.

use crate::session::card::Card;

/// Where a limit or a time-out came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// Set on the card: the maker's figure or the technician's.
    Card,
    /// The usual figure of the trade, since the card says nothing.
    Usual,
}

impl Origin {
    /// As screens and files write it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Card => "card",
            Self::Usual => "usual figure",
        }
    }
}

/// 50 mA: the figure most often published for a car without special equipment (trade table 1.1:
/// 25-50 mA, > 50 mA "is a drain", 5-50 mA normal; published span 10-150 mA, so a maker's figure
/// on the card always goes before it).
pub const USUAL_LIMIT_A: f64 = 0.050;

/// 45 min: covers the 20-45 min most often published (trade table 1.1); some cars need an hour or
/// more, so the card may say otherwise and the screen names the figure in use.
pub const USUAL_TIMEOUT_S: f64 = 2700.0;

/// A value with its origin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sourced {
    /// The value: ampere for a limit, seconds for a time-out.
    pub value: f64,
    /// Where it came from.
    pub from: Origin,
}

/// The limit in force, in ampere.
#[must_use]
pub fn limit(card: &Card) -> Sourced {
    card.limit_a.map_or(
        Sourced {
            value: USUAL_LIMIT_A,
            from: Origin::Usual,
        },
        |value| Sourced {
            value,
            from: Origin::Card,
        },
    )
}

/// The sleep time-out in force, in seconds.
#[must_use]
pub fn timeout(card: &Card) -> Sourced {
    card.sleep_timeout_s.map_or(
        Sourced {
            value: USUAL_TIMEOUT_S,
            from: Origin::Usual,
        },
        |value| Sourced {
            value,
            from: Origin::Card,
        },
    )
}
