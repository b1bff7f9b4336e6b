//! The targets as a library, so that each bin is one line.

pub mod targets;
