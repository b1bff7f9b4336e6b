//! The only file that asks the time.
//!
//! Session time runs on a clock that neither jumps when the wall clock is set nor stops while
//! the machine sleeps. A rehearsal or a replay runs it faster. What the clocks say about sleep
//! and setting is read in `gaps`.

#![expect(
    clippy::disallowed_methods,
    reason = "this file is where the time is asked"
)]

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use chrono::{DateTime, FixedOffset, Local};

use super::gaps::ClockSample;
use crate::reading::{Elapsed, number};

/// Tells session time. Clones tell the same time.
#[derive(Clone, Debug)]
pub struct Clock {
    started: Duration,
    base: Elapsed,
    speed: f64,
    ahead_ms: Arc<AtomicI64>,
}

impl Clock {
    /// A clock that shows `base` now and runs `speed` times as fast as the wall clock.
    pub fn start(base: Elapsed, speed: f64) -> Self {
        Self {
            started: since_boot(),
            base,
            speed: speed.max(1e-3),
            ahead_ms: Arc::default(),
        }
    }

    /// A clock that shows `t` for ever: that of a record which does not go on.
    pub fn stopped(t: Elapsed) -> Self {
        Self {
            speed: 0.0,
            ..Self::start(t, 1.0)
        }
    }

    /// The present moment of the session.
    pub fn now(&self) -> Elapsed {
        let real = since_boot().saturating_sub(self.started);
        let own = self.base.plus_secs(real.as_secs_f64() * self.speed);
        let ahead_ms = self.ahead_ms.load(Ordering::Relaxed);
        Elapsed::from_ms(own.ms().saturating_add(ahead_ms))
    }

    /// Sets this clock and its clones to `t`: the record that they go by says so.
    pub fn set(&self, t: Elapsed) {
        let behind_ms = t.ms().saturating_sub(self.now().ms());
        self.ahead_ms.fetch_add(behind_ms, Ordering::Relaxed);
    }

    /// How long to wait, in real time, until the session reaches `t`; zero when it has.
    pub fn until(&self, t: Elapsed) -> Duration {
        let ms = t.ms().saturating_sub(self.now().ms()).max(0);
        if ms == 0 {
            return Duration::ZERO;
        }
        Duration::try_from_secs_f64(number::f64_from_i64(ms) / 1000.0 / self.speed)
            .unwrap_or(Duration::MAX)
    }

    /// How many times faster than the wall clock it runs.
    pub const fn speed(&self) -> f64 {
        self.speed
    }
}

/// Measures real time from when it was made; paces the drawing.
#[derive(Clone, Copy, Debug)]
pub struct Stopwatch(Instant);

impl Stopwatch {
    /// Starts at zero.
    pub fn start() -> Self {
        Self(Instant::now())
    }

    /// Real time since the start.
    pub fn elapsed(&self) -> Duration {
        self.0.elapsed()
    }
}

/// The wall clock with the local offset.
pub fn wall() -> DateTime<FixedOffset> {
    Local::now().fixed_offset()
}

/// How long ago `moment` was, in seconds; zero for one that has not come.
pub fn age_s(moment: SystemTime) -> f64 {
    let age = SystemTime::now().duration_since(moment);
    age.unwrap_or_default().as_secs_f64()
}

/// What all clocks of the machine show now.
pub fn sample() -> ClockSample {
    let wall = SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .unwrap_or_default();
    ClockSample {
        boot_s: since_boot().as_secs_f64(),
        mono_s: awake_since_boot().as_secs_f64(),
        wall_s: wall.as_secs_f64(),
    }
}

/// Time since the machine started, its sleep counted.
#[cfg(target_os = "linux")]
fn since_boot() -> Duration {
    duration(rustix::time::clock_gettime(rustix::time::ClockId::Boottime))
}

/// Time since the machine started, its sleep left out.
#[cfg(target_os = "linux")]
fn awake_since_boot() -> Duration {
    duration(rustix::time::clock_gettime(
        rustix::time::ClockId::Monotonic,
    ))
}

#[cfg(target_os = "linux")]
fn duration(spec: rustix::time::Timespec) -> Duration {
    // Both clocks count up from zero, so the fields are never negative.
    Duration::new(
        u64::try_from(spec.tv_sec).unwrap_or_default(),
        u32::try_from(spec.tv_nsec).unwrap_or_default(),
    )
}

/// Elsewhere there is one steady clock; whether it counts sleep is the system's affair.
#[cfg(not(target_os = "linux"))]
fn since_boot() -> Duration {
    static FIRST: std::sync::OnceLock<Instant> = std::sync::OnceLock::new();
    FIRST.get_or_init(Instant::now).elapsed()
}

#[cfg(not(target_os = "linux"))]
fn awake_since_boot() -> Duration {
    since_boot()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_starts_at_its_base_and_never_runs_backwards() {
        let clock = Clock::start(Elapsed::from_secs(91.0), 60.0);
        let first = clock.now();
        let second = clock.clone().now();
        assert!(first >= Elapsed::from_secs(91.0) && second >= first);
    }

    #[test]
    fn it_is_set_together_with_its_clones() {
        let clock = Clock::stopped(Elapsed::ZERO);
        let other = clock.clone();
        for t in [Elapsed::from_secs(90.0), Elapsed::from_secs(40.0)] {
            clock.set(t);
            assert_eq!((other.now(), clock.now()), (t, t));
        }
    }

    #[test]
    fn a_fast_clock_asks_for_a_short_wait() {
        let clock = Clock::start(Elapsed::ZERO, 60.0);
        let wait = clock.until(Elapsed::from_secs(3600.0));
        assert!(wait <= Duration::from_secs(60), "{wait:?}");
        assert_eq!(clock.until(Elapsed::from_secs(-1.0)), Duration::ZERO);
    }

    #[test]
    fn a_stopped_clock_never_reaches_anything_later() {
        let clock = Clock::stopped(Elapsed::from_secs(10.0));
        assert_eq!(clock.now(), Elapsed::from_secs(10.0));
        assert_eq!(clock.until(Elapsed::from_secs(10.5)), Duration::MAX);
        assert_eq!(clock.until(Elapsed::from_secs(9.0)), Duration::ZERO);
    }
}
