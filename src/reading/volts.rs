//! A voltage of the battery as its meter wrote it. A type of its own, so that no volt is ever
//! counted as an ampere.

use std::fmt;

use super::{Amps, AmpsError};

/// `digits` × 10^-`decimals` volt; the last written place is the meter's resolution.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Volts(Amps);

impl Volts {
    /// `digits` × 10^-`decimals` volt; `None` beyond twelve decimals.
    pub fn new(digits: i64, decimals: u8) -> Option<Self> {
        Amps::new(digits, decimals).map(Self)
    }

    /// What a decoder heard: [`Amps`] keeps any decimal number exactly, and here it counts volts.
    pub const fn heard(decimal: Amps) -> Self {
        Self(decimal)
    }

    /// Reads a number in units of 10^`exponent` volt; a float printed in full is cut to what a meter
    /// can have shown.
    ///
    /// # Errors
    /// [`AmpsError`] when it is no decimal number, or longer than any meter shows.
    ///
    /// ```
    /// use lullboard::reading::Volts;
    /// assert_eq!(Volts::parse_in("12.40", 0).unwrap().to_string(), "12.40");
    /// assert_eq!(Volts::parse_in("12410", -3).unwrap().to_string(), "12.410");
    /// ```
    pub fn parse_in(text: &str, exponent: i32) -> Result<Self, AmpsError> {
        Amps::parse_in(text, exponent).map(Self)
    }

    /// In volts.
    pub fn value_v(self) -> f64 {
        self.0.value_a()
    }

    /// The last written place, in volts.
    pub fn resolution_v(self) -> f64 {
        self.0.resolution_a()
    }
}

impl fmt::Display for Volts {
    /// The decimal number as the session file has it: every written place kept.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}
