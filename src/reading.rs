//! The words all rooms share: when (`Elapsed`), how much (`Amps`), and one value from the meter
//! (`Reading`).
//!
//! No file, clock, port or screen here. Text with units is read in `amount`; the few lossy number
//! conversions of the program stand in `number`, means and medians in `statistics`.

pub mod amount;
pub mod band;
pub mod csv_rows;
pub(crate) mod named;
pub mod number;
pub mod quantity;
pub mod sanitize;
pub mod statistics;
pub mod table;
pub mod volts;

pub use amount::AmountError;
pub use band::Band;
pub use csv_rows::{CsvError, CsvRow, CsvRows, Expected};
pub(crate) use named::named;
pub use volts::Volts;

use std::fmt;

/// A moment of the session: whole milliseconds since it began.
///
/// Negative only in records made elsewhere whose first row lies before their own zero.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Elapsed(i64);

impl Elapsed {
    /// The beginning of the session.
    pub const ZERO: Self = Self(0);

    /// The moment `ms` milliseconds after the session began.
    pub const fn from_ms(ms: i64) -> Self {
        Self(ms)
    }

    /// The moment `secs` seconds after the session began, to the nearest millisecond.
    pub fn from_secs(secs: f64) -> Self {
        Self(number::round_to_i64(secs * 1000.0))
    }

    /// Milliseconds since the session began.
    pub const fn ms(self) -> i64 {
        self.0
    }

    /// Seconds since the session began.
    pub fn secs(self) -> f64 {
        number::f64_from_i64(self.0) / 1000.0
    }

    /// Seconds from `earlier` to `self`; negative when `earlier` is the later one.
    ///
    /// ```
    /// use lullboard::reading::Elapsed;
    /// let pull = Elapsed::from_secs(91.25);
    /// assert!((pull.secs_since(Elapsed::from_secs(90.0)) - 1.25).abs() < 1e-9);
    /// ```
    pub fn secs_since(self, earlier: Self) -> f64 {
        number::f64_from_i64(self.0.saturating_sub(earlier.0)) / 1000.0
    }

    /// The moment `secs` seconds later (earlier when negative), to the nearest millisecond.
    #[must_use]
    pub fn plus_secs(self, secs: f64) -> Self {
        Self(self.0.saturating_add(number::round_to_i64(secs * 1000.0)))
    }
}

impl fmt::Display for Elapsed {
    /// Seconds with the milliseconds written out, as the session file has them: `91.000`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 < 0 { "-" } else { "" };
        let ms = self.0.unsigned_abs();
        write!(f, "{sign}{}.{:03}", ms / 1000, ms % 1000)
    }
}

/// A current as the meter wrote it: `digits` × 10^-`decimals` ampere.
///
/// Kept as decimal text and not as a float, because the last written place is the meter's
/// resolution: 12.340 mA and 12.34 mA are the same current known to different fineness.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Amps {
    digits: i64,
    decimals: u8,
}

/// Why a text is not a current.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum AmpsError {
    /// Not a decimal number.
    #[error("not a decimal number")]
    NotANumber,
    /// A number, but with more digits or a larger exponent than any ammeter has.
    #[error("more digits than an ammeter has")]
    TooLong,
}

impl Amps {
    /// No meter shows more places than this; a longer tail is a float printed in full.
    const MAX_DECIMALS: u8 = 12;

    /// `digits` × 10^-`decimals` ampere; `None` beyond twelve decimals.
    pub const fn new(digits: i64, decimals: u8) -> Option<Self> {
        if decimals > Self::MAX_DECIMALS {
            None
        } else {
            Some(Self { digits, decimals })
        }
    }

    /// The current nearest to `value_a` with this many decimals; for simulated meters.
    pub fn rounded(value_a: f64, decimals: u8) -> Self {
        let decimals = decimals.min(Self::MAX_DECIMALS);
        let digits = number::round_to_i64(value_a * 10f64.powi(i32::from(decimals)));
        // The least number of all has no counterpart above zero, and is not read back.
        let digits = digits.max(-i64::MAX);
        Self { digits, decimals }
    }

    /// Reads a plain decimal number of ampere, with an optional exponent: `1.874`, `-1.2E-2`.
    ///
    /// # Errors
    /// [`AmpsError::NotANumber`] for anything else, blanks included; [`AmpsError::TooLong`] when
    /// it does not fit.
    ///
    /// ```
    /// use lullboard::reading::Amps;
    /// assert_eq!(Amps::parse("12.340e-3").unwrap().to_string(), "0.012340");
    /// assert!(Amps::parse("0x1F").is_err());
    /// ```
    pub fn parse(text: &str) -> Result<Self, AmpsError> {
        let (mantissa, exponent) = match text.split_once(['e', 'E']) {
            Some((mantissa, exponent)) => {
                let exponent: i32 = exponent.parse().map_err(|_| AmpsError::NotANumber)?;
                (mantissa, exponent)
            }
            None => (text, 0),
        };
        let (whole, fraction) = mantissa.split_once('.').unwrap_or((mantissa, ""));
        let (negative, whole) = match whole.strip_prefix('-') {
            Some(rest) => (true, rest),
            None => (false, whole.strip_prefix('+').unwrap_or(whole)),
        };
        if whole.is_empty() && fraction.is_empty() {
            return Err(AmpsError::NotANumber);
        }
        let mut digits: i64 = 0;
        for c in whole.chars().chain(fraction.chars()) {
            let digit = c.to_digit(10).ok_or(AmpsError::NotANumber)?;
            digits = digits
                .checked_mul(10)
                .and_then(|d| d.checked_add(i64::from(digit)))
                .ok_or(AmpsError::TooLong)?;
        }
        let decimals = u8::try_from(fraction.len()).map_err(|_| AmpsError::TooLong)?;
        let signed = if negative { -digits } else { digits };
        Self::shifted(signed, i32::from(decimals), exponent).ok_or(AmpsError::TooLong)
    }

    /// Reads a number of units of 10^`exponent` ampere, as [`Amps::parse`] does.
    ///
    /// A float printed in full ("0.051999999999999998") has more places than any meter: it is taken
    /// to the pico-ampere.
    ///
    /// # Errors
    /// As [`Amps::parse`].
    pub fn parse_in(text: &str, exponent: i32) -> Result<Self, AmpsError> {
        /// Far above any current in a car, and its pico-ampere still fit into the digits.
        const LARGEST_A: f64 = 1e6;
        let written = Self::parse(text)
            .and_then(|amps| amps.times_ten_to(exponent).ok_or(AmpsError::TooLong));
        if written != Err(AmpsError::TooLong) {
            return written;
        }
        match text.parse::<f64>() {
            Ok(value) if (value * 10f64.powi(exponent)).abs() < LARGEST_A => {
                let value_a = value * 10f64.powi(exponent);
                Ok(Self::rounded(value_a, Self::MAX_DECIMALS))
            }
            Ok(_) | Err(_) => Err(AmpsError::TooLong),
        }
    }

    /// The same digits read in a unit 10^`exponent` ampere large (milliampere: -3).
    ///
    /// `None` when the result has more places or digits than fit.
    pub fn times_ten_to(self, exponent: i32) -> Option<Self> {
        Self::shifted(self.digits, i32::from(self.decimals), exponent)
    }

    fn shifted(digits: i64, decimals: i32, exponent: i32) -> Option<Self> {
        let places = decimals.checked_sub(exponent)?;
        if let Ok(places) = u8::try_from(places) {
            return Self::new(digits, places);
        }
        let zeros = u32::try_from(places.checked_neg()?).ok()?;
        let digits = digits.checked_mul(10i64.checked_pow(zeros)?)?;
        Self::new(digits, 0)
    }

    /// The current in ampere.
    pub fn value_a(self) -> f64 {
        number::f64_from_i64(self.digits) / self.units_an_ampere()
    }

    /// Each of them is exact; a power is asked for with every reading.
    fn units_an_ampere(self) -> f64 {
        const POWERS: [f64; 13] = [
            1.0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12,
        ];
        let power = POWERS.get(usize::from(self.decimals));
        power.copied().unwrap_or(f64::INFINITY)
    }

    /// One unit of the last written place, in ampere.
    pub fn resolution_a(self) -> f64 {
        1.0 / self.units_an_ampere()
    }

    /// All written digits as one whole number: units of the last place.
    pub const fn digits(self) -> i64 {
        self.digits
    }

    /// How many places were written after the point.
    pub const fn decimals(self) -> u8 {
        self.decimals
    }
}

impl fmt::Display for Amps {
    /// The decimal number as the session file has it: every written place kept.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.digits < 0 { "-" } else { "" };
        let digits = self.digits.unsigned_abs();
        let scale = 10u64.pow(u32::from(self.decimals));
        let whole = digits / scale;
        if self.decimals == 0 {
            return write!(f, "{sign}{whole}");
        }
        let width = usize::from(self.decimals);
        write!(f, "{sign}{whole}.{:0width$}", digits % scale)
    }
}

/// What the meter measured: a current, or only that it was beyond the range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measured {
    /// A live direct current.
    Amps(Amps),
    /// Outside the meter's range: never a number.
    Over,
}

/// One value from the meter with its time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reading {
    /// When the meter said it.
    pub t: Elapsed,
    /// What it said.
    pub value: Measured,
}

/// `text` as a sentence or a heading begins.
pub fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_ascii_uppercase());
    first.into_iter().chain(letters).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_written_place_survives() {
        for text in ["1.874", "0.0470", "-0.0003456", "12", "0", "0.000"] {
            assert_eq!(Amps::parse(text).unwrap().to_string(), text);
        }
    }

    #[test]
    fn a_prefix_moves_the_point_and_keeps_the_last_zero() {
        let shown = Amps::parse("12.340").unwrap();
        assert_eq!(shown.times_ten_to(-3).unwrap().to_string(), "0.012340");
        assert_eq!(Amps::parse("1.2e3").unwrap().to_string(), "1200");
    }

    #[test]
    fn what_is_not_a_number_is_refused() {
        for text in [
            "", "-", ".", "1.2.3", "0x1f", "nan", " 1", "1 ", "1e", "--1",
        ] {
            assert_eq!(Amps::parse(text), Err(AmpsError::NotANumber), "{text:?}");
        }
        assert_eq!(Amps::parse("99999999999999999999"), Err(AmpsError::TooLong));
        assert_eq!(Amps::parse("9.9e37"), Err(AmpsError::TooLong));
    }

    #[test]
    fn what_is_beyond_all_digits_is_still_read_back() {
        for value_a in [-1e30, 1e30, f64::NEG_INFINITY] {
            let amps = Amps::rounded(value_a, 0);
            assert_eq!(Amps::parse(&amps.to_string()), Ok(amps));
        }
    }

    #[test]
    fn seconds_are_written_to_the_millisecond() {
        assert_eq!(Elapsed::from_ms(250).to_string(), "0.250");
        assert_eq!(Elapsed::from_ms(-20).to_string(), "-0.020");
        assert_eq!(Elapsed::from_secs(91.0004).to_string(), "91.000");
    }

    #[test]
    fn a_float_printed_in_full_is_still_a_current() {
        assert_eq!(
            Amps::parse_in("0.051999999999999998", 0)
                .unwrap()
                .to_string(),
            "0.052000000000"
        );
        assert_eq!(
            Amps::parse_in("51.999999999999996", -3)
                .unwrap()
                .to_string(),
            "0.052000000000"
        );
        assert_eq!(Amps::parse_in("52.0", -3).unwrap().to_string(), "0.0520");
        assert_eq!(Amps::parse_in("9.9e37", 0), Err(AmpsError::TooLong));
    }
}
