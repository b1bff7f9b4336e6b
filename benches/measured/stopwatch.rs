//! A stopwatch that stands still while others are at work on the machine: it counts what this thread
//! had of a core where the system tells it, else the wall's time.

use std::time::{Duration, Instant};

pub(crate) struct Stopwatch {
    wall: Instant,
    on_core: Option<Duration>,
}

impl Stopwatch {
    pub(crate) fn start() -> Self {
        Self {
            wall: Instant::now(),
            on_core: on_core(),
        }
    }

    pub(crate) fn seconds(&self) -> f64 {
        let on_core = on_core().zip(self.on_core);
        let on_core = on_core.and_then(|(now, from)| now.checked_sub(from));
        on_core.unwrap_or(self.wall.elapsed()).as_secs_f64()
    }
}

/// How long this thread has had a core so far.
#[cfg(unix)]
fn on_core() -> Option<Duration> {
    let told = rustix::time::clock_gettime(rustix::time::ClockId::ThreadCPUTime);
    Duration::try_from(told).ok()
}

#[cfg(not(unix))]
const fn on_core() -> Option<Duration> {
    None
}
