//! Fuses: the car's own map of them, what the resistance of one is, and which current the
//! millivolts across it mean. Pure; nothing of a session here.

pub mod blade;
pub mod drop;
pub mod map;
pub mod sweep;

pub use blade::Style;
pub use drop::{Millivolts, MvAccuracy};
