//! Doubts about the meter: what its readings or its silence suggest, put as questions. None of
//! them changes a reading.

use crate::reading::named::named;

/// What may be wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Doubt {
    /// The same reading to the last digit for long, after it had varied.
    Frozen,
    /// Exactly zero without any noise, right after a real current.
    Zero,
    /// A current that stays negative.
    Reversed,
    /// A jump in the moment in which the meter changed its unit.
    Unit,
    /// Silence when meters switch themselves off.
    Off,
}

named!(Doubt {
    Frozen = "frozen",
    Zero = "zero",
    Reversed = "reversed",
    Unit = "unit",
    Off = "off",
});

impl Doubt {
    /// The question, with what to do.
    ///
    /// A blown fuse reads zero and starves the car, and ohms between the jacks tell it; meters
    /// that switch off after 15, 30 or 40 minutes keep on when a key is held at switch-on (both
    /// from meter manuals).
    pub const fn question(self) -> &'static str {
        match self {
            Self::Frozen => {
                "The meter shows the same to the last digit for minutes: is it on HOLD or \
                 MIN/MAX? A steady car can look like this too."
            }
            Self::Zero => {
                "THE METER READS EXACTLY ZERO after a real current: check the meter's fuse, ohms \
                 from the V jack to the A jack. A blown one also starves the car."
            }
            Self::Reversed => {
                "The current is negative: are the leads or the clamp the wrong way round, or is a \
                 charger on? The sign is kept as the meter gives it."
            }
            Self::Unit => {
                "The meter changed its unit, and the reading jumped with it: is the jump the \
                 car's? Look at the meter's display and jack before you call it a wake or a fall."
            }
            Self::Off => {
                "THE METER MAY HAVE SWITCHED ITSELF OFF: switch it on, and its auto power-off \
                 off; on many meters a key held at switch-on does so. Then look whether it stands \
                 on HOLD."
            }
        }
    }

    /// What to say when its cause is gone.
    pub const fn gone(self) -> &'static str {
        match self {
            Self::Frozen => "the reading varies again",
            Self::Zero => "the meter reads something again",
            Self::Reversed => "the current is positive again",
            Self::Unit => "the reading no longer jumps with the unit",
            Self::Off => "the meter sends again: look whether it stands on HOLD",
        }
    }

    /// Whether it is asked once and put away, because it may have a good answer; the others stay
    /// on the board until their cause is gone.
    pub const fn is_asked_once(self) -> bool {
        match self {
            Self::Frozen | Self::Reversed | Self::Unit => true,
            Self::Zero | Self::Off => false,
        }
    }
}
