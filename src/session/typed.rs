//! Limit, accuracy, drift, battery, rest voltage and the millivolts across a fuse as people type them:
//! `1.0%+3`, `5mA/h`, `agm,70Ah`, `12.4V,4h,10C`, `E11 0.40 7.7m`; and the compound ones in words.

mod battery;
mod probe;

use std::fmt;

pub use probe::{clamp_mv_per_a, percent, shunt_mohm, turns};

use super::FuseDrop;
use super::card::{Accuracy, Battery, Rest, bounds};
use crate::fuse::Millivolts;
use crate::reading::amount::{self, refuse, typed};
use crate::reading::{AmountError, quantity};
use battery::battery;

const LIMIT: &str = "a limit: expected a current above zero and at most 2 A, with its unit, as in \
    50mA";
const ACCURACY: &str =
    "an accuracy: expected percent of reading + counts or an amount, as in 1.0%+3 or 0.5%+1mA";
const DRIFT: &str = "a drift: expected a current for each hour, as in 5mA/h";
const BATTERY: &str = "a battery: expected flooded, efb, agm or gel and what is printed on it, \
    as in agm,70Ah or flooded,rc:120 or agm,70Ah,760A-EN (EN, SAE, IEC or DIN)";
const REST: &str = "a rest voltage: expected volts, then if known how long at rest and how warm, \
    as in 12.4V or 12.4V,4h,10C";
const DROP: &str = "a drop across a fuse: expected its label, then millivolts with every place \
    the meter shows, then its resistance if measured, as in E11 2.3 or E11 0.40 7.7m";

typed! {
    /// Reads the figure as the meter's manual prints it.
    ///
    /// ```
    /// use lullboard::session::card::Accuracy;
    /// let accuracy: Accuracy = "1.0%+3".parse().unwrap();
    /// assert_eq!((accuracy.percent, accuracy.counts), (1.0, 3.0));
    /// ```
    Accuracy: accuracy, ACCURACY;
    /// Reads what is printed on the battery.
    ///
    /// ```
    /// use lullboard::session::card::Battery;
    /// let battery: Battery = "agm,70Ah".parse().unwrap();
    /// assert_eq!(battery.c20_ah, Some(70.0));
    /// ```
    Battery: battery, BATTERY;
    /// Reads volts, then in any order how long the battery rested and how warm it was.
    ///
    /// ```
    /// use lullboard::session::card::Rest;
    /// let rest: Rest = "12.4V,4h,10C".parse().unwrap();
    /// assert_eq!((rest.rested_s, rest.temperature_c), (Some(14_400.0), Some(10.0)));
    /// ```
    Rest: rest, REST;
    /// Reads a label, millivolts and perhaps the fuse's own resistance.
    ///
    /// ```
    /// use lullboard::session::entry::FuseDrop;
    /// let drop: FuseDrop = "E11 0.40".parse().unwrap();
    /// assert_eq!((drop.mv, drop.step_mv), (0.4, Some(0.01)));
    /// ```
    FuseDrop: fuse_drop, DROP;
}

/// Reads a limit in ampere: a current that a parked car can be held to.
///
/// # Errors
/// [`AmountError`] naming what was found and what was expected.
pub fn limit_a(text: &str) -> Result<f64, AmountError> {
    amount::current_a(text)
        .ok()
        .filter(|limit_a| bounds::LIMIT_A.fit(*limit_a))
        .ok_or_else(|| refuse(text, LIMIT))
}

/// A number that is zero or more, as every figure here is.
fn positive(text: &str) -> Option<f64> {
    let value: f64 = text.trim().parse().ok()?;
    (value.is_finite() && value >= 0.0).then_some(value)
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

fn rest(text: &str) -> Option<Rest> {
    let mut parts = text.split(',').map(str::trim);
    let mut rest = Rest {
        volts: amount::rest_v(parts.next()?).ok()?,
        rested_s: None,
        temperature_c: None,
    };
    for part in parts {
        // A bare number would be seconds: nobody means that here.
        let is_bare = part.parse::<f64>().is_ok();
        let (slot, value) = match amount::temperature_c(part) {
            Ok(celsius) => (&mut rest.temperature_c, celsius),
            Err(_) if is_bare => return None,
            Err(_) => (&mut rest.rested_s, amount::time_s(part).ok()?),
        };
        if slot.replace(value).is_some() {
            return None;
        }
    }
    Some(rest)
}

fn fuse_drop(text: &str) -> Option<FuseDrop> {
    let mut words = text.split_whitespace();
    let (what, read) = (words.next()?, words.next()?);
    let read: Millivolts = read.parse().ok()?;
    let ohms = match words.next() {
        Some(ohms) => Some(amount::ohms(ohms).ok()?),
        None => None,
    };
    words.next().is_none().then(|| FuseDrop {
        what: what.to_owned(),
        mv: read.mv,
        step_mv: Some(read.step_mv),
        ohms,
        ..FuseDrop::default()
    })
}

impl fmt::Display for Accuracy {
    /// As the meter's manual prints it: `± (1 % + 3 counts)`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let terms = [
            (self.percent, format!("{} %", self.percent)),
            (self.counts, format!("{} counts", self.counts)),
            (self.amount_a, quantity::amount(self.amount_a)),
        ];
        let named = terms.into_iter().filter(|term| term.0 > 0.0);
        let named: Vec<String> = named.map(|term| term.1).collect();
        write!(f, "\u{b1} ({})", named.join(" + "))
    }
}

impl fmt::Display for Battery {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.kind)?;
        if let Some(ah) = self.c20_ah {
            write!(f, ", {ah} Ah")?;
        }
        if let Some(minutes) = self.reserve_min {
            write!(f, ", reserve {minutes} min")?;
        }
        let Some(cranking) = self.cranking else {
            return Ok(());
        };
        write!(f, ", {} A ({})", cranking.a, cranking.standard)
    }
}

impl fmt::Display for Rest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} V", self.volts)?;
        if let Some(rested_s) = self.rested_s {
            write!(f, " after {}", quantity::span(rested_s))?;
        }
        if let Some(celsius) = self.temperature_c {
            write!(f, " at {celsius} C")?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::card::{BatteryKind, CrankingStandard};

    fn parts(text: &str) -> (f64, f64, f64) {
        let accuracy: Accuracy = text.parse().unwrap();
        (accuracy.percent, accuracy.counts, accuracy.amount_a)
    }

    #[test]
    fn a_limit_is_above_zero() {
        assert!((limit_a("50mA").unwrap() - 0.05).abs() < 1e-12);
        for text in ["0", "-50mA", "fifty", "50"] {
            assert!(limit_a(text).is_err(), "{text:?}");
        }
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
            "agm,0Ah",
            "lithium,70Ah",
            "agm,760A",
            "agm,760A-ISO",
            "agm,0A-EN",
            "agm,760A-EN,700A-SAE",
            "agm,70Ah,80Ah",
        ] {
            assert!(text.parse::<Battery>().is_err(), "{text:?}");
        }
    }

    #[test]
    fn a_cranking_current_names_its_standard() {
        let battery: Battery = "agm,70Ah,760A-EN".parse().unwrap();
        let cranking = battery.cranking.unwrap();
        assert_eq!(cranking.standard, CrankingStandard::En);
        assert_eq!((cranking.a, battery.c20_ah), (760.0, Some(70.0)));
        let only: Battery = "agm,760 A-sae".parse().unwrap();
        assert_eq!((only.c20_ah, only.reserve_min), (None, None));
    }

    #[test]
    fn a_rest_voltage_may_say_how_long_and_how_warm() {
        let rest: Rest = "12.4V".parse().unwrap();
        assert_eq!((rest.rested_s, rest.temperature_c), (None, None));
        let rest: Rest = "12.53, -5C, 30min".parse().unwrap();
        assert_eq!(
            (rest.rested_s, rest.temperature_c),
            (Some(1800.0), Some(-5.0))
        );
        for text in ["", "4h", "1240", "12.4V,4", "12.4V,4h,5h", "12.4V,warm"] {
            let refused = text.parse::<Rest>().unwrap_err().to_string();
            assert!(refused.contains("12.4V,4h,10C"), "{text:?}: {refused}");
        }
    }

    #[test]
    fn a_drift_is_a_current_for_each_hour() {
        assert!((drift_a_per_h("5mA/h").unwrap() - 0.005).abs() < 1e-15);
        for text in ["5mA", "-5mA/h", "5/day"] {
            assert!(drift_a_per_h(text).is_err(), "{text:?}");
        }
    }

    #[test]
    fn a_drop_is_label_millivolts_and_perhaps_ohms() {
        let drop: FuseDrop = " E11  -0.4mV 7.7m ".parse().unwrap();
        assert_eq!(
            (drop.what.as_str(), drop.mv, drop.step_mv),
            ("E11", -0.4, Some(0.1))
        );
        assert_eq!(drop.ohms, Some(0.0077));
        for text in ["", "E11", "E11 two", "E11 0.4 0", "E11 0.4 7.7m 3"] {
            let refused = text.parse::<FuseDrop>().unwrap_err().to_string();
            assert!(refused.contains("E11 0.40 7.7m"), "{text:?}: {refused}");
        }
    }
}
