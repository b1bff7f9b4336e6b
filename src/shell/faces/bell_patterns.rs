//! The bell as patterns, so that hands in the footwell know what happened: how often it beats, and
//! how fast. No thread and no waiting here: the loop asks what is due.

use std::collections::VecDeque;
use std::time::Duration;

use crate::desk::Bell;
use crate::shell::clock::Stopwatch;

/// Between two patterns, so that they do not run into one.
const REST_MS: u64 = 700;

/// More than this waiting is a flood that nobody can tell apart any more.
const MOST: usize = 24;

/// When a pattern beats, in milliseconds from its start. Few and slow is good news, many and fast
/// is bad.
const fn pattern(bell: Bell) -> &'static [u64] {
    match bell {
        Bell::PullSeen => &[0],
        Bell::Finding => &[0, 250],
        Bell::Settled => &[0, 600, 1200],
        Bell::Called => &[0, 900],
        Bell::Wake => &[0, 200, 400, 600],
        Bell::MeterLost => &[0, 200, 400, 1000, 1200, 1400],
        Bell::ReadingDue => &[0, 500],
    }
}

/// The beats still to come.
#[derive(Debug)]
pub(super) struct BellPatterns {
    watch: Stopwatch,
    beats: VecDeque<Duration>,
}

impl Default for BellPatterns {
    fn default() -> Self {
        Self {
            watch: Stopwatch::start(),
            beats: VecDeque::new(),
        }
    }
}

impl BellPatterns {
    /// Adds a pattern behind those that still sound.
    pub(super) fn add(&mut self, bell: Bell) {
        self.add_at(bell, self.watch.elapsed());
    }

    fn add_at(&mut self, bell: Bell, now: Duration) {
        if self.beats.len() >= MOST {
            return;
        }
        let rest = Duration::from_millis(REST_MS);
        let start = self.beats.back().map_or(now, |last| *last + rest);
        let beats = pattern(bell).iter().copied().map(Duration::from_millis);
        self.beats.extend(beats.map(|beat| start + beat));
    }

    /// Takes the beats whose time has come and says how many they are.
    pub(super) fn due(&mut self) -> usize {
        self.due_at(self.watch.elapsed())
    }

    fn due_at(&mut self, now: Duration) -> usize {
        let due = self.beats.iter().take_while(|beat| **beat <= now).count();
        self.beats.drain(..due);
        due
    }

    /// How long until the next beat.
    pub(super) fn until_next(&self) -> Option<Duration> {
        let next = self.beats.front()?;
        Some(next.saturating_sub(self.watch.elapsed()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [Bell; 7] = [
        Bell::Settled,
        Bell::Wake,
        Bell::PullSeen,
        Bell::Finding,
        Bell::Called,
        Bell::MeterLost,
        Bell::ReadingDue,
    ];

    #[test]
    fn no_two_occasions_sound_the_same() {
        for (n, one) in ALL.iter().enumerate() {
            for other in &ALL[n + 1..] {
                assert_ne!(pattern(*one), pattern(*other), "{one:?} {other:?}");
            }
        }
    }

    #[test]
    fn two_patterns_come_one_after_the_other_and_each_beat_once() {
        let mut bell = BellPatterns::default();
        let ms = Duration::from_millis;
        bell.add_at(Bell::Finding, ms(1000));
        bell.add_at(Bell::PullSeen, ms(1000));
        let heard: Vec<usize> = (0..12)
            .map(|tenths| bell.due_at(ms(1000 + tenths * 100)))
            .collect();
        assert_eq!(heard, [1, 0, 0, 1, 0, 0, 0, 0, 0, 0, 1, 0]);
        assert_eq!(bell.until_next(), None);
    }

    #[test]
    fn a_flood_ends() {
        let mut bell = BellPatterns::default();
        for _ in 0..1000 {
            bell.add_at(Bell::MeterLost, Duration::ZERO);
        }
        assert!(bell.beats.len() < MOST + 6);
    }
}
