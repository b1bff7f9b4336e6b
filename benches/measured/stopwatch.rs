//! A stopwatch that stands still while others are at work on the machine: it counts what this thread
//! had of a core where the system tells it (Linux), else the wall's time.

use std::time::Instant;

pub(crate) struct Stopwatch {
    wall: Instant,
    on_core_ns: Option<f64>,
}

impl Stopwatch {
    pub(crate) fn start() -> Self {
        Self {
            wall: Instant::now(),
            on_core_ns: on_core_ns(),
        }
    }

    pub(crate) fn seconds(&self) -> f64 {
        match (self.on_core_ns, on_core_ns()) {
            (Some(from), Some(to)) => (to - from) / 1e9,
            _ => self.wall.elapsed().as_secs_f64(),
        }
    }
}

/// How long this thread has had a core so far; told to a few milliseconds.
fn on_core_ns() -> Option<f64> {
    let told = std::fs::read_to_string("/proc/self/schedstat").ok()?;
    told.split(' ').next()?.parse().ok()
}
