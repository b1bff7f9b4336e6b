//! The whole record in one line: lowest, highest and mean, and how much of it was never read. What
//! of it is settled is the judgement's work.

use crate::reading::number::f64_from_usize;
use crate::reading::quantity;
use crate::session::Session;

/// A hole shorter than this is a slow meter.
const HOLE_S: f64 = 1.0;

/// What every reading of a record together shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RecordSummary {
    /// The lowest and the highest reading, in ampere; `None` when there was none within range.
    ends_a: Option<(f64, f64)>,
    /// Whether any reading was beyond the meter's range: the true highest lies above the one read.
    over: bool,
    /// Mean over the time with readings, in ampere.
    mean_a: Option<f64>,
    /// From the first reading to the last, in seconds.
    span_s: f64,
    /// Of that without readings, in seconds.
    dark_s: f64,
    /// In how many holes.
    holes: usize,
    /// Whether more was read after the work was finished.
    goes_on: bool,
}

impl RecordSummary {
    /// Of this record.
    pub fn new(session: &Session) -> Self {
        let signal = session.signal();
        let blocks = signal.track().blocks();
        let ends = blocks.first().zip(signal.last_t());
        let span_s = ends.map_or(0.0, |(first, last)| last.secs_since(first.begins()));
        let extent = ends.and_then(|(first, last)| {
            // The end of a stretch is not in it.
            signal.track().extent(first.begins(), last.plus_secs(1.0))
        });
        let read = extent.filter(|extent| extent.min_a.is_finite() && extent.max_a.is_finite());
        let holes = blocks
            .iter()
            .zip(blocks.iter().skip(1))
            .filter(|(_, next)| next.is_after_gap())
            .map(|(block, next)| next.begins().secs_since(block.begins()) - 1.0)
            .filter(|hole_s| *hole_s >= HOLE_S);
        let holes: Vec<f64> = holes.collect();
        let charge = signal.charge();
        Self {
            ends_a: read.map(|extent| (f64::from(extent.min_a), f64::from(extent.max_a))),
            over: extent.is_some_and(|extent| extent.over),
            mean_a: (charge.measured_s > 0.0).then(|| charge.charge_as / charge.measured_s),
            span_s,
            dark_s: holes.iter().sum(),
            holes: holes.len(),
            goes_on: session
                .finished()
                .zip(signal.last_t())
                .is_some_and(|(finished, last)| last > finished),
        }
    }

    /// `lowest 20.1 mA, highest 5.12 A, mean 251 mA over 1 h 19 min`.
    pub fn in_words(&self) -> Option<String> {
        let ((low_a, high_a), mean_a) = self.ends_a.zip(self.mean_a)?;
        let above = if self.over { "above " } else { "" };
        let with_rest = if self.goes_on {
            ", what followed the finish included"
        } else {
            ""
        };
        Some(format!(
            "lowest {}, highest {above}{}, mean {} over {}{with_rest}",
            quantity::current(low_a),
            quantity::current(high_a),
            quantity::current(mean_a),
            quantity::span(self.span_s - self.dark_s)
        ))
    }

    /// `no readings for 3 h of 4 h 30 min (2 holes): what the car did then is not known`.
    pub fn unread_in_words(&self) -> Option<String> {
        let holes = match self.holes {
            0 => return None,
            1 => "1 hole".to_owned(),
            n => format!(
                "{n} holes, {} each on average",
                quantity::span(self.dark_s / f64_from_usize(n))
            ),
        };
        Some(format!(
            "no readings for {} of {} ({holes}): what the car did then is not known",
            quantity::span(self.dark_s),
            quantity::span(self.span_s)
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::header;
    use crate::reading::{Amps, Elapsed, Measured, Reading};
    use crate::session::entry::Entry;

    fn record(readings: impl IntoIterator<Item = (i64, f64)>) -> RecordSummary {
        let mut session = Session::new(header::unknown());
        for (s, a) in readings {
            session.apply(&Entry::reading(Reading {
                t: Elapsed::from_ms(s * 1000),
                value: Measured::Amps(Amps::rounded(a, 4)),
            }));
        }
        RecordSummary::new(&session)
    }

    /// Worked by hand: 30 mA for 100 s, then 130 mA for 100 s, one second between them.
    #[test]
    fn lowest_highest_and_mean_of_all_that_was_read() {
        let all = (0..=200).map(|s| (s, if s <= 100 { 0.03 } else { 0.13 }));
        assert_eq!(
            record(all).in_words().as_deref(),
            Some("lowest 30.0 mA, highest 130 mA, mean 79.8 mA over 3 min 20 s")
        );
        assert_eq!(record([]).in_words(), None);
    }

    #[test]
    fn a_hole_is_told_and_not_in_the_mean() {
        let whole = record((0..600).chain(11_400..12_000).map(|s| (s, 0.03)));
        let told = whole.unread_in_words().unwrap();
        assert!(
            told.starts_with("no readings for 3 h of 3 h 19 min (1 hole)"),
            "{told}"
        );
        assert!(whole.in_words().unwrap().contains("mean 30.0 mA"));
        assert_eq!(record((0..600).map(|s| (s, 0.03))).unread_in_words(), None);
    }
}
