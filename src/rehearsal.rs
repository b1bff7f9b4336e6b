//! A simulated car, no hardware: seeded and repeatable, it obeys the marks. Pure: no clock, file
//! or thread; whoever runs a rehearsal says what time it is.
//!
//! A `story` describes a car, its fault and the hunt that finds it; a `Car` lives that story; a
//! `gauge` is the meter at its battery; `play` runs a whole hunt by itself; `hint` leads a
//! first-time user through one.

pub mod car;
mod gauge;
pub mod hints;
pub mod play;
pub mod stories;
pub mod story;

pub use car::Car;
pub use hints::{Hint, hint, lead};
pub use play::play;
pub use story::Story;
