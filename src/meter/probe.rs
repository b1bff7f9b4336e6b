//! What stands between the car's current and the meter: a clamp or a shunt that turns it into
//! volts, turns through the jaws that multiply it. Volts in, amperes out.

use super::{Heard, Unit, Unusable};
use crate::reading::{Amps, Measured, number};

/// What a voltmeter says. [`Amps`] keeps any decimal number exactly: in here it counts volts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Voltage(pub Measured);

/// What the meter's knob must stand on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Expects {
    /// Direct current.
    #[default]
    Amperes,
    /// Direct voltage, from a clamp or a shunt.
    Volts,
}

impl Expects {
    /// What the meter shows in this unit.
    pub(super) const fn of(unit: Unit) -> Self {
        if unit.is_voltage() {
            Self::Volts
        } else {
            Self::Amperes
        }
    }

    /// What was expected, as it was measured.
    pub(super) const fn heard(self, value: Measured) -> Heard {
        match self {
            Self::Amperes => Heard::Value(value),
            Self::Volts => Heard::Voltage(Voltage(value)),
        }
    }
}

/// From what the meter shows to the current in the car's cable.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Probe {
    /// Volts for each ampere through the probe; `None` when the meter shows amperes itself.
    volts_per_a: Option<f64>,
    /// How often the cable passes through the jaws.
    turns: Option<f64>,
    /// Whether the meter reads the battery's voltage, and no current at all.
    on_battery: bool,
}

impl Probe {
    /// `volts_per_a` and `turns` are above zero.
    pub const fn new(volts_per_a: Option<f64>, turns: Option<f64>) -> Self {
        Self {
            volts_per_a,
            turns,
            on_battery: false,
        }
    }

    /// Of a second meter that reads the battery's volts: they pass as they stand, a volt for a unit.
    pub const fn on_battery() -> Self {
        Self {
            volts_per_a: None,
            turns: None,
            on_battery: true,
        }
    }

    /// What the meter's knob must stand on.
    pub const fn expects(&self) -> Expects {
        match self.volts_per_a {
            _ if self.on_battery => Expects::Volts,
            Some(_) => Expects::Volts,
            None => Expects::Amperes,
        }
    }

    /// How often the cable passes through the jaws.
    pub fn turns(&self) -> f64 {
        self.turns.unwrap_or(1.0)
    }

    /// What the meter shows, divided by the current in the cable.
    fn gain(&self) -> f64 {
        self.volts_per_a.unwrap_or(1.0) * self.turns()
    }

    /// One count of the meter over one unit of the last place in which the current is written:
    /// from 1 up to 10. The judge needs it, because decimals alone tell only powers of ten.
    ///
    /// ```
    /// use lullboard::meter::probe::Probe;
    /// // 75 mV at 100 A: 0.1 mV is 0.133 A, written with one decimal.
    /// let shunt = Probe::new(Some(0.000_75), None);
    /// assert!((shunt.count_in_last_places() - 1.333).abs() < 1e-3);
    /// ```
    pub fn count_in_last_places(&self) -> f64 {
        let per_count = 1.0 / self.gain();
        per_count / 10f64.powi(self.places_moved())
    }

    /// By how many places the point moves to the right; the last place stays at or below a count.
    fn places_moved(&self) -> i32 {
        // A millionth against 1/0.1 that falls just short of 10.
        let exponent = (-self.gain().log10() + 1e-6).floor();
        i32::try_from(number::round_to_i64(exponent)).unwrap_or(0)
    }

    /// The current that makes the meter show `shown`.
    fn current(&self, shown: Amps) -> Amps {
        let decimals = i32::from(shown.decimals()).saturating_sub(self.places_moved());
        let decimals = u8::try_from(decimals.max(0)).unwrap_or(u8::MAX);
        Amps::rounded(shown.value_a() / self.gain(), decimals)
    }

    /// Turns what the meter shows into the car's current; what it must not show becomes
    /// [`Unusable::OtherQuantity`].
    pub fn convert(&self, heard: Heard) -> Heard {
        if self.on_battery {
            return volts(heard);
        }
        let shown = match (heard, self.expects()) {
            (Heard::Voltage(Voltage(shown)), Expects::Volts) => shown,
            (Heard::Value(shown), Expects::Amperes) if self.turns.is_some() => shown,
            (Heard::Voltage(_), Expects::Amperes) | (Heard::Value(_), Expects::Volts) => {
                return Heard::Unusable(Unusable::OtherQuantity);
            }
            (heard, _) => return heard,
        };
        Heard::Value(match shown {
            Measured::Amps(shown) => Measured::Amps(self.current(shown)),
            Measured::Over => Measured::Over,
        })
    }

    /// The probe in words; `None` when nothing stands between.
    pub fn in_words(&self) -> Option<String> {
        let mut parts = Vec::new();
        if let Some(volts_per_a) = self.volts_per_a {
            parts.push(format!("{} mV for each ampere", trimmed(volts_per_a * 1e3)));
        }
        if let Some(turns) = self.turns {
            parts.push(format!("{} turns", trimmed(turns)));
        }
        (!parts.is_empty()).then(|| parts.join(", "))
    }
}

/// The battery's volts; a voltmeter beyond its range says nothing of a battery.
fn volts(heard: Heard) -> Heard {
    if let Heard::Voltage(Voltage(volts @ Measured::Amps(_))) = heard {
        Heard::Value(volts)
    } else if matches!(heard, Heard::Voltage(_) | Heard::Value(_)) {
        Heard::Unusable(Unusable::OtherQuantity)
    } else {
        heard
    }
}

fn trimmed(x: f64) -> String {
    let text = format!("{x:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn volts(probe: Probe, text: &str, exponent: i32) -> String {
        let volts = Amps::parse_in(text, exponent).unwrap();
        shown(&probe.convert(Heard::Voltage(Voltage(Measured::Amps(volts)))))
    }

    fn shown(heard: &Heard) -> String {
        let Heard::Value(Measured::Amps(amps)) = heard else {
            return format!("{heard:?}");
        };
        amps.to_string()
    }

    /// Ohm's law by hand. The shunts are those of the trade: 100 A / 75 mV = 0.75 mohm,
    /// 50 A / 75 mV = 1.5 mohm; 50 mA on 0.75 mohm = 37.5 uV, on 0.1 ohm = 5 mV (arithmetic).
    #[test]
    fn volts_become_amperes_and_no_place_is_finer_than_a_count() {
        let clamp = Probe::new(Some(0.1), None);
        assert_eq!(volts(clamp, "4.2", -3), "0.042", "100 mV/A, 0.1 mV steps");
        assert_eq!(volts(clamp, "-12.34", -3), "-0.1234");
        let shunt = Probe::new(Some(0.000_75), None);
        assert_eq!(volts(shunt, "75.0", -3), "100.0");
        assert_eq!(volts(shunt, "0.0375", -3), "0.0500", "0.1 uV is 0.133 mA");
        let small = Probe::new(Some(0.0015), None);
        assert_eq!(volts(small, "75.00", -3), "50.000", "10 uV is 6.7 mA");
        let tenth = Probe::new(Some(0.1), None);
        assert_eq!(volts(tenth, "5.00", -3), "0.0500");
        let one = Probe::new(Some(0.001), None);
        assert_eq!(
            volts(one, "52", -3),
            "52",
            "1 mV/A: a millivolt is an ampere"
        );
    }

    #[test]
    fn a_count_is_one_to_ten_last_places() {
        for (volts_per_a, turns, places) in [
            (Some(0.1), None, 1.0),
            (Some(0.01), None, 1.0),
            (Some(0.000_75), None, 1.333_333),
            (Some(0.0015), None, 6.666_667),
            (None, Some(5.0), 2.0),
            (Some(0.1), Some(4.0), 2.5),
            (None, None, 1.0),
        ] {
            let probe = Probe::new(volts_per_a, turns);
            let found = probe.count_in_last_places();
            assert!((found - places).abs() < 1e-4, "{probe:?}: {found}");
        }
    }

    #[test]
    fn turns_divide_what_the_meter_shows() {
        let five = Probe::new(None, Some(5.0));
        let amps = |text: &str| Heard::Value(Measured::Amps(Amps::parse(text).unwrap()));
        assert_eq!(shown(&five.convert(amps("0.250"))), "0.0500");
        assert_eq!(shown(&Probe::default().convert(amps("0.250"))), "0.250");
        let clamp = Probe::new(Some(0.1), Some(5.0));
        assert_eq!(volts(clamp, "25.0", -3), "0.0500");
    }

    #[test]
    fn the_probe_is_named_in_words() {
        assert_eq!(Probe::default().in_words(), None);
        let clamp = Probe::new(Some(0.1), Some(5.0));
        let words = clamp.in_words();
        assert_eq!(words.as_deref(), Some("100 mV for each ampere, 5 turns"));
        let shunt = Probe::new(Some(0.000_75), None);
        assert_eq!(shunt.in_words().as_deref(), Some("0.75 mV for each ampere"));
    }

    #[test]
    fn the_wrong_quantity_is_no_value() {
        let other = Heard::Unusable(Unusable::OtherQuantity);
        let over = Heard::Voltage(Voltage(Measured::Over));
        assert_eq!(Probe::default().convert(over.clone()), other);
        let clamp = Probe::new(Some(0.1), None);
        assert_eq!(clamp.convert(over), Heard::Value(Measured::Over));
        let amps = Heard::Value(Measured::Amps(Amps::parse("1").unwrap()));
        assert_eq!(clamp.convert(amps), other);
    }

    #[test]
    fn a_meter_on_the_battery_gives_volts_as_they_stand_and_no_ampere() {
        let battery = Probe::on_battery();
        assert_eq!(battery.expects(), Expects::Volts);
        assert_eq!(volts(battery, "12.410", 0), "12.410");
        assert_eq!(volts(battery, "12410", -3), "12.410");
        let other = Heard::Unusable(Unusable::OtherQuantity);
        let amps = Heard::Value(Measured::Amps(Amps::parse("1").unwrap()));
        assert_eq!(battery.convert(amps), other);
        let over = Heard::Voltage(Voltage(Measured::Over));
        assert_eq!(battery.convert(over), other);
        assert_eq!(battery.in_words(), None);
    }
}
