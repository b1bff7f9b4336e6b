//! The invented cars, one a file of numbers in `assets/stories`. No brand, no real car.
//!
//! Levels and times are of the size that trade sources give for staged sleep (amperes, then
//! hundreds of milliamperes, then 20-30 mA), only faster: a hunt must fit a coffee break.

use std::sync::LazyLock;

use super::story::Story;

/// A healthy car that stands still above the limit for a quarter of an hour before it sleeps.
pub static FALSE_FLOOR: LazyLock<Story> =
    LazyLock::new(|| read(include_str!("../../assets/stories/false-floor.toml")));
/// Two parts on one fuse: the one that draws is kept awake by the other.
pub static LATE_FALL: LazyLock<Story> =
    LazyLock::new(|| read(include_str!("../../assets/stories/late-fall.toml")));
/// A car that sleeps below the limit, and wakes for a moment again and again.
pub static SHORT_WAKES: LazyLock<Story> =
    LazyLock::new(|| read(include_str!("../../assets/stories/short-wakes.toml")));
/// A plain load that never goes out, and a repair for which the car must be opened.
pub static STEADY_DRAW: LazyLock<Story> =
    LazyLock::new(|| read(include_str!("../../assets/stories/steady-draw.toml")));
/// One load that two boxes feed, and a module with two supplies that shows nothing.
pub static TWO_BOXES: LazyLock<Story> =
    LazyLock::new(|| read(include_str!("../../assets/stories/two-boxes.toml")));

/// The story to begin with when the user names none: it shows the most of the job.
pub static DEFAULT: &LazyLock<Story> = &LATE_FALL;

/// Every story, the gentlest first.
pub fn all() -> [&'static Story; 5] {
    [
        &FALSE_FLOOR,
        &STEADY_DRAW,
        &LATE_FALL,
        &TWO_BOXES,
        &SHORT_WAKES,
    ]
}

/// The story of this name.
pub fn find(name: &str) -> Option<&'static Story> {
    all().into_iter().find(|story| story.name == name)
}

fn read(told: &'static str) -> Story {
    toml::from_str(told).expect("a story is built in, and every one is read in the tests")
}

#[cfg(test)]
mod tests;
