//! The desk: what the technician is doing with the session. `Model::update` takes messages and
//! answers with effects; no clock, no file, no screen.

pub mod effect;
pub mod message;
