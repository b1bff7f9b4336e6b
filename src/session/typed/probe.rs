//! Clamps, shunts and turns as they are printed or counted: `100mV/A`, `0.75mohm`, `75mV/100A`,
//! `5`.

use crate::reading::amount::{AmountError, refuse};
use crate::session::card::bounds;

const CLAMP: &str = "what a clamp gives: expected volts for each ampere, as in 100mV/A or 1mV/10mA";
const SHUNT: &str = "a shunt: expected its resistance or its rating, as in 0.75mohm or 75mV/100A";
const TURNS: &str = "how often the cable passes through the jaws: expected 1 to 100, as in 5";
const PERCENT: &str = "an accuracy of clamp or shunt: expected percent of the reading, as in 1%";

/// Reads what a clamp gives, in millivolt for each ampere.
///
/// # Errors
/// [`AmountError`] naming what was found and what was expected.
///
/// ```
/// use lullboard::session::typed::clamp_mv_per_a;
/// assert_eq!(clamp_mv_per_a("100mV/A").unwrap(), 100.0);
/// assert_eq!(clamp_mv_per_a("1mV/10mA").unwrap(), 100.0);
/// ```
pub fn clamp_mv_per_a(text: &str) -> Result<f64, AmountError> {
    ratio(text).ok_or_else(|| refuse(text, CLAMP))
}

/// Reads a shunt in milliohm, from its resistance or from its rating in either order.
///
/// # Errors
/// [`AmountError`] naming what was found and what was expected.
///
/// ```
/// use lullboard::session::typed::shunt_mohm;
/// assert_eq!(shunt_mohm("0.75mohm").unwrap(), 0.75);
/// assert_eq!(shunt_mohm("100A/75mV").unwrap(), 0.75);
/// ```
pub fn shunt_mohm(text: &str) -> Result<f64, AmountError> {
    resistance(text)
        .or_else(|| ratio(text))
        .or_else(|| {
            let (current, voltage) = text.split_once('/')?;
            ratio(&format!("{voltage}/{current}"))
        })
        .ok_or_else(|| refuse(text, SHUNT))
}

/// Reads how often the cable passes through the jaws.
///
/// # Errors
/// [`AmountError`] naming what was found and what was expected.
pub fn turns(text: &str) -> Result<f64, AmountError> {
    text.trim()
        .parse::<u8>()
        .ok()
        .map(f64::from)
        .filter(|turns| bounds::TURNS.fit(*turns))
        .ok_or_else(|| refuse(text, TURNS))
}

/// Reads an accuracy in percent.
///
/// # Errors
/// [`AmountError`] naming what was found and what was expected.
pub fn percent(text: &str) -> Result<f64, AmountError> {
    text.trim()
        .trim_start_matches('\u{b1}')
        .strip_suffix('%')
        .and_then(|number| number.trim().parse().ok())
        .filter(|percent| bounds::PERCENT.fit(*percent))
        .ok_or_else(|| refuse(text, PERCENT))
}

/// `100mV/A` and `1mV/10mA` in millivolt for each ampere.
fn ratio(text: &str) -> Option<f64> {
    let (voltage, current) = text.split_once('/')?;
    let mv = with_unit(voltage, &[("mV", 1.0), ("uV", 1e-3), ("V", 1e3)])?;
    let a = with_unit(current, &[("mA", 1e-3), ("A", 1.0)])?;
    positive(mv / a)
}

fn resistance(text: &str) -> Option<f64> {
    let units = [
        ("mohm", 1.0),
        ("m\u{3a9}", 1.0),
        ("m\u{2126}", 1.0),
        ("uohm", 1e-3),
        ("ohm", 1e3),
        ("\u{3a9}", 1e3),
        ("\u{2126}", 1e3),
    ];
    // A bare unit is no resistance.
    positive(with_unit(text, &units).filter(|_| text.contains(|c: char| c.is_ascii_digit()))?)
}

/// A number before one of `units`, times its factor; no number means one.
fn with_unit(text: &str, units: &[(&str, f64)]) -> Option<f64> {
    let text = text.trim();
    let (number, factor) = units
        .iter()
        .find_map(|(unit, factor)| Some((text.strip_suffix(unit)?.trim(), factor)))?;
    let number: f64 = if number.is_empty() {
        1.0
    } else {
        number.parse().ok()?
    };
    Some(number * factor)
}

fn positive(x: f64) -> Option<f64> {
    (x.is_finite() && x > 0.0).then_some(x)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clamp_reads_as_it_is_printed() {
        for (text, mv_per_a) in [
            ("100mV/A", 100.0),
            ("100 mV / A", 100.0),
            ("0.1V/A", 100.0),
            ("1mV/10mA", 100.0),
            ("1 mV/A", 1.0),
        ] {
            let read = clamp_mv_per_a(text).unwrap();
            assert!((read - mv_per_a).abs() < 1e-9, "{text}: {read}");
        }
        for text in [
            "100", "100mV", "mA/V", "0mV/A", "-1mV/A", "1mV/0A", "A/100mV",
        ] {
            let refused = clamp_mv_per_a(text).unwrap_err().to_string();
            assert!(refused.contains("100mV/A"), "{text}: {refused}");
        }
    }

    /// 100 A / 75 mV = 0.75 mohm, 50 A / 75 mV = 1.5 mohm: the shunts of the trade, Ohm's law.
    #[test]
    fn a_shunt_reads_by_resistance_or_rating() {
        for (text, mohm) in [
            ("0.75mohm", 0.75),
            ("0.75 m\u{3a9}", 0.75),
            ("100A/75mV", 0.75),
            ("75mV/50A", 1.5),
            ("0.1ohm", 100.0),
        ] {
            let read = shunt_mohm(text).unwrap();
            assert!((read - mohm).abs() < 1e-9, "{text}: {read}");
        }
        for text in ["0.75", "mohm", "0ohm", "75mV", "100A", "/"] {
            assert!(shunt_mohm(text).is_err(), "{text}");
        }
    }

    #[test]
    fn turns_are_counted_and_percent_says_so() {
        assert!((turns("5").unwrap() - 5.0).abs() < 1e-12);
        assert!((percent("\u{b1}1.5 %").unwrap() - 1.5).abs() < 1e-12);
        for text in ["0", "2.5", "-1", "many", "101"] {
            assert!(turns(text).is_err(), "{text}");
        }
        for text in ["1", "-1%", "101%", "nan%", "%"] {
            assert!(percent(text).is_err(), "{text}");
        }
    }
}
