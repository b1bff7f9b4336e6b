//! How a car comes down by itself, from what kept it awake to its last fall.
//!
//! A removal or a refit begins no descent: a car sleeps sooner without a part that keeps it awake,
//! and one module that starts up sleeps sooner than the whole car.

use crate::judge::hold::AWAKE_A;
use crate::reading::Elapsed;
use crate::session::mark::Did;
use crate::signal::Change;

/// How long a car took to come down to a level by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Descent {
    /// From what kept it awake to its last fall, in seconds.
    pub took_s: f64,
    /// Whether what kept it awake was seen: the record may begin in the middle of a descent.
    pub whole: bool,
}

/// What last disturbed a car, and so what it comes down from. A rise while it is awake is none:
/// what keeps a car awake may rise and fall by itself.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stirred {
    /// When.
    pub(super) t: Elapsed,
    seen: bool,
    /// Whether the car has drawn as much as one that is awake since.
    awake: bool,
    /// Whether a sleep from here on is the car's own.
    own: bool,
}

impl Stirred {
    /// The record begins.
    pub(super) const fn by_beginning(t: Elapsed) -> Self {
        Self {
            t,
            seen: false,
            awake: false,
            own: true,
        }
    }

    /// The current rose out of a settled level.
    pub(super) const fn by_rise(change: &Change) -> Self {
        Self {
            t: change.t,
            seen: true,
            awake: change.to_a >= AWAKE_A,
            own: true,
        }
    }

    /// What a mark made at `t` leaves of `before`. Locking a car that is asleep wakes it for a
    /// moment only, and a removal disturbs nothing, but what sleeps after it may sleep because of
    /// it.
    pub(super) fn by_mark(
        before: Option<Self>,
        did: Did,
        t: Elapsed,
        asleep: bool,
        level_a: Option<f64>,
    ) -> Option<Self> {
        if did.removes() {
            return before.map(|stirred| Self {
                own: false,
                ..stirred
            });
        }
        Some(Self {
            t,
            seen: true,
            awake: level_a.is_some_and(|a| a >= AWAKE_A),
            own: did == Did::Unlock || did == Did::Lock && !asleep,
        })
    }

    /// The car draws this much now.
    pub(super) fn hear(&mut self, level_a: f64) {
        self.awake |= level_a >= AWAKE_A;
    }

    /// The descent that ended with `last`, the change that began the present level.
    pub(super) fn down_by(&self, last: &Change) -> Option<Descent> {
        let fell = last.to_a < last.from_a && !last.in_gap;
        (self.own && self.awake && fell).then_some(Descent {
            took_s: last.t.secs_since(self.t),
            whole: self.seen,
        })
    }
}
