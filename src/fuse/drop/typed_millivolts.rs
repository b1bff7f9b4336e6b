//! Millivolts, their accuracy and one count as people type them: `0.40`, `0.5%+2`, `0.1`.

use super::{Millivolts, MvAccuracy};
use crate::reading::AmountError;
use crate::reading::amount::{refuse, typed};

const MILLIVOLTS: &str =
    "a drop in millivolts: expected a number with every place the meter shows, as in 0.40 or 2.3";
const STEP: &str = "one count in millivolts: expected for example 0.1 or 0.01";
const ACCURACY: &str = "an accuracy: expected percent of reading + counts, as in 0.5%+2";

typed! {
    /// Reads millivolts; the last written place is the meter's count.
    ///
    /// ```
    /// use lullboard::fuse::drop::Millivolts;
    /// let read: Millivolts = "0.40".parse().unwrap();
    /// assert_eq!(read.step_mv, 0.01);
    /// ```
    Millivolts: millivolts, MILLIVOLTS;
    MvAccuracy: mv_accuracy, ACCURACY;
}

fn millivolts(text: &str) -> Option<Millivolts> {
    let plain = text.trim().trim_end_matches("mV").trim_end();
    let plain = plain.replacen(',', ".", 1);
    let is_plain = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+');
    let mv = plain.parse().ok().filter(|_| plain.chars().all(is_plain))?;
    let places = plain.split_once('.').map_or(0, |(_, places)| places.len());
    let step_mv = 1.0 / 10f64.powi(i32::try_from(places).unwrap_or(i32::MAX));
    Some(Millivolts { mv, step_mv })
}

fn mv_accuracy(text: &str) -> Option<MvAccuracy> {
    let (percent, counts) = text.trim().trim_start_matches('\u{b1}').split_once('+')?;
    let percent: f64 = percent.trim().strip_suffix('%')?.trim().parse().ok()?;
    let counts: f64 = counts.trim().parse().ok()?;
    let fits = |x: f64| (0.0..=100.0).contains(&x);
    (fits(percent) && fits(counts)).then_some(MvAccuracy { percent, counts })
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
