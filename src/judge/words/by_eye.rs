//! Readings typed from a display: how sure what they show can be.

/// What typed readings can show, and what a cable to the meter would add.
pub const HOW_SURE: &str = "Read by eye, the current is as sure as the meter, but a wake between two \
    readings is not seen and a fall is timed only to the next one: a meter with a cable would show both.";
