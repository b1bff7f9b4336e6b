//! What a handheld meter's display shows, and what counts of it: one order of precedence for all
//! formats. How the bytes tell it is each format's own file.

use super::{Expects, Heard, Unit, Unusable};
use crate::reading::{Amps, Measured};

/// Whether a bit of a flag byte is set.
pub(super) const fn bit(byte: u8, mask: u8) -> bool {
    byte & mask != 0
}

/// What stands on the display.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct OnDisplay {
    pub quantity: Quantity,
    /// `None` when the display says neither.
    pub coupling: Option<Coupling>,
    pub figure: Readout,
    pub flags: Annunciators,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Quantity {
    /// A current, or a voltage that is one behind a clamp or a shunt.
    In(Unit),
    Other,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Coupling {
    Direct,
    /// Alternating, or alternating and direct together.
    Alternating,
}

/// The digits, as a whole number and the places after the point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Readout {
    Number { digits: i64, decimals: u8 },
    Over,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Annunciators {
    pub standing: Liveness,
    pub low_cell: bool,
    pub auto_power_off: bool,
}

/// What stands before a unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Prefix {
    None,
    Nano,
    Micro,
    Milli,
    Kilo,
    Mega,
}

impl Prefix {
    /// The unit of current it makes; no handheld shows kiloampere, and mega is a fault.
    pub(super) const fn of_ampere(self) -> Option<Unit> {
        match self {
            Self::None => Some(Unit::Ampere),
            Self::Nano => Some(Unit::Nanoampere),
            Self::Micro => Some(Unit::Microampere),
            Self::Milli => Some(Unit::Milliampere),
            Self::Kilo | Self::Mega => None,
        }
    }

    /// The voltage it makes; of nano-, kilo- and megavolt no clamp or shunt makes a current.
    pub(super) const fn of_volt(self) -> Quantity {
        match self {
            Self::None => Quantity::In(Unit::Volt),
            Self::Milli => Quantity::In(Unit::Millivolt),
            Self::Micro => Quantity::In(Unit::Microvolt),
            Self::Nano | Self::Kilo | Self::Mega => Quantity::Other,
        }
    }

    /// The one prefix that is lit; `None` when there are two.
    pub(super) fn only(lit: impl IntoIterator<Item = (bool, Self)>) -> Option<Self> {
        let mut lit = lit.into_iter().filter(|(lit, _)| *lit);
        match (lit.next(), lit.next()) {
            (None, _) => Some(Self::None),
            (Some((_, prefix)), None) => Some(prefix),
            (Some(_), Some(_)) => None,
        }
    }
}

/// How the figure stands to the current of this moment.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Liveness {
    #[default]
    Live,
    /// Counted from a stored zero.
    Relative,
    /// HOLD, MAX, MIN or a peak.
    Held,
}

impl Liveness {
    /// From the annunciators; a frozen difference is frozen above all.
    pub(super) const fn of(held: bool, relative: bool) -> Self {
        match (held, relative) {
            (true, _) => Self::Held,
            (false, true) => Self::Relative,
            (false, false) => Self::Live,
        }
    }
}

impl Coupling {
    /// From the two annunciators.
    pub(super) const fn of(ac: bool, dc: bool) -> Option<Self> {
        match (ac, dc) {
            (true, _) => Some(Self::Alternating),
            (false, true) => Some(Self::Direct),
            (false, false) => None,
        }
    }
}

impl Readout {
    /// A number from its digits, the highest first.
    pub(super) fn of(digits: impl IntoIterator<Item = u8>, negative: bool, decimals: u8) -> Self {
        let magnitude = digits.into_iter().fold(0_i64, |number, digit| {
            number.saturating_mul(10).saturating_add(i64::from(digit))
        });
        let digits = if negative { -magnitude } else { magnitude };
        Self::Number { digits, decimals }
    }

    /// It as a current or a voltage; `None` where it has too many places.
    /// The same from the digits' characters; `None` where one of them is no digit.
    pub(super) fn of_ascii(digits: &[u8], negative: bool, decimals: u8) -> Option<Self> {
        let all = digits.iter().all(u8::is_ascii_digit);
        all.then(|| Self::of(digits.iter().map(|digit| digit & 0x0f), negative, decimals))
    }

    /// Over-range where `over` says so.
    pub(super) const fn unless(self, over: bool) -> Self {
        if over { Self::Over } else { self }
    }

    fn live(self, unit: Unit) -> Option<Heard> {
        Some(Expects::of(unit).heard(match self {
            Self::Over => Measured::Over,
            Self::Number { digits, decimals } => {
                Measured::Amps(Amps::new(digits, decimals)?.times_ten_to(unit.exponent())?)
            }
        }))
    }
}

impl OnDisplay {
    /// The unit, when a live direct current or voltage is shown.
    pub(super) fn live_unit(&self) -> Option<Unit> {
        match (self.quantity, self.coupling, self.flags.standing) {
            (Quantity::In(unit), Some(Coupling::Direct), Liveness::Live) => Some(unit),
            (_, _, _) => None,
        }
    }

    /// What it means: the wrong quantity before the frozen display, both before the number.
    pub(super) fn heard(&self, message: &[u8]) -> Heard {
        let unsure = |why| Heard::Unsure {
            bytes: message.to_vec(),
            why,
        };
        let Quantity::In(unit) = self.quantity else {
            return Heard::Unusable(Unusable::OtherQuantity);
        };
        match (self.coupling, unit.is_voltage()) {
            (Some(Coupling::Direct), _) => {}
            (Some(Coupling::Alternating), false) => return Heard::Unusable(Unusable::Ac),
            // No current of any clamp or shunt.
            (Some(Coupling::Alternating), true) => {
                return Heard::Unusable(Unusable::OtherQuantity);
            }
            (None, false) => {
                return unsure("a current marked neither DC nor AC: turn the knob to DC current");
            }
            (None, true) => {
                return unsure(
                    "a voltage marked neither DC nor AC: turn the knob to DC current, or behind \
                     a clamp or shunt to DC volts",
                );
            }
        }
        match self.flags.standing {
            Liveness::Held => return Heard::Unusable(Unusable::Held),
            Liveness::Relative => return Heard::Unusable(Unusable::Relative),
            Liveness::Live => {}
        }
        self.figure
            .live(unit)
            .unwrap_or_else(|| unsure("more places than a current has"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::meter::probe::Voltage;

    fn shown() -> OnDisplay {
        OnDisplay {
            quantity: Quantity::In(Unit::Milliampere),
            coupling: Some(Coupling::Direct),
            figure: Readout::of([1, 2, 3, 4, 0], true, 3),
            flags: Annunciators::default(),
        }
    }

    #[test]
    fn the_unit_moves_the_point_and_the_last_zero_stays() {
        let Heard::Value(Measured::Amps(amps)) = shown().heard(&[]) else {
            panic!("no value");
        };
        assert_eq!(amps.to_string(), "-0.012340");
    }

    #[test]
    fn volts_keep_their_places_too() {
        let volts = OnDisplay {
            quantity: Prefix::Milli.of_volt(),
            ..shown()
        };
        let Heard::Voltage(Voltage(Measured::Amps(volts))) = volts.heard(&[]) else {
            panic!("no voltage");
        };
        assert_eq!(volts.to_string(), "-0.012340");
        assert_eq!(Prefix::Kilo.of_volt(), Quantity::Other);
    }

    #[test]
    fn what_is_no_live_direct_current_is_never_a_number() {
        let with = |change: fn(&mut OnDisplay)| {
            let mut shown = shown();
            change(&mut shown);
            assert_eq!(shown.live_unit(), None);
            shown.heard(&[7])
        };
        let held = with(|s| s.flags.standing = Liveness::of(true, true));
        assert_eq!(held, Heard::Unusable(Unusable::Held));
        let relative = with(|s| s.flags.standing = Liveness::of(false, true));
        assert_eq!(relative, Heard::Unusable(Unusable::Relative));
        let ac = with(|s| {
            s.coupling = Coupling::of(true, true);
            s.flags.standing = Liveness::Held;
        });
        assert_eq!(ac, Heard::Unusable(Unusable::Ac));
        let volts = with(|s| {
            s.quantity = Quantity::Other;
            s.figure = Readout::Over;
        });
        assert_eq!(volts, Heard::Unusable(Unusable::OtherQuantity));
        let ac_volts = with(|s| {
            s.quantity = Quantity::In(Unit::Millivolt);
            s.coupling = Coupling::of(true, false);
        });
        assert_eq!(ac_volts, Heard::Unusable(Unusable::OtherQuantity));
        let held_volts = with(|s| {
            s.quantity = Quantity::In(Unit::Volt);
            s.flags.standing = Liveness::Held;
        });
        assert_eq!(held_volts, Heard::Unusable(Unusable::Held));
        let neither = with(|s| s.coupling = None);
        assert!(matches!(neither, Heard::Unsure { bytes, .. } if bytes == [7]));
        let neither = with(|s| {
            s.quantity = Quantity::In(Unit::Volt);
            s.coupling = None;
        });
        assert!(matches!(neither, Heard::Unsure { bytes, .. } if bytes == [7]));
    }
}
