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
}

impl Interval {
    /// Takes the time since the last reading; `true` when evidence is missing in it.
    pub fn push(&mut self, span_s: f64) -> bool {
        let Some(usual_s) = self.usual_s else {
            self.usual_s = Some(span_s);
            return false;
        };
        let gap = span_s > GAP_MIN_S.max(GAP_INTERVALS * usual_s);
        let heard_s = if gap { usual_s } else { span_s };
        self.usual_s = Some(usual_s + LEARNING * (heard_s - usual_s));
        gap
    }
}
