//! The 12 V lead-acid battery: what its rest voltage, its printed sizes and its temperature say,
//! and how long it stands. Pure arithmetic over the tables in `assets/`.
//!
//! Sources disagree, so every figure that rests on them is a band. No judgement of a car here:
//! `judge` brings the measured current.

pub mod capacity;
pub mod fall;
pub mod implied;
pub mod standing;
pub mod temperature;
pub mod voltage;
