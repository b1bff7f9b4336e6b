//! Amounts as people type them: `52m`, `52 mA`, `0.052`, `20min`, `2h`, `1.0%+3`.
//!
//! A bare `m` means milli for a current and minutes for a time, as anyone at the car means it.

/// Why a text is not the amount that was asked for.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("'{found}' is not {expected}")]
pub struct AmountError {
    /// What was typed.
    pub found: String,
    /// What was expected, with an example.
    pub expected: &'static str,
}

const CURRENT: &str = "a current: expected for example 50mA, 52m, 0.052 or 1.2A";
const TIME: &str = "a time: expected for example 90s, 20min, 45m or 2h";

/// Splits `12.5 mA` into the number and the unit behind it.
fn split(text: &str) -> Option<(f64, &str)> {
    let text = text.trim();
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+')))
        .unwrap_or(text.len());
    let (number, unit) = text.split_at_checked(end)?;
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
    let refuse = || AmountError {
        found: text.trim().to_owned(),
        expected: CURRENT,
    };
    let (number, unit) = split(text).ok_or_else(refuse)?;
    let divisor = match unit {
        "" | "A" | "a" => 1.0,
        "m" | "mA" | "ma" => 1e3,
        "u" | "uA" | "ua" | "\u{b5}A" | "\u{3bc}A" | "\u{b5}" | "\u{3bc}" => 1e6,
        _ => return Err(refuse()),
    };
    Ok(number / divisor)
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
/// ```
pub fn time_s(text: &str) -> Result<f64, AmountError> {
    let refuse = || AmountError {
        found: text.trim().to_owned(),
        expected: TIME,
    };
    let (number, unit) = split(text).ok_or_else(refuse)?;
    let factor = match unit {
        "" | "s" | "sec" => 1.0,
        "m" | "min" => 60.0,
        "h" => 3600.0,
        "d" => 86_400.0,
        _ => return Err(refuse()),
    };
    if number < 0.0 {
        return Err(refuse());
    }
    Ok(number * factor)
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
    fn a_decimal_comma_is_a_point() {
        assert!((current_a("0,42").unwrap() - 0.42).abs() < 1e-15);
    }
}
