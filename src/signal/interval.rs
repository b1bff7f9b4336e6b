//! How often readings come, and what silence is therefore a gap.

/// A gap is at least this long, whatever the meter's rate: a slow display may skip a beat.
const GAP_MIN_S: f64 = 5.0;
/// ... and this many usual intervals, so that a logger of one reading a minute has no gaps.
const GAP_INTERVALS: f64 = 4.0;
const LEARNING: f64 = 0.1;

/// Somebody who reads a display types when it is asked for, twice late at most (common practice, no
/// source): the longest pace of `desk::typing` is half of this.
const BY_EYE_GAP_S: f64 = 1200.0;

/// The usual interval between readings.
#[derive(Clone, Copy, Debug, Default)]
pub struct Interval {
    usual_s: Option<f64>,
    /// Whether the readings are typed from a display.
    by_eye: bool,
    /// The silence before the newest reading, if it was a gap.
    silent_s: Option<f64>,
}

impl Interval {
    /// For readings that are typed from a display, close after a deed and seldom in a long wait.
    pub fn by_eye() -> Self {
        Self {
            by_eye: true,
            ..Self::default()
        }
    }

    /// Whether readings come so seldom that each is a second of its own.
    pub fn is_slow(&self) -> bool {
        self.by_eye || self.usual_s.is_some_and(|usual_s| usual_s > GAP_MIN_S)
    }

    /// Takes the time since the last reading; `true` when evidence is missing in it.
    pub fn push(&mut self, span_s: f64) -> bool {
        if self.by_eye {
            return span_s > BY_EYE_GAP_S;
        }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readings_typed_from_a_display_may_come_close_and_then_seldom() {
        let gaps = |mut interval: Interval, spans_s: &[f64]| -> Vec<bool> {
            spans_s
                .iter()
                .map(|span_s| interval.push(*span_s))
                .collect()
        };
        let spans_s = [10.0, 60.0, 60.0, 600.0, 10.0, 1500.0];
        let typed = gaps(Interval::by_eye(), &spans_s);
        assert_eq!(typed, [false, false, false, false, false, true]);
        assert!(gaps(Interval::default(), &spans_s).contains(&true));
        assert!(Interval::by_eye().is_slow());
    }
}
