//! Bytes that make no sense so far: when they are called unreadable, and in which words. Pure: times
//! come in from outside.

use crate::meter::sample::{SAMPLE, hex, shown};
use crate::reading::Elapsed;

/// Rejected bytes or seconds after which the bytes are called unreadable.
const PUZZLED_BYTES: usize = 64;
const PUZZLED_S: f64 = 3.0;
/// Lines that are text but no readings are given longer: a board may talk while it starts.
const CHATTER_S: f64 = 10.0;

/// Bytes since the last that made sense.
#[derive(Debug)]
pub(super) struct Puzzle {
    since: Elapsed,
    bytes: usize,
    rejected: Option<Vec<u8>>,
    /// What is not known of them, where the format says so.
    why: Option<&'static str>,
}

impl Puzzle {
    pub(super) const fn new(since: Elapsed) -> Self {
        Self {
            since,
            bytes: 0,
            rejected: None,
            why: None,
        }
    }

    /// So many more bytes.
    pub(super) const fn more(&mut self, count: usize) {
        self.bytes = self.bytes.saturating_add(count);
    }

    /// The decoder refused these.
    pub(super) fn rejected(&mut self, sample: Vec<u8>, why: Option<&'static str>) {
        self.rejected = Some(sample);
        self.why = why;
    }

    /// Once it has gone on for long: what came, last of all `bytes`, and the mend.
    pub(super) fn in_words(&self, t: Elapsed, bytes: &[u8], mend: &str) -> Option<String> {
        let for_s = t.secs_since(self.since);
        let many = self.bytes >= PUZZLED_BYTES;
        match &self.rejected {
            Some(sample) if many || for_s >= PUZZLED_S => Some(self.words(sample, mend)),
            None if many && for_s >= CHATTER_S => {
                let sample = bytes.get(..SAMPLE).unwrap_or(bytes);
                Some(self.words(sample, mend))
            }
            Some(_) | None => None,
        }
    }

    fn words(&self, sample: &[u8], mend: &str) -> String {
        if let Some(why) = self.why {
            return format!("{} is refused: {why}", hex(sample));
        }
        let shown = shown(sample);
        if shown.starts_with('\'') {
            format!("{shown} names no one current: add column=, field= or unit= to the meter URI")
        } else {
            format!("{shown} is no reading: {mend}")
        }
    }
}
