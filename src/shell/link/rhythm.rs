//! How often a meter sends, and after how long its silence is one.

/// Silence is worth a word after this, or after three of the meter's own periods.
const SILENCE_S: f64 = 3.0;
const SILENT_PERIODS: f64 = 3.0;

/// How often the meter sends: the middle one of its last five intervals.
#[derive(Debug, Default)]
pub(super) struct Rhythm {
    intervals_s: [f64; 5],
    next: usize,
}

impl Rhythm {
    /// Takes the seconds between two readings into account.
    pub(super) fn note(&mut self, interval_s: f64) {
        if let Some(slot) = self.intervals_s.get_mut(self.next) {
            *slot = interval_s;
        }
        self.next = self.next.saturating_add(1) % self.intervals_s.len();
    }

    /// After how many seconds silence is worth a word.
    pub(super) fn silence_s(&self) -> f64 {
        let mut sorted = self.intervals_s;
        sorted.sort_by(f64::total_cmp);
        let [_, _, middle_s, _, _] = sorted;
        SILENCE_S.max(SILENT_PERIODS * middle_s)
    }
}
