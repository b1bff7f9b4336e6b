//! Whether the car was left to sleep: its time-out runs from the lock, not from the first reading.
//!
//! A lock is marked, or the card says that the car was asleep. Without either a log may still tell:
//! it shows the car come down from awake by itself, or nothing in it was ever marked and the car is
//! not awake.

use crate::judge::hold::AWAKE_A;
use crate::session::Session;
use crate::session::mark::Did;

/// What the current has shown since the record began, or since the car was unlocked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Shown {
    /// Never as much as an awake car draws.
    Nothing,
    /// As much as an awake car.
    Awake,
    /// And then less, by itself.
    CameDown,
}

/// What is known of it so far.
#[derive(Clone, Copy, Debug)]
pub(super) struct Left {
    /// Somebody said so.
    locked: bool,
    /// Nobody marked anything in the whole record: a plain log.
    plain: bool,
    /// Something was taken out or put back: what falls then need not be a car that sleeps.
    tried: bool,
    shown: Shown,
}

impl Left {
    /// Before the first reading.
    pub(super) fn by_card(session: &Session) -> Self {
        let mut marks = session.marks().map(|placed| placed.mark.did);
        Self {
            locked: session.card().asleep_at_start.unwrap_or(false),
            plain: marks.all(|did| matches!(did, Did::Note | Did::Zero)),
            tried: false,
            shown: Shown::Nothing,
        }
    }

    /// Something was done.
    pub(super) const fn mark(&mut self, did: Did) {
        match did {
            Did::Lock => self.locked = true,
            Did::Unlock => (self.locked, self.shown) = (false, Shown::Nothing),
            Did::Pull | Did::Refit | Did::Unplug | Did::Plug | Did::Swap => self.tried = true,
            Did::Note | Did::Zero => {}
        }
    }

    /// The car draws this much now.
    pub(super) fn hear(&mut self, level_a: f64) {
        self.shown = match self.shown {
            Shown::Nothing if level_a >= AWAKE_A => Shown::Awake,
            Shown::Awake if level_a < AWAKE_A && !self.tried => Shown::CameDown,
            Shown::Nothing | Shown::Awake | Shown::CameDown => self.shown,
        };
    }

    /// Whether somebody said so.
    pub(super) const fn is_locked(self) -> bool {
        self.locked
    }

    /// Whether a car that draws this much counts as left alone.
    pub(super) fn is_left(self, level_a: Option<f64>) -> bool {
        let asleep = level_a.is_some_and(|level_a| level_a < AWAKE_A);
        self.locked || asleep && (self.shown == Shown::CameDown || self.plain)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRESH: Left = Left {
        locked: false,
        plain: false,
        tried: false,
        shown: Shown::Nothing,
    };

    #[test]
    fn a_car_that_comes_down_by_itself_was_left() {
        let mut left = FRESH;
        left.hear(2.8);
        assert!(!left.is_left(Some(2.8)));
        left.hear(0.2);
        assert!(left.is_left(Some(0.2)) && !left.is_left(Some(2.8)));
        left.mark(Did::Unlock);
        left.hear(0.2);
        assert!(!left.is_left(Some(0.2)));
        left.mark(Did::Lock);
        assert!(left.is_left(Some(2.8)));
    }

    #[test]
    fn a_fall_with_a_part_out_proves_no_lock() {
        let mut left = FRESH;
        left.hear(2.8);
        left.mark(Did::Pull);
        left.hear(2.8);
        left.hear(0.2);
        assert!(!left.is_left(Some(0.2)));
    }
}
