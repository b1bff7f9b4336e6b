//! When the journal thread wakes: in time for the next sync, and for each reading unless nobody
//! watches them come slowly.

use std::time::Duration;

use crate::shell::clock::Stopwatch;

/// Readings are on disk, a full disk is tried again, and the file is looked for, at least this often: with
/// a tenth of a second for the sync itself no power cut takes more than a second.
const SYNC_EVERY: Duration = Duration::from_millis(850);

/// While nothing comes there is nothing to sync, and the file is still looked for.
const LOOK_EVERY: Duration = Duration::from_secs(1);

/// Readings are slow when no more than this come between two syncs: their way to the writer holds a
/// thousand.
const SLOW: usize = 32;

/// Keeps the time of syncs, tried ones too.
#[derive(Debug)]
pub(super) struct Pace {
    since_tried: Stopwatch,
    /// How many entries came from the meters since then.
    came: usize,
    is_slow: bool,
    is_unwatched: bool,
}

impl Pace {
    pub(super) fn start() -> Self {
        Self {
            since_tried: Stopwatch::start(),
            came: 0,
            is_slow: false,
            is_unwatched: false,
        }
    }

    /// Nobody watches from now on.
    pub(super) const fn leave_unwatched(&mut self) {
        self.is_unwatched = true;
    }

    /// Whether what comes from the meters, their own events too, waits for the next sync: waking for each
    /// reading is most of what such a record costs.
    pub(super) const fn gathers(&self) -> bool {
        self.is_unwatched && self.is_slow
    }

    /// How long until the next sync, or the next look where all that was told is on disk.
    pub(super) fn until_sync(&self, is_at_rest: bool) -> Duration {
        let idle = is_at_rest && !self.gathers();
        let every = if idle { LOOK_EVERY } else { SYNC_EVERY };
        every.saturating_sub(self.since_tried.elapsed())
    }

    /// So many entries of the meters are about to be written.
    pub(super) const fn came(&mut self, readings: usize) {
        self.came = self.came.saturating_add(readings);
    }

    /// What was due has been tried.
    pub(super) fn tried(&mut self) {
        self.since_tried = Stopwatch::start();
        self.is_slow = (1..=SLOW).contains(&std::mem::take(&mut self.came));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_slow_readings_that_nobody_watches_wait_for_the_sync() {
        for (came, is_slow) in [(0, false), (1, true), (SLOW, true), (SLOW + 1, false)] {
            let mut pace = Pace::start();
            pace.leave_unwatched();
            pace.came(came);
            assert!(!pace.gathers(), "before the first sync nobody knows");
            pace.tried();
            assert_eq!(pace.gathers(), is_slow, "{came}");
            pace.came(5000);
            pace.tried();
            assert!(!pace.gathers(), "a flood ends it at the next sync");
        }
    }

    #[test]
    fn where_somebody_watches_nothing_waits() {
        let mut pace = Pace::start();
        pace.came(1);
        pace.tried();
        assert!(!pace.gathers());
    }
}
