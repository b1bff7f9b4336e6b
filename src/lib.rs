//! lullboard: find what flattens a parked car's battery, and prove it.
//!
//! One room a module, imports downwards only (`tests/rooms.rs` checks it):
//! `shell` → `desk`, `screen`, `report`, `rehearsal`, `journal` → `judge` → `battery` → `session` →
//! `fuse`, `signal`, `meter` → `reading`; `chart`, on `reading` alone, serves `screen` and `report`.

// `json!` unfolds a judgement key by key.
#![recursion_limit = "256"]

pub mod battery;
pub mod chart;
pub mod desk;
pub mod fuse;
pub mod journal;
pub mod judge;
pub mod meter;
pub mod reading;
pub mod rehearsal;
pub mod report;
pub mod screen;
pub mod session;
pub mod shell;
pub mod signal;
