//! Charge: the trapezoid rule over what was measured. Gaps are left out of charge and of time.

use super::gate::Sample;

/// Charge and the time in which it was measured.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Charge {
    last: Option<Sample>,
    /// In ampere-seconds.
    pub charge_as: f64,
    /// Seconds with evidence.
    pub measured_s: f64,
}

impl Charge {
    /// Adds the trapezoid up to this reading.
    pub fn push(&mut self, sample: Sample) {
        if let Some(last) = self.last.replace(sample) {
            let span_s = sample.t.secs_since(last.t);
            self.charge_as += span_s * (sample.a + last.a) / 2.0;
            self.measured_s += span_s;
        }
    }

    /// The next reading is not joined to the last.
    pub fn interrupt(&mut self) {
        self.last = None;
    }
}
