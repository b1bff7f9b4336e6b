//! The only file that asks the time.
//!
//! Session time runs on a clock that neither jumps when the wall clock is set nor stops while
//! the machine sleeps. A rehearsal or a replay runs it faster.

#![expect(
    clippy::disallowed_methods,
    reason = "this file is where the time is asked"
)]

use std::time::{Duration, Instant};

use chrono::{DateTime, FixedOffset, Local};

use crate::reading::{Elapsed, number};

/// Tells session time. Clones tell the same time.
#[derive(Clone, Debug)]
pub struct Clock {
    started: Instant,
    base: Elapsed,
    speed: f64,
}

impl Clock {
    /// A clock that shows `base` now and runs `speed` times as fast as the wall clock.
    #[must_use]
    pub fn start(base: Elapsed, speed: f64) -> Self {
        Self {
            started: Instant::now(),
            base,
            speed: speed.max(1e-3),
        }
    }

    /// The present moment of the session.
    #[must_use]
    pub fn now(&self) -> Elapsed {
        self.base
            .plus_secs(self.started.elapsed().as_secs_f64() * self.speed)
    }

    /// How long to wait, in real time, until the session reaches `t`; zero when it has.
    #[must_use]
    pub fn until(&self, t: Elapsed) -> Duration {
        let ms = t.ms().saturating_sub(self.now().ms()).max(0);
        Duration::try_from_secs_f64(number::f64_from_i64(ms) / 1000.0 / self.speed)
            .unwrap_or(Duration::MAX)
    }

    /// How many times faster than the wall clock it runs.
    #[must_use]
    pub const fn speed(&self) -> f64 {
        self.speed
    }
}

/// The wall clock with the local offset.
#[must_use]
pub fn wall() -> DateTime<FixedOffset> {
    Local::now().fixed_offset()
}
