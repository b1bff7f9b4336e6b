//! How a worker is asked to stop, and how it sleeps so that it can be.

use std::convert::Infallible;
use std::time::Duration;

use crossbeam_channel::{Receiver, RecvTimeoutError, Sender, TryRecvError};

use crate::reading::Elapsed;
use crate::shell::clock::Clock;

/// Held by whoever may stop the worker; dropping it stops.
#[derive(Debug)]
pub struct Halt(#[expect(dead_code, reason = "its end is the message")] Sender<Infallible>);

/// Held by the worker. Clones stop together.
#[derive(Clone, Debug)]
pub struct Stop(Receiver<Infallible>);

/// A pair of the two.
pub fn pair() -> (Halt, Stop) {
    let (halt, stop) = crossbeam_channel::bounded(0);
    (Halt(halt), Stop(stop))
}

impl Stop {
    /// Whether to stop now.
    pub fn is_set(&self) -> bool {
        match self.0.try_recv() {
            Ok(never) => match never {},
            Err(TryRecvError::Empty) => false,
            Err(TryRecvError::Disconnected) => true,
        }
    }

    /// Sleeps for `span`, or until stopped; `true` when stopped.
    pub fn wait(&self, span: Duration) -> bool {
        match self.0.recv_timeout(span) {
            Ok(never) => match never {},
            Err(RecvTimeoutError::Timeout) => false,
            Err(RecvTimeoutError::Disconnected) => true,
        }
    }

    /// Sleeps until the session reaches `t`, or until stopped; `true` when stopped.
    pub fn wait_until(&self, clock: &Clock, t: Elapsed) -> bool {
        loop {
            let left = clock.until(t);
            if left.is_zero() {
                return self.is_set();
            }
            if self.wait(left) {
                return true;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dropped_halt_ends_every_sleep() {
        let (halt, stop) = pair();
        let clock = Clock::start(Elapsed::ZERO, 1.0);
        assert!(!stop.wait_until(&clock, Elapsed::ZERO));
        drop(halt);
        assert!(stop.is_set());
        assert!(stop.wait(Duration::MAX));
        assert!(stop.wait_until(&clock, Elapsed::from_ms(i64::MAX)));
    }
}
