//! What the words before a value, a heading or a JSON key say about it.

use super::unit::{self, Named, Unit};

/// What a label names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Names {
    /// A current, perhaps with its unit.
    Current(Option<Unit>),
    /// Alternating current.
    Alternating,
    /// A current in mega-ampere.
    Mega,
    /// A current, but a limit, an extreme or a mean and not the live one.
    NotLive,
    /// Another quantity.
    Other,
    /// Nothing known.
    Nothing,
}

const OTHER: &str = "\
    voltage volt volts vbus vbat power watt watts temp temperature time date timestamp \
    uptime energy charge capacity resistance frequency freq humidity pressure count \
    version soc rssi duration";
const NOT_LIVE: &str = "\
    max maximum min minimum peak avg average mean limit target setpoint set threshold \
    offset zero rated range";
const CURRENT: &str = "current amperage ampere i";

/// What `label` names: `Current (mA)`, `shunt_current`, `voltage_V`, `I`.
pub(super) fn names(label: &str) -> Names {
    let words: Vec<&str> = label
        .split(|c: char| !(c.is_alphanumeric() || matches!(c, '%' | '\u{b0}' | '\u{b5}')))
        .filter(|word| !word.is_empty())
        .collect();
    let is_one_of = |list: &str| {
        let mut known = list.split(' ');
        known.any(|known| words.iter().any(|word| word.eq_ignore_ascii_case(known)))
    };
    if is_one_of(OTHER) {
        return Names::Other;
    }
    let unit = words.last().and_then(|last| unit_word(last, words.len()));
    let names_current = is_one_of(CURRENT) || words.iter().any(|word| is_joined(word));
    if is_one_of(NOT_LIVE) {
        return Names::NotLive;
    }
    match unit {
        Some(Named::Current(unit)) => Names::Current(Some(unit)),
        Some(Named::Alternating) => Names::Alternating,
        Some(Named::Mega) => Names::Mega,
        Some(Named::Other | Named::Voltage(_)) => Names::Other,
        None if names_current => Names::Current(None),
        None => Names::Nothing,
    }
}

/// The unit at the end of a label. A lone capital may as well be a channel's name.
fn unit_word(last: &str, words: usize) -> Option<Named> {
    if words == 1 {
        if last == "A" {
            return None;
        }
        if let Some(unit) = strip_current(last).filter(|rest| !rest.is_empty()) {
            return unit::named(unit);
        }
    }
    unit::named(last)
}

/// `currentmA`, `shuntCurrent`: words written in one.
fn is_joined(word: &str) -> bool {
    word.ends_with("Current") || strip_current(word).is_some_and(|rest| unit::named(rest).is_some())
}

fn strip_current(word: &str) -> Option<&str> {
    word.strip_prefix("current")
        .or_else(|| word.strip_prefix("Current"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_are_understood_by_their_words() {
        for (label, expected) in [
            ("Current", Names::Current(None)),
            ("current_mA", Names::Current(Some(Unit::Milliampere))),
            ("Current (mA)", Names::Current(Some(Unit::Milliampere))),
            ("currentmA", Names::Current(Some(Unit::Milliampere))),
            ("shuntCurrent", Names::Current(None)),
            ("I", Names::Current(None)),
            ("I_A", Names::Current(Some(Unit::Ampere))),
            ("amps", Names::Current(Some(Unit::Ampere))),
            ("CURRENT_MA", Names::Mega),
            ("voltage_V", Names::Other),
            ("current_time", Names::Other),
            ("V", Names::Other),
            ("max_current_A", Names::NotLive),
            ("current_limit", Names::NotLive),
            ("A", Names::Nothing),
            ("currently", Names::Nothing),
            ("len", Names::Nothing),
        ] {
            assert_eq!(names(label), expected, "{label}");
        }
    }
}
