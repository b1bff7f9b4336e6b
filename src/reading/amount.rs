//! Amounts as people type them: `52m`, `52 mA`, `0.052`, `20min`, `2h`, `1.0%+3`.
//!
//! A bare `m` means milli for a current and minutes for a time, as anyone at the car means it.

use std::borrow::Cow;
use std::ops::RangeInclusive;

/// How warm a battery can be, in degrees Celsius; common practice, no source.
pub const TEMPERATURES_C: RangeInclusive<f64> = -60.0..=90.0;

/// What a 12 V battery can show at rest, in volts; common practice, no source.
pub const REST_V: RangeInclusive<f64> = 6.0..=16.0;

/// Why a text is not the amount that was asked for.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("'{found}' is not {expected}")]
pub struct AmountError {
    /// What was typed.
    pub found: String,
    /// What was expected, with an example.
    pub expected: Cow<'static, str>,
}

/// That `text` is not what was `expected`.
pub fn refuse(text: &str, expected: &'static str) -> AmountError {
    let found = text.trim().to_owned();
    let expected = comma_of_thousands(&found).map_or(Cow::Borrowed(expected), |at| {
        let (before, after) = (found.get(..at), found.get(at + 1..));
        let (before, after) = (before.unwrap_or_default(), after.unwrap_or_default());
        Cow::Owned(format!(
            "one amount: expected {before}{after} or {before}.{after}"
        ))
    });
    AmountError { found, expected }
}

/// Where a comma stands that may part thousands as well as places: three digits behind it, and more
/// than a zero before.
fn comma_of_thousands(text: &str) -> Option<usize> {
    let at = text.find(',')?;
    let (before, after) = (text.get(..at)?, text.get(at + 1..)?);
    let digits = |c: &char| c.is_ascii_digit();
    let is_more = before
        .chars()
        .rev()
        .take_while(digits)
        .any(|digit| digit != '0');
    (is_more && after.chars().take_while(digits).count() == 3).then_some(at)
}

/// Reads a type by a function that answers `None` where the text is not what is expected.
macro_rules! typed {
    ($($(#[$doc:meta])* $type:ty: $read:expr, $expected:expr;)+) => {$(
        impl std::str::FromStr for $type {
            type Err = $crate::reading::AmountError;

            $(#[$doc])*
            fn from_str(text: &str) -> Result<Self, Self::Err> {
                $read(text).ok_or_else(|| $crate::reading::amount::refuse(text, $expected))
            }
        }
    )+};
}
pub(crate) use typed;

const CURRENT: &str = "a current: expected for example 50mA, 52m, 0.052 or 1.2A";
const TIME: &str = "a time: expected for example 90s, 20min, 45m, 2h or 3d";
const MOMENT: &str = "a moment of the record: expected 0:12:05, 12:05 or 725s";
const SHARE: &str = "a share: expected percent from 0% to 100%, as in 85%";
const TEMPERATURE: &str = "a temperature: expected for example 25C, -10C or 50F";
const VOLTS: &str = "the rest voltage of a 12 V battery: expected 6 V to 16 V, as in 12.53V";
const OHMS: &str = "a resistance: expected more than nothing, as in 7.7m or 0.0077";

/// Splits `12.5 mA` into the number and the unit behind it.
fn split(text: &str) -> Option<(f64, &str)> {
    let text = text.trim();
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+')))
        .unwrap_or(text.len());
    let (number, unit) = text.split_at_checked(end)?;
    if comma_of_thousands(number).is_some() {
        return None;
    }
    // One comma and no point is a decimal comma; anything else with a comma is two readings of it.
    let number: f64 = if number.contains('.') {
        number.parse().ok()?
    } else {
        number.replacen(',', ".", 1).parse().ok()?
    };
    number.is_finite().then_some((number, unit.trim()))
}

/// Reads a current in ampere. A bare number is ampere; `m` and `mA` are milliampere.
///
/// # Errors
/// [`AmountError`] naming what was found and what was expected.
///
/// ```
/// use lullboard::reading::amount::current_a;
/// assert_eq!(current_a("52 mA").unwrap(), 0.052);
/// assert_eq!(current_a("0.052").unwrap(), 0.052);
/// assert!(current_a("52 MA").is_err());
/// ```
pub fn current_a(text: &str) -> Result<f64, AmountError> {
    figure(text, CURRENT, |number, unit| match unit {
        "" | "A" | "a" => Some(number),
        "m" | "mA" | "ma" => Some(number / 1e3),
        "u" | "uA" | "ua" | "\u{b5}A" | "\u{3bc}A" | "\u{b5}" | "\u{3bc}" => Some(number / 1e6),
        _ => None,
    })
}

/// Reads a span of time in seconds. A bare number is seconds; `m` and `min` are minutes.
///
/// # Errors
/// [`AmountError`] naming what was found and what was expected; also for a negative time.
///
/// ```
/// use lullboard::reading::amount::time_s;
/// assert_eq!(time_s("20min").unwrap(), 1200.0);
/// assert_eq!(time_s("2h").unwrap(), 7200.0);
/// assert_eq!(time_s("10m50s").unwrap(), 650.0);
/// ```
pub fn time_s(text: &str) -> Result<f64, AmountError> {
    let text = text.trim();
    let parts = text.split_inclusive(|c: char| c.is_ascii_alphabetic());
    let parts: Vec<&str> = parts.collect();
    if parts.len() > 1
        && let Some(sum_s) = falling_s(&parts)
    {
        return Ok(sum_s);
    }
    one_time_s(text)
}

/// The sum of `1h`, `10m` and `50s`, as people write it: each unit once, the larger first.
fn falling_s(parts: &[&str]) -> Option<f64> {
    let units = ["d", "h", "m", "s"];
    let mut least = 0;
    let mut sum_s = 0.0;
    for part in parts {
        let unit = units
            .iter()
            .skip(least)
            .position(|unit| part.ends_with(unit))?;
        least += unit + 1;
        sum_s += one_time_s(part).ok()?;
    }
    Some(sum_s)
}

fn one_time_s(text: &str) -> Result<f64, AmountError> {
    figure(text, TIME, |number, unit| {
        let unit_s = match unit {
            "" | "s" | "sec" => 1.0,
            "m" | "min" => 60.0,
            "h" => 3600.0,
            "d" => 86_400.0,
            _ => return None,
        };
        (number >= 0.0).then_some(number * unit_s)
    })
}

/// Reads a moment of a record in seconds since it began: `0:12:05`, `12:05`, or a span of time.
///
/// # Errors
/// [`AmountError`] naming what was found and what was expected.
///
/// ```
/// use lullboard::reading::amount::moment_s;
/// assert_eq!(moment_s("0:12:05").unwrap(), 725.0);
/// assert_eq!(moment_s("12m5s").unwrap(), 725.0);
/// assert!(moment_s("12:75").is_err());
/// ```
pub fn moment_s(text: &str) -> Result<f64, AmountError> {
    if !text.contains(':') {
        return time_s(text).map_err(|_| refuse(text, MOMENT));
    }
    let parts = text.split(':').map(|part| part.trim().parse::<u16>().ok());
    let (hours, minutes, seconds) = match *parts.collect::<Vec<_>>() {
        [Some(minutes), Some(seconds)] => (0, minutes, seconds),
        [Some(hours), Some(minutes), Some(seconds)] => (hours, minutes, seconds),
        _ => return Err(refuse(text, MOMENT)),
    };
    if minutes > 59 || seconds > 59 {
        return Err(refuse(text, MOMENT));
    }
    Ok(f64::from(hours) * 3600.0 + f64::from(minutes) * 60.0 + f64::from(seconds))
}

/// Reads a share in percent, as a number from 0 to 1. The sign must stand: a bare `1` could be
/// meant as either.
///
/// # Errors
/// [`AmountError`] naming what was found and what was expected.
///
/// ```
/// use lullboard::reading::amount::share;
/// assert_eq!(share("85 %").unwrap(), 0.85);
/// assert!(share("0.85").is_err());
/// ```
pub fn share(text: &str) -> Result<f64, AmountError> {
    figure(text, SHARE, |percent, unit| {
        (unit == "%" && (0.0..=100.0).contains(&percent)).then_some(percent / 100.0)
    })
}

/// Reads a temperature in degrees Celsius; `F` is Fahrenheit.
///
/// # Errors
/// [`AmountError`] naming what was found and what was expected.
pub fn temperature_c(text: &str) -> Result<f64, AmountError> {
    figure(text, TEMPERATURE, |number, unit| {
        let celsius = match unit {
            "C" | "c" | "\u{b0}C" => number,
            "F" | "f" | "\u{b0}F" => (number - 32.0) / 1.8,
            _ => return None,
        };
        TEMPERATURES_C.contains(&celsius).then_some(celsius)
    })
}

/// Reads the rest voltage of a 12 V battery in volts. A bare number is volts.
///
/// # Errors
/// [`AmountError`] naming what was found and what was expected.
pub fn rest_v(text: &str) -> Result<f64, AmountError> {
    figure(text, VOLTS, |volts, unit| {
        (matches!(unit, "" | "V" | "v") && REST_V.contains(&volts)).then_some(volts)
    })
}

/// Reads a resistance in ohm. A bare number is ohm; `m` is milliohm.
///
/// # Errors
/// [`AmountError`] naming what was found and what was expected.
///
/// ```
/// use lullboard::reading::amount::ohms;
/// assert_eq!(ohms("7.7m").unwrap(), 0.0077);
/// ```
pub fn ohms(text: &str) -> Result<f64, AmountError> {
    figure(text, OHMS, |number, unit| {
        let ohms = match unit {
            "" | "ohm" | "ohms" | "\u{3a9}" => number,
            "m" | "mohm" | "mohms" | "m\u{3a9}" => number / 1e3,
            _ => return None,
        };
        (ohms > 0.0).then_some(ohms)
    })
}

/// What `reader` makes of a number and its unit.
fn figure(
    text: &str,
    expected: &'static str,
    reader: impl FnOnce(f64, &str) -> Option<f64>,
) -> Result<f64, AmountError> {
    let (number, unit) = split(text).ok_or_else(|| refuse(text, expected))?;
    reader(number, unit).ok_or_else(|| refuse(text, expected))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn m_is_milli_for_a_current_and_minutes_for_a_time() {
        assert!((current_a("30m").unwrap() - 0.03).abs() < 1e-15);
        assert!((time_s("30m").unwrap() - 1800.0).abs() < 1e-9);
    }

    #[test]
    fn a_time_is_read_as_people_write_it_and_not_the_wrong_way_round() {
        for (text, expected_s) in [("10m50s", 650.0), ("1h 5m", 3900.0), ("1.5h", 5400.0)] {
            assert!((time_s(text).unwrap() - expected_s).abs() < 1e-9, "{text}");
        }
        for text in ["50s10m", "10m10m", "10mm", "m50s", "10m50"] {
            assert!(time_s(text).is_err(), "{text}");
        }
    }

    #[test]
    fn the_error_names_both_sides() {
        let error = current_a("fifty").unwrap_err().to_string();
        assert!(
            error.contains("'fifty'") && error.contains("50mA"),
            "{error}"
        );
        assert!(time_s("-5m").is_err());
        assert!(time_s("soon").is_err());
        assert!(current_a("").is_err());
        assert!(current_a("1e400").is_err());
        assert!(current_a("1,234.5mA").is_err());
        assert!(current_a("1,234,5mA").is_err());
    }

    #[test]
    fn battery_and_fuse_amounts_carry_their_units() {
        assert!((temperature_c("50F").unwrap() - 10.0).abs() < 1e-12);
        assert!((temperature_c("-10 C").unwrap() + 10.0).abs() < 1e-12);
        assert!((rest_v("12,53 V").unwrap() - 12.53).abs() < 1e-12);
        assert!((ohms("7.7 m\u{3a9}").unwrap() - 0.0077).abs() < 1e-15);
        for text in ["25", "200C", "warm"] {
            assert!(temperature_c(text).is_err(), "{text:?}");
        }
        for text in ["1253", "0", "-12.5V", "12.5A"] {
            assert!(rest_v(text).is_err(), "{text:?}");
        }
        for text in ["0", "-1m", "7.7k"] {
            assert!(ohms(text).is_err(), "{text:?}");
        }
        for text in ["101%", "-1%", "85"] {
            let refused = share(text).unwrap_err().to_string();
            assert!(refused.contains("85%"), "{refused}");
        }
    }

    #[test]
    fn a_decimal_comma_is_a_point() {
        assert!((current_a("0,42").unwrap() - 0.42).abs() < 1e-15);
    }

    #[test]
    fn a_comma_that_may_part_thousands_is_asked_about() {
        let refused = |text: &str| current_a(text).unwrap_err().to_string();
        let two = "'1,200mA' is not one amount: expected 1200mA or 1.200mA";
        assert_eq!(refused("1,200mA"), two);
        assert_eq!(
            refused("-12,345"),
            "'-12,345' is not one amount: expected -12345 or -12.345"
        );
        assert!(time_s("1,500s").is_err());
        // Nobody writes thousands of nothing, or of another number of digits.
        for (text, a) in [
            ("0,052", 0.052),
            ("00,052A", 0.052),
            ("1,20", 1.2),
            ("1,2005", 1.2005),
        ] {
            assert!((current_a(text).unwrap() - a).abs() < 1e-15, "{text}");
        }
    }
}
