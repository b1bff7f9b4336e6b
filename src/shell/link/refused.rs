//! Counts the messages that were not understood between those that were, and says when that is
//! worth telling. Pure: times come in from outside.

use crate::reading::Elapsed;

/// Told at most this often.
const EVERY_S: f64 = 5.0;

/// How many were refused since the session began.
#[derive(Debug, Default)]
pub(super) struct Refused {
    /// The connection has given a message that made sense. What comes before it is the end of one
    /// that was joined midway, or another format.
    joined: bool,
    so_far: u64,
    told: u64,
    told_at: Option<Elapsed>,
}

impl Refused {
    pub(super) const fn made_sense(&mut self) {
        self.joined = true;
    }

    /// The connection is another one now.
    pub(super) const fn reconnected(&mut self) {
        self.joined = false;
    }

    /// One more.
    pub(super) const fn one(&mut self) {
        if self.joined {
            self.so_far = self.so_far.saturating_add(1);
        }
    }

    /// How many, when that has changed and was not told just now.
    pub(super) fn due(&mut self, t: Elapsed) -> Option<u64> {
        let just_now = |at: Elapsed| t.secs_since(at) < EVERY_S;
        if self.told_at.is_some_and(just_now) {
            return None;
        }
        let rest = self.rest()?;
        self.told_at = Some(t);
        Some(rest)
    }

    /// How many, when that has changed.
    pub(super) fn rest(&mut self) -> Option<u64> {
        let changed = self.told != self.so_far;
        self.told = self.so_far;
        changed.then_some(self.so_far)
    }
}
