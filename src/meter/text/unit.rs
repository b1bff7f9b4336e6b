//! Units of current, and of the voltage that stands for one; and the words by which lines name them and other quantities.

use std::fmt;
use std::str::FromStr;

use super::LineMeaning;

/// A unit of current, or of the voltage that a clamp or a shunt makes of it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Unit {
    /// Ampere.
    #[default]
    Ampere,
    /// Milliampere.
    Milliampere,
    /// Microampere.
    Microampere,
    /// Nanoampere.
    Nanoampere,
    /// Kiloampere.
    Kiloampere,
    /// Volt.
    Volt,
    /// Millivolt.
    Millivolt,
    /// Microvolt.
    Microvolt,
}

impl Unit {
    /// Whether it measures a voltage.
    pub const fn is_voltage(self) -> bool {
        matches!(self, Self::Volt | Self::Millivolt | Self::Microvolt)
    }

    /// The power of ten that makes ampere or volt of it.
    pub const fn exponent(self) -> i32 {
        self.facts().1
    }

    /// Its symbol in ASCII, and that power.
    const fn facts(self) -> (&'static str, i32) {
        match self {
            Self::Ampere => ("A", 0),
            Self::Milliampere => ("mA", -3),
            Self::Microampere => ("uA", -6),
            Self::Nanoampere => ("nA", -9),
            Self::Kiloampere => ("kA", 3),
            Self::Volt => ("V", 0),
            Self::Millivolt => ("mV", -3),
            Self::Microvolt => ("uV", -6),
        }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.facts().0)
    }
}

/// A word that is no unit that could be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "'{0}' is not a unit here: expected A, mA, uA, nA or kA, or V, mV or uV behind a clamp or shunt"
)]
pub struct UnitError(pub String);

impl FromStr for Unit {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        let unit = named(text.trim()).and_then(|named| named.unit().ok());
        unit.ok_or_else(|| UnitError(text.trim().to_owned()))
    }
}

/// What a unit word names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Named {
    Current(Unit),
    /// A direct voltage: a current only behind a clamp or a shunt.
    Voltage(Unit),
    Alternating,
    /// Mega-ampere: nobody measures that, and somebody may have meant milli.
    Mega,
    Other,
}

impl Named {
    /// The unit that a figure beside it is read in, or why none is.
    pub(super) const fn unit(self) -> Result<Unit, LineMeaning> {
        match self {
            Self::Current(unit) | Self::Voltage(unit) => Ok(unit),
            Self::Alternating => Err(LineMeaning::AC),
            Self::Other => Err(LineMeaning::OTHER),
            Self::Mega => Err(LineMeaning::Garbled),
        }
    }
}

const OTHERS: [&str; 41] = [
    "kV", "W", "mW", "uW", "kW", "watt", "watts", "VA", "Hz", "kHz", "MHz", "ohm", "ohms", "Ohm",
    "Ohms", "\u{3a9}", "k\u{3a9}", "M\u{3a9}", "m\u{3a9}", "C", "F", "K", "\u{b0}C", "\u{b0}F",
    "degC", "degF", "%", "Ah", "mAh", "Wh", "mWh", "kWh", "J", "As", "s", "ms", "us", "min", "h",
    "dB", "dBm",
];

/// What `word` names as a unit; `None` for any other word.
pub(super) fn named(word: &str) -> Option<Named> {
    let word = word.trim_matches(['(', ')', '[', ']', '<', '>', '.', ',', ';']);
    // An analog-to-digital converter's raw count is no current.
    if word.eq_ignore_ascii_case("adc") {
        return None;
    }
    if let Some(named) = bare(word) {
        return Some(named);
    }
    let alternating = ["AC", "ac", "rms", "RMS", "~"];
    if let Some(stem) = alternating.iter().find_map(|end| word.strip_suffix(end)) {
        return bare(stem.trim_end_matches('_')).map(|named| match named {
            Named::Current(_) => Named::Alternating,
            Named::Voltage(_) => Named::Other,
            Named::Alternating | Named::Mega | Named::Other => named,
        });
    }
    let direct = ["DC", "dc", "="];
    let stem = direct.iter().find_map(|end| word.strip_suffix(end))?;
    bare(stem.trim_end_matches('_'))
}

fn bare(word: &str) -> Option<Named> {
    if OTHERS.contains(&word) {
        return Some(Named::Other);
    }
    let unit = match word {
        "A" => Unit::Ampere,
        "mA" | "ma" => Unit::Milliampere,
        "uA" | "ua" | "\u{b5}A" | "\u{3bc}A" | "\u{b5}a" | "\u{3bc}a" => Unit::Microampere,
        "nA" | "na" => Unit::Nanoampere,
        "kA" => Unit::Kiloampere,
        "MA" | "Ma" => return Some(Named::Mega),
        "V" | "volt" | "volts" => return Some(Named::Voltage(Unit::Volt)),
        "mV" => return Some(Named::Voltage(Unit::Millivolt)),
        "uV" | "\u{b5}V" | "\u{3bc}V" => return Some(Named::Voltage(Unit::Microvolt)),
        _ => return spelled(&word.to_ascii_lowercase()),
    };
    Some(Named::Current(unit))
}

fn spelled(word: &str) -> Option<Named> {
    let prefixes = [
        ("milli", Unit::Milliampere),
        ("micro", Unit::Microampere),
        ("nano", Unit::Nanoampere),
        ("kilo", Unit::Kiloampere),
        ("", Unit::Ampere),
    ];
    prefixes
        .iter()
        .find(|(prefix, _)| {
            word.strip_prefix(prefix)
                .is_some_and(|stem| matches!(stem, "amp" | "amps" | "ampere" | "amperes"))
        })
        .map(|&(_, unit)| Named::Current(unit))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn m_is_milli_and_capital_m_is_refused() {
        assert_eq!("mA".parse(), Ok(Unit::Milliampere));
        assert_eq!("milliamps".parse(), Ok(Unit::Milliampere));
        assert_eq!(named("[mA]"), Some(Named::Current(Unit::Milliampere)));
        assert_eq!("MA".parse::<Unit>(), Err(UnitError("MA".into())));
        assert_eq!(named("MA"), Some(Named::Mega));
    }

    #[test]
    fn the_coupling_may_hang_on_the_unit() {
        assert_eq!(named("mADC"), Some(Named::Current(Unit::Milliampere)));
        assert_eq!(named("AAC"), Some(Named::Alternating));
        assert_eq!(named("mVDC"), Some(Named::Voltage(Unit::Millivolt)));
        assert_eq!(named("VAC"), Some(Named::Other));
        assert_eq!(named("ADC"), None);
        assert_eq!(named("a"), None, "an article");
    }
}
