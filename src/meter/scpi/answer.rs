//! One line from the instrument: numbers, an error, a function, or none of these.

use std::fmt;

use crate::meter::probe::{Expects, Volts};
use crate::reading::{Amps, AmpsError};

/// SCPI-1999 vol. 1, 7.2.1.4-5 (from memory): 9.9E37 stands for infinity, 9.91E37 for
/// not-a-number.
const INFINITY_FROM: f64 = 9.9e37;
const NOT_A_NUMBER: f64 = 9.91e37;
/// No meter at a car reads this far, in ampere or volt.
const IMPLAUSIBLE: f64 = 100_000.0;
/// Beyond twelve decimals nothing is measured.
const MOST_DECIMALS: u8 = 12;

/// What a line is, by its shape alone.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Answer {
    /// Empty.
    Nothing,
    /// One number or several with commas.
    Values(Vec<Value>),
    /// `-113,"Undefined header"`, the answer to `SYST:ERR?`.
    Error { code: i64, text: String },
    /// `"CURR +1.0E-02,+1.0E-06"`, the answer to `CONF?`, with its range.
    Function(Function, Option<String>),
    /// Anything else.
    Other,
}

/// One number of an answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Value {
    /// A plain decimal number within reason.
    Number(String),
    /// Plus or minus infinity.
    Over,
    /// Not a number.
    Missing,
}

/// What the instrument says that it measures, in its own short words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Function(String);

impl Answer {
    pub(super) fn read(line: &[u8]) -> Self {
        let Ok(text) = std::str::from_utf8(line) else {
            return Self::Other;
        };
        let text = text.trim_matches(|c: char| c.is_ascii_whitespace() || c == '\0');
        if text.is_empty() {
            return Self::Nothing;
        }
        if let Some(error) = error(text) {
            return error;
        }
        let values: Option<Vec<Value>> = text.split(',').map(value).collect();
        match values {
            Some(values) => Self::Values(values),
            None => function(text).unwrap_or(Self::Other),
        }
    }
}

/// Whether the line is a reading.
pub(super) fn is_value(line: &[u8]) -> bool {
    matches!(Answer::read(line), Answer::Values(_))
}

/// Whether the line only repeats the question, as some serial ports do.
pub(super) fn is_echo(line: &[u8], question: &str) -> bool {
    line.trim_ascii().eq_ignore_ascii_case(question.as_bytes())
}

fn error(text: &str) -> Option<Answer> {
    let (code, quoted) = text.split_once(',')?;
    let code = code.trim();
    let text = quoted.trim().strip_prefix('"')?.strip_suffix('"')?;
    let code = code.strip_prefix('+').unwrap_or(code).parse().ok()?;
    Some(Answer::Error {
        code,
        text: text.to_owned(),
    })
}

fn value(text: &str) -> Option<Value> {
    let text = text.trim();
    let written: f64 = match Amps::parse(text) {
        Ok(_) | Err(AmpsError::TooLong) => text.parse().ok()?,
        Err(AmpsError::NotANumber) => return None,
    };
    let size = written.abs();
    if size >= INFINITY_FROM {
        let missing = written > 0.0 && (size - NOT_A_NUMBER).abs() < NOT_A_NUMBER * 1e-6;
        return Some(if missing { Value::Missing } else { Value::Over });
    }
    (size < IMPLAUSIBLE).then(|| Value::Number(text.to_owned()))
}

/// The number with every written place, as far as any meter's places go.
pub(super) fn amps(text: &str) -> Amps {
    Amps::parse(text)
        .unwrap_or_else(|_| Amps::rounded(text.parse().unwrap_or_default(), MOST_DECIMALS))
}

/// As [`amps`], in volts.
pub(super) fn volts(text: &str) -> Volts {
    Volts::parse(text)
        .unwrap_or_else(|_| Volts::rounded(text.parse().unwrap_or_default(), MOST_DECIMALS))
}

fn function(text: &str) -> Option<Answer> {
    let text = text.trim_matches('"').trim();
    let (name, parameters) = text.split_once([' ', ',']).unwrap_or((text, ""));
    let name = name.trim_start_matches(':').to_ascii_uppercase();
    let known = !name.is_empty()
        && name
            .bytes()
            .all(|byte| byte.is_ascii_alphanumeric() || byte == b':')
        && name.starts_with(|c: char| c.is_ascii_alphabetic());
    let range = parameters
        .split(',')
        .next()
        .map(str::trim)
        .filter(|range| !range.is_empty());
    // The answer to `*IDN?` has words behind its commas, a range is a number or a word like AUTO.
    known.then(|| Answer::Function(Function(name), range.map(str::to_owned)))
}

impl Function {
    /// What is taken for granted when the user says not to ask.
    pub(super) fn assumed(expects: Expects) -> Self {
        Self(match expects {
            Expects::Amperes => "CURR".into(),
            Expects::Volts => "VOLT".into(),
        })
    }

    /// Whether it is the expected direct quantity, in the short or the long form.
    pub(super) fn is(&self, expects: Expects) -> bool {
        let mut words = self.0.split(':');
        let quantity = words.next().unwrap_or_default();
        let expected = match expects {
            Expects::Amperes => matches!(quantity, "CURR" | "CURRENT"),
            Expects::Volts => matches!(quantity, "VOLT" | "VOLTAGE"),
        };
        expected && words.all(|word| word == "DC")
    }

    /// Whether it is an alternating quantity.
    pub(super) fn is_alternating(&self) -> bool {
        self.0.split(':').any(|word| word == "AC")
    }
}

impl fmt::Display for Function {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn function(text: &str) -> Function {
        let answer = Answer::read(text.as_bytes());
        let Answer::Function(function, _) = answer else {
            panic!("{text}: {answer:?}")
        };
        function
    }

    #[test]
    fn only_direct_current_is_direct_current() {
        for text in [
            r#""CURR +1.0E-02,+1.0E-06""#,
            "CURR",
            r#""CURR:DC AUTO""#,
            "CURRENT:DC 3,0.001",
        ] {
            assert!(function(text).is(Expects::Amperes), "{text}");
            assert!(!function(text).is(Expects::Volts), "{text}");
        }
        for text in [
            "\"CURR:AC 1\"",
            "VOLT 10",
            "\"RES 1e3\"",
            "VOLT:DC:RAT",
            "CURR:ACDC",
        ] {
            assert!(!function(text).is(Expects::Amperes), "{text}");
        }
        assert!(function("\"VOLT +1.0E-01\"").is(Expects::Volts));
        assert!(!function("VOLT:DC:RAT").is(Expects::Volts), "a ratio");
    }

    #[test]
    fn an_error_is_never_a_number() {
        let error = Answer::Error {
            code: -113,
            text: "Undefined header".into(),
        };
        assert_eq!(Answer::read(b"-113,\"Undefined header\""), error);
        assert!(!is_value(b"+0,\"No error\""));
    }

    #[test]
    fn more_places_than_any_meter_has_are_rounded_and_not_lost() {
        assert_eq!(amps("+1.23456789012E-04").to_string(), "0.000123456789");
    }
}
