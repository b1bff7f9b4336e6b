//! A two-sided cumulative sum ("Continuous inspection schemes", Biometrika 41, 1954, 100): many
//! small deviations to one side say together what none says alone.

/// Reference value, in units of what a value may stray: less than this each time is forgiven.
pub const SLACK: f64 = 0.5;
/// Decision interval, in the same units.
pub const TRIP: f64 = 4.0;

/// The two sums.
#[derive(Clone, Copy, Debug, Default)]
pub struct Cusum {
    rise: f64,
    fall: f64,
}

impl Cusum {
    /// Takes a deviation, in units of what a value may stray; `true` when a sum trips.
    pub const fn push(&mut self, off: f64) -> bool {
        self.rise = (self.rise + off - SLACK).max(0.0);
        self.fall = (self.fall - off - SLACK).max(0.0);
        self.rise.max(self.fall) > TRIP
    }
}
