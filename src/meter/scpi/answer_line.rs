//! One line from the instrument: numbers, an error, a function, or none of these.

use std::fmt;

use crate::meter::Expects;
use crate::meter::answered::{Answered, Beyond, IMPLAUSIBLE, beyond};
use crate::reading::{Amps, AmpsError};

/// What a line is, by its shape alone.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum LineKind {
    /// Empty.
    Nothing,
    /// One number or several with commas.
    Values(Vec<Answered>),
    /// `-113,"Undefined header"`, the answer to `SYST:ERR?`.
    Error { code: i64, text: String },
    /// `"CURR +1.0E-02,+1.0E-06"`, the answer to `CONF?`, with its range.
    Function(Function, Option<String>),
    /// Anything else.
    Other,
}

/// What the instrument says that it measures, in its own short words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Function(String);

impl LineKind {
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
        let values: Option<Vec<Answered>> = text.split(',').map(value).collect();
        match values {
            Some(values) => Self::Values(values),
            None => function(text).unwrap_or(Self::Other),
        }
    }
}

/// Whether the line is a reading.
pub(super) fn is_value(line: &[u8]) -> bool {
    matches!(LineKind::read(line), LineKind::Values(_))
}

/// Whether the line only repeats the question, as some serial ports do.
pub(super) fn is_echo(line: &[u8], question: &str) -> bool {
    line.trim_ascii().eq_ignore_ascii_case(question.as_bytes())
}

fn error(text: &str) -> Option<LineKind> {
    let (code, quoted) = text.split_once(',')?;
    let code = code.trim();
    let text = quoted.trim().strip_prefix('"')?.strip_suffix('"')?;
    let code = code.strip_prefix('+').unwrap_or(code).parse().ok()?;
    Some(LineKind::Error {
        code,
        text: text.to_owned(),
    })
}

/// A plain decimal number within reason, or what stands for none.
fn value(text: &str) -> Option<Answered> {
    let text = text.trim();
    let written: f64 = match Amps::parse(text) {
        Ok(_) | Err(AmpsError::TooLong) => text.parse().ok()?,
        Err(AmpsError::NotANumber) => return None,
    };
    match beyond(written) {
        Some(Beyond::NotANumber) if written > 0.0 => Some(Answered::Missing),
        Some(_) => Some(Answered::Over),
        None if written.abs() < IMPLAUSIBLE => Amps::parse_in(text, 0).ok().map(Answered::Number),
        None => None,
    }
}

fn function(text: &str) -> Option<LineKind> {
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
    known.then(|| LineKind::Function(Function(name), range.map(str::to_owned)))
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
        let answer = LineKind::read(text.as_bytes());
        let LineKind::Function(function, _) = answer else {
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
        let error = LineKind::Error {
            code: -113,
            text: "Undefined header".into(),
        };
        assert_eq!(LineKind::read(b"-113,\"Undefined header\""), error);
        assert!(!is_value(b"+0,\"No error\""));
    }

    #[test]
    fn more_places_than_any_meter_has_are_rounded_and_not_lost() {
        let number = Amps::parse("0.000123456789").unwrap();
        let answer = LineKind::read(b"+1.23456789012E-04");
        assert_eq!(answer, LineKind::Values(vec![Answered::Number(number)]));
    }
}
