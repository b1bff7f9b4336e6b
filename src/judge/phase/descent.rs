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

#[cfg(test)]
mod tests {
    use super::*;

    fn change(t_s: f64, from_a: f64, to_a: f64) -> Change {
        Change {
            t: Elapsed::from_secs(t_s),
            from_a,
            to_a,
            ramp: false,
            in_gap: false,
            allowance_a: 0.005,
        }
    }

    fn marked(did: Did, asleep: bool) -> Stirred {
        let beginning = Stirred::by_beginning(Elapsed::ZERO);
        let t = Elapsed::from_secs(60.0);
        Stirred::by_mark(Some(beginning), did, t, asleep, Some(2.0)).unwrap()
    }

    #[test]
    fn a_descent_is_counted_from_the_lock_to_the_last_fall() {
        let descent = marked(Did::Lock, false).down_by(&change(900.0, 0.2, 0.02));
        let expected = Descent {
            took_s: 840.0,
            whole: true,
        };
        assert_eq!(descent, Some(expected));
    }

    #[test]
    fn what_is_no_sleep_of_the_cars_own_is_no_descent() {
        let fall = change(900.0, 0.2, 0.02);
        assert_eq!(marked(Did::Lock, true).down_by(&fall), None);
        assert_eq!(marked(Did::Refit, false).down_by(&fall), None);
        assert_eq!(marked(Did::Pull, false).down_by(&fall), None);
        let rise = change(900.0, 0.02, 0.2);
        assert_eq!(marked(Did::Lock, false).down_by(&rise), None);
        let quiet = Stirred::by_beginning(Elapsed::ZERO);
        assert_eq!(quiet.down_by(&fall), None, "never seen awake");
    }

    /// A removal leaves the car alone: its time-out goes on.
    #[test]
    fn a_removal_does_not_disturb() {
        assert_eq!(marked(Did::Pull, false).t, Elapsed::ZERO);
        assert_eq!(marked(Did::Refit, false).t, Elapsed::from_secs(60.0));
    }
}
