//! Fuses: the car's own map of them.

pub mod map;
