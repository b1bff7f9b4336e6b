//! The invented cars, one a file: tables of numbers, no logic. No brand, no real car.
//!
//! Levels and times are of the size that trade sources give for staged sleep (amperes, then
//! hundreds of milliamperes, then 20-30 mA), only faster: a hunt must fit a coffee break.

mod false_floor;
mod late_fall;
mod short_wakes;
mod steady_draw;
mod two_boxes;

pub use false_floor::FALSE_FLOOR;
pub use late_fall::LATE_FALL;
pub use short_wakes::SHORT_WAKES;
pub use steady_draw::STEADY_DRAW;
pub use two_boxes::TWO_BOXES;

use super::story::wiring::Surge;
use super::story::{Meter, MeterNoise, Story};
use crate::session::card::Accuracy;

/// Every story, the gentlest first.
pub static ALL: [&Story; 5] = [
    &FALSE_FLOOR,
    &STEADY_DRAW,
    &LATE_FALL,
    &TWO_BOXES,
    &SHORT_WAKES,
];

/// The story to begin with when the user names none: it shows the most of the job.
pub static DEFAULT: &Story = &LATE_FALL;

/// The story of this name.
#[must_use]
pub fn find(name: &str) -> Option<&'static Story> {
    ALL.into_iter().find(|story| story.name == name)
}

/// A hand-held meter in series on its 10 A range, 1 mA display.
const HAND_METER: Meter = Meter {
    decimals: 3,
    range_a: 10.0,
    accuracy: Accuracy {
        percent: 1.0,
        counts: 3.0,
        amount_a: 0.0,
    },
    period_s: 0.5,
    jitter_s: 0.02,
    noise: MeterNoise {
        white_a: 0.000_6,
        wander_a: 0.000_4,
        wander_s: 2.0,
        share: 0.006,
    },
};

/// Four door latches at once: beyond the meter's range for a reading or two.
const LATCHES: Surge = Surge {
    a: 14.0,
    for_s: 0.8,
};

/// A control unit charging its capacitors.
const BOOT: Surge = Surge { a: 1.6, for_s: 1.2 };

/// The start-up of a small one.
const SMALL_BOOT: Surge = Surge { a: 0.5, for_s: 0.8 };

#[cfg(test)]
mod tests;
