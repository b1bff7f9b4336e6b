//! Accuracy, drift and battery as people type them: `1.0%+3`, `5mA/h`, `agm,70Ah`.

mod probe;

use std::str::FromStr;

pub use probe::{clamp_mv_per_a, percent, shunt_mohm, turns};

use super::card::{Accuracy, Battery, BatteryKind};
use crate::reading::amount::{self, AmountError};

const ACCURACY: &str =
    "an accuracy: expected percent of reading + counts or an amount, as in 1.0%+3 or 0.5%+1mA";
const DRIFT: &str = "a drift: expected a current for each hour, as in 5mA/h";
const BATTERY: &str =
    "a battery: expected flooded, efb, agm or gel and its size, as in agm,70Ah or flooded,rc:120";

fn refuse(text: &str, expected: &'static str) -> AmountError {
    AmountError {
        found: text.trim().to_owned(),
        expected,
    }
}

/// A number that is zero or more, as every figure here is.
fn positive(text: &str) -> Option<f64> {
    let value: f64 = text.trim().parse().ok()?;
    (value.is_finite() && value >= 0.0).then_some(value)
}

impl FromStr for Accuracy {
    type Err = AmountError;

    /// Reads the figure as the meter's manual prints it.
    ///
    /// ```
    /// use lullboard::session::card::Accuracy;
    /// let accuracy: Accuracy = "1.0%+3".parse().unwrap();
    /// assert_eq!((accuracy.percent, accuracy.counts), (1.0, 3.0));
    /// ```
    fn from_str(text: &str) -> Result<Self, AmountError> {
        accuracy(text).ok_or_else(|| refuse(text, ACCURACY))
    }
}

fn accuracy(text: &str) -> Option<Accuracy> {
    let plain = text.trim().trim_start_matches('\u{b1}');
    let (mut percent, mut counts, mut amount_a) = (None, None, None);
    for term in plain.split('+').map(str::trim) {
        let (slot, value) = if let Some(number) = term.strip_suffix('%') {
            (&mut percent, positive(number)?)
        } else if let Some(number) = counted(term) {
            (&mut counts, number)
        } else {
            (&mut amount_a, amount::current_a(term).ok()?)
        };
        if value < 0.0 || slot.replace(value).is_some() {
            return None;
        }
    }
    // A bare number could be meant as percent as well as counts: only beside another term is it
    // clear.
    percent.or(amount_a)?;
    Some(Accuracy {
        percent: percent.unwrap_or_default(),
        counts: counts.unwrap_or_default(),
        amount_a: amount_a.unwrap_or_default(),
    })
}

/// `3`, `3 counts`, `3 digits`, `3 dgt`: units of the last written place.
fn counted(term: &str) -> Option<f64> {
    let number = ["counts", "digits", "dgt"]
        .into_iter()
        .find_map(|word| term.strip_suffix(word))
        .unwrap_or(term);
    positive(number)
}

/// Reads a drift in ampere an hour.
///
/// # Errors
/// [`AmountError`] naming what was found and what was expected.
pub fn drift_a_per_h(text: &str) -> Result<f64, AmountError> {
    text.trim()
        .strip_suffix("/h")
        .and_then(|current| amount::current_a(current).ok())
        .filter(|drift| *drift >= 0.0)
        .ok_or_else(|| refuse(text, DRIFT))
}

impl FromStr for Battery {
    type Err = AmountError;

    /// Reads what is printed on the battery.
    ///
    /// ```
    /// use lullboard::session::card::Battery;
    /// let battery: Battery = "agm,70Ah".parse().unwrap();
    /// assert_eq!(battery.c20_ah, Some(70.0));
    /// ```
    fn from_str(text: &str) -> Result<Self, AmountError> {
        battery(text).ok_or_else(|| refuse(text, BATTERY))
    }
}

fn battery(text: &str) -> Option<Battery> {
    let text = text.trim().to_ascii_lowercase();
    let mut parts = text.split(',').map(str::trim);
    let mut battery = Battery {
        kind: kind(parts.next()?)?,
        c20_ah: None,
        reserve_min: None,
    };
    for part in parts {
        let (slot, number) = if let Some(minutes) = part.strip_prefix("rc:") {
            let minutes = minutes.strip_suffix("min").unwrap_or(minutes);
            (&mut battery.reserve_min, minutes)
        } else {
            (&mut battery.c20_ah, part.strip_suffix("ah")?)
        };
        let size = positive(number).filter(|size| *size > 0.0)?;
        if slot.replace(size).is_some() {
            return None;
        }
    }
    Some(battery)
}

fn kind(word: &str) -> Option<BatteryKind> {
    Some(match word {
        "flooded" => BatteryKind::Flooded,
        "efb" => BatteryKind::Efb,
        "agm" => BatteryKind::Agm,
        "gel" => BatteryKind::Gel,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parts(text: &str) -> (f64, f64, f64) {
        let accuracy: Accuracy = text.parse().unwrap();
        (accuracy.percent, accuracy.counts, accuracy.amount_a)
    }

    #[test]
    fn an_accuracy_reads_as_manuals_print_it() {
        assert_eq!(parts("1.0%+3"), (1.0, 3.0, 0.0));
        assert_eq!(parts("\u{b1}1.5 % + 10 digits"), (1.5, 10.0, 0.0));
        assert_eq!(parts("0.5%+1mA"), (0.5, 0.0, 0.001));
        assert_eq!(parts("2mA"), (0.0, 0.0, 0.002));
    }

    #[test]
    fn what_could_mean_two_things_is_refused() {
        for text in ["3", "", "1%+2%", "1%+", "-1%", "1%+-3mA", "1 percent"] {
            let refused = text.parse::<Accuracy>().unwrap_err().to_string();
            assert!(refused.contains("1.0%+3"), "{text:?}: {refused}");
        }
    }

    #[test]
    fn a_battery_has_a_kind_and_perhaps_sizes() {
        let battery: Battery = "Flooded, rc:120, 60 Ah".parse().unwrap();
        assert_eq!(battery.kind, BatteryKind::Flooded);
        assert_eq!(
            (battery.c20_ah, battery.reserve_min),
            (Some(60.0), Some(120.0))
        );
        for text in [
            "",
            "70Ah",
            "agm,70",
            "agm,0Ah",
            "lithium,70Ah",
            "agm,70Ah,80Ah",
        ] {
            assert!(text.parse::<Battery>().is_err(), "{text:?}");
        }
    }

    #[test]
    fn a_drift_is_a_current_for_each_hour() {
        assert!((drift_a_per_h("5mA/h").unwrap() - 0.005).abs() < 1e-15);
        for text in ["5mA", "-5mA/h", "5/day"] {
            assert!(drift_a_per_h(text).is_err(), "{text:?}");
        }
    }
}
