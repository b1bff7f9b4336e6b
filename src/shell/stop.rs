//! How a worker is asked to stop, and how it sleeps so that it can be.

use std::convert::Infallible;
use std::time::Duration;

use crossbeam_channel::{Receiver, RecvTimeoutError, Sender, TryRecvError};

use crate::reading::Elapsed;
use crate::shell::clock::Clock;

/// Held by whoever may stop the worker; dropping it stops.
#[derive(Debug)]
pub struct Halt {
    stop: Sender<Infallible>,
    ended: Receiver<Infallible>,
}

/// Held by the worker until it ends. Clones stop together.
#[derive(Clone, Debug)]
pub struct Stop {
    halted: Receiver<Infallible>,
    #[expect(dead_code, reason = "its end is the message")]
    working: Sender<Infallible>,
}

/// A pair of the two.
pub fn pair() -> (Halt, Stop) {
    let (stop, halted) = crossbeam_channel::bounded(0);
    let (working, ended) = crossbeam_channel::bounded(0);
    (Halt { stop, ended }, Stop { halted, working })
}

impl Halt {
    /// Stops the worker and waits for its end, no longer than `patience`: a far instrument that takes
    /// no bytes, or a name that nobody resolves, holds its thread up for longer than a user waits.
    pub fn end_within(self, patience: Duration) {
        drop(self.stop);
        // Either it has ended, or nobody waits for it any more.
        let _ = self.ended.recv_timeout(patience);
    }
}

impl Stop {
    /// Whether to stop now.
    pub fn is_set(&self) -> bool {
        match self.halted.try_recv() {
            Ok(never) => match never {},
            Err(TryRecvError::Empty) => false,
            Err(TryRecvError::Disconnected) => true,
        }
    }

    /// Sleeps for `span`, or until stopped; `true` when stopped.
    pub fn wait(&self, span: Duration) -> bool {
        match self.halted.recv_timeout(span) {
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
    fn a_worker_that_ends_is_waited_for_and_one_that_never_does_is_left() {
        let (halt, stop) = pair();
        std::thread::scope(|threads| {
            threads.spawn(move || stop.wait(Duration::MAX));
            halt.end_within(Duration::MAX);
        });
        let (halt, deaf) = pair();
        halt.end_within(Duration::from_millis(1));
        assert!(deaf.is_set());
    }

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
