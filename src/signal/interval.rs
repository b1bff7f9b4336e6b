//! How often readings come, and what silence is therefore a gap.

/// A gap is at least this long, whatever the meter's rate: a slow display may skip a beat.
const GAP_MIN_S: f64 = 5.0;
/// ... and this many usual intervals, so that a logger of one reading a minute has no gaps.
const GAP_INTERVALS: f64 = 4.0;
const LEARNING: f64 = 0.1;

/// The usual interval between readings.
#[derive(Clone, Copy, Debug, Default)]
pub struct Interval {
    usual_s: Option<f64>,
    /// The silence before the newest reading, if it was a gap.
    silent_s: Option<f64>,
}

impl Interval {
    /// Whether readings come so seldom that each is a second of its own.
    pub fn is_slow(&self) -> bool {
        self.usual_s.is_some_and(|usual_s| usual_s > GAP_MIN_S)
    }

    /// Takes the time since the last reading; `true` when evidence is missing in it.
    pub fn push(&mut self, span_s: f64) -> bool {
        let Some(usual_s) = self.usual_s else {
            self.usual_s = Some(span_s);
            return false;
        };
        let gap = span_s > GAP_MIN_S.max(GAP_INTERVALS * usual_s);
        let before_s = std::mem::replace(&mut self.silent_s, gap.then_some(span_s));
        if let (true, Some(before_s)) = (gap, before_s) {
            // A reading between two silences: from now on somebody types, or a logger is slow.
            self.usual_s = Some(span_s.min(before_s));
            self.silent_s = None;
            return false;
        }
        let heard_s = if gap { usual_s } else { span_s };
        self.usual_s = Some(usual_s + LEARNING * (heard_s - usual_s));
        gap
    }
}
