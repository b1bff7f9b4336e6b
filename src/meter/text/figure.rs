//! One figure: a decimal number, a word for overload, or a word for nothing.

use super::LineMeaning;
use super::unit::{Named, Unit};

use crate::meter::answered::{Beyond, IMPLAUSIBLE, beyond};
use crate::reading::{Amps, Measured};

/// What stands where a value is expected.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Figure {
    /// A decimal number with a point or none.
    Number(String),
    /// The same written with a comma, the point already in its place: only to be believed when
    /// the comma can be nothing else.
    Comma(String),
    /// Beyond the range.
    Over,
    /// The device says that it has no value.
    Missing,
    /// Digits with separators that could mean two numbers.
    Garbled,
}

impl Figure {
    /// What it says beside the word for a unit.
    pub(super) fn in_named(&self, named: Named) -> LineMeaning {
        let unit = named.unit();
        unit.map_or_else(|refused| refused, |unit| self.in_unit(unit))
    }

    /// What the figure says as a live direct current in `unit`, or as a voltage where the unit is
    /// one.
    pub(super) fn in_unit(&self, unit: Unit) -> LineMeaning {
        match self {
            Self::Number(number) | Self::Comma(number) => measured(number, unit),
            Self::Over => LineMeaning::Value(Measured::Over, unit),
            Self::Missing => LineMeaning::NOTHING,
            Self::Garbled => LineMeaning::Garbled,
        }
    }

    /// The figure behind a sign that stood apart; two signs are garble.
    pub(super) fn signed(self, sign: &str) -> Self {
        match self {
            _ if sign.is_empty() => self,
            Self::Number(n) if !n.starts_with(['+', '-']) => Self::Number(format!("{sign}{n}")),
            Self::Comma(n) if !n.starts_with(['+', '-']) => Self::Comma(format!("{sign}{n}")),
            Self::Number(_) | Self::Comma(_) | Self::Garbled => Self::Garbled,
            Self::Over | Self::Missing => self,
        }
    }

    /// Splits a figure from the front of `word`: `12.34mA` into 12.34 and `mA`.
    pub(super) fn split(word: &str) -> Option<(Self, &str)> {
        let (number, rest) = match numeric_prefix(word) {
            0 => return None,
            length => word.split_at_checked(length)?,
        };
        let commas = number.matches(',').count();
        let points = number.matches('.').count();
        let figure = match (commas, points) {
            (0, 0 | 1) => Self::Number(number.to_owned()),
            (0, _) => return None,
            (1, 0) => Self::Comma(number.replace(',', ".")),
            (_, _) => Self::Garbled,
        };
        Some((figure, rest))
    }

    /// Knows `OL`, `----`, `nan` and their like.
    pub(super) fn word(word: &str) -> Option<Self> {
        let dashes = word.matches('-').count();
        if dashes >= 2 && word.len() <= 8 && word.chars().all(|c| matches!(c, '-' | '.')) {
            return Some(Self::Over);
        }
        let word = word.trim_start_matches(['+', '-']).to_ascii_lowercase();
        match word.as_str() {
            "ol" | "o.l" | ".ol" | "ol." | "0l" | "0.l" | ".0l" | "ovl" | "ovf" | "ovld"
            | "over" | "overload" | "overflow" | "overrange" | "inf" | "infinity" => {
                Some(Self::Over)
            }
            "nan" | "null" | "none" | "n/a" => Some(Self::Missing),
            _ => None,
        }
    }
}

fn measured(number: &str, unit: Unit) -> LineMeaning {
    let Ok(written) = number.parse::<f64>() else {
        return LineMeaning::Garbled;
    };
    match beyond(written) {
        Some(Beyond::Infinity) => return LineMeaning::Value(Measured::Over, unit),
        Some(Beyond::NotANumber) => return LineMeaning::NOTHING,
        None => {}
    }
    if (written * 10f64.powi(unit.exponent())).abs() >= IMPLAUSIBLE {
        return LineMeaning::Garbled;
    }
    match Amps::parse_in(number, unit.exponent()) {
        Ok(amps) => LineMeaning::Value(Measured::Amps(amps), unit),
        Err(_) => LineMeaning::Garbled,
    }
}

/// How many bytes at the front are a number: sign, digits with points and commas, exponent.
/// Zero when there is none.
fn numeric_prefix(word: &str) -> usize {
    let unsigned = word.strip_prefix(['+', '-']).unwrap_or(word);
    let sign = word.len().saturating_sub(unsigned.len());
    let body = run(unsigned, |c| c.is_ascii_digit() || matches!(c, '.' | ','));
    let number = unsigned.get(..body).unwrap_or_default();
    if !number.contains(|c: char| c.is_ascii_digit()) {
        return 0;
    }
    let mut length = sign.saturating_add(body);
    if let Some(tail) = word.get(length..).and_then(|t| t.strip_prefix(['e', 'E'])) {
        let digits = tail.strip_prefix(['+', '-']).unwrap_or(tail);
        let exponent = run(digits, |c| c.is_ascii_digit());
        if exponent > 0 {
            let tail_sign = tail.len().saturating_sub(digits.len());
            length = length
                .saturating_add(1 + tail_sign)
                .saturating_add(exponent);
        }
    }
    length
}

fn run(text: &str, belongs: impl Fn(char) -> bool) -> usize {
    text.find(|c| !belongs(c)).unwrap_or(text.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_is_split_from_what_hangs_on_it() {
        let number = |text: &str| Figure::Number(text.into());
        assert_eq!(Figure::split("12.34mA"), Some((number("12.34"), "mA")));
        assert_eq!(Figure::split("-1.2E-3A"), Some((number("-1.2E-3"), "A")));
        assert_eq!(Figure::split("12e"), Some((number("12"), "e")));
        assert_eq!(
            Figure::split("12,34"),
            Some((Figure::Comma("12.34".into()), ""))
        );
        assert_eq!(Figure::split("1,234.5"), Some((Figure::Garbled, "")));
        for word in ["1.2.3", "mA", "-", ".", "-.", "x12"] {
            assert_eq!(Figure::split(word), None, "{word}");
        }
    }
}
