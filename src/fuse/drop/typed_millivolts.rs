//! Millivolts, their accuracy and one count as people type them: `0.40`, `0.5%+2`, `0.1`.

use std::str::FromStr;

use super::{Millivolts, MvAccuracy};
use crate::reading::amount::{AmountError, refuse};

const MILLIVOLTS: &str =
    "a drop in millivolts: expected a number with every place the meter shows, as in 0.40 or 2.3";
const STEP: &str = "one count in millivolts: expected for example 0.1 or 0.01";
const ACCURACY: &str = "an accuracy: expected percent of reading + counts, as in 0.5%+2";

impl FromStr for Millivolts {
    type Err = AmountError;

    /// Reads millivolts; the last written place is the meter's count.
    ///
    /// ```
    /// use lullboard::fuse::drop::Millivolts;
    /// let read: Millivolts = "0.40".parse().unwrap();
    /// assert_eq!(read.step_mv, 0.01);
    /// ```
    fn from_str(text: &str) -> Result<Self, AmountError> {
        let plain = text.trim().trim_end_matches("mV").trim_end();
        let plain = plain.replacen(',', ".", 1);
        let is_plain = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+');
        let mv = plain
            .parse::<f64>()
            .ok()
            .filter(|_| plain.chars().all(is_plain))
            .ok_or_else(|| refuse(text, MILLIVOLTS))?;
        let places = plain.split_once('.').map_or(0, |(_, places)| places.len());
        let places = i32::try_from(places).unwrap_or(i32::MAX);
        Ok(Self {
            mv,
            step_mv: 1.0 / 10f64.powi(places),
        })
    }
}

impl FromStr for MvAccuracy {
    type Err = AmountError;

    fn from_str(text: &str) -> Result<Self, AmountError> {
        let read = |text: &str| {
            let (percent, counts) = text.trim_start_matches('\u{b1}').split_once('+')?;
            let percent: f64 = percent.trim().strip_suffix('%')?.trim().parse().ok()?;
            let counts: f64 = counts.trim().parse().ok()?;
            let fits = |x: f64| (0.0..=100.0).contains(&x);
            (fits(percent) && fits(counts)).then_some(Self { percent, counts })
        };
        read(text.trim()).ok_or_else(|| refuse(text, ACCURACY))
    }
}

/// Reads one count of the meter, in millivolts.
///
/// # Errors
/// [`AmountError`] naming what was found and what was expected.
pub fn mv_step(text: &str) -> Result<f64, AmountError> {
    text.trim()
        .trim_end_matches("mV")
        .trim_end()
        .parse()
        .ok()
        .filter(|step| (1e-6..=100.0).contains(step))
        .ok_or_else(|| refuse(text, STEP))
}
