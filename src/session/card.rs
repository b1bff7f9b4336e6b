//! The card: what is known of the car, its battery and the meter before and while measuring.
//!
//! Every field may be missing. The header holds the card as the session began; each `set` entry
//! is a card too, holding only what changed. Flags, the TOML file and the session file share
//! this one definition, the table in `fields`.

pub(super) mod bounds;
mod field;
mod fields;
mod form;
mod same_car;

use serde::{Deserialize, Serialize};

use crate::meter::Probe;
use crate::reading::named::named;

pub use bounds::OutOfBounds;
pub use field::{Field, FieldError};
pub use fields::{Card, FIELDS, FUSES};
pub use same_car::OtherCar;

impl Card {
    /// How fast the zero wanders in the cable: turns through the jaws divide what the clamp shows.
    pub fn cable_drift_a_per_h(&self) -> f64 {
        self.drift_a_per_h.unwrap_or_default() / self.probe().turns()
    }

    /// What stands between the meter and the current. A clamp gives volts for amperes just as a
    /// shunt does: a milliohm is a millivolt for each ampere.
    pub fn probe(&self) -> Probe {
        let mv_per_a = self.clamp_mv_per_a.or(self.shunt_mohm);
        let usable = |x: &f64| x.is_finite() && *x > 0.0;
        Probe::new(
            mv_per_a.filter(usable).map(|mv_per_a| mv_per_a / 1000.0),
            self.turns.filter(usable),
        )
    }
}

/// A meter's accuracy as its manual gives it: ± (percent of reading + counts), or an amount.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Accuracy {
    /// Percent of the reading (the gain part).
    pub percent: f64,
    /// Counts of the last written place (the offset part).
    pub counts: f64,
    /// A fixed amount in ampere (also offset).
    pub amount_a: f64,
}

/// The battery, as printed on it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Battery {
    /// How it is built.
    pub kind: BatteryKind,
    /// Capacity at the 20 h rate, in ampere-hours.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub c20_ah: Option<f64>,
    /// Reserve capacity: minutes at 25 A to 10.5 V.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reserve_min: Option<f64>,
    /// The cold-cranking current, with the standard it was tested by.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cranking: Option<Cranking>,
}

/// A cold-cranking current; without its standard the figure says little.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Cranking {
    /// The current, in ampere.
    pub a: f64,
    /// The test's standard.
    pub standard: CrankingStandard,
}

/// By which standard a cold-cranking current was tested; figures of two standards do not compare.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "UPPERCASE")]
pub enum CrankingStandard {
    /// EN 50342-1.
    En,
    /// SAE J537, the same test as BCI's.
    Sae,
    /// IEC 60095-1.
    Iec,
    /// The withdrawn DIN 43539-2.
    Din,
}

named!(CrankingStandard::word { En = "EN", Sae = "SAE", Iec = "IEC", Din = "DIN" });

/// The battery's voltage at rest, and what it depends on.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Rest {
    /// The voltage, in volts.
    pub volts: f64,
    /// How long the battery had rested, in seconds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rested_s: Option<f64>,
    /// Its temperature, in degrees Celsius.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<f64>,
}

/// How a lead-acid battery is built.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum BatteryKind {
    /// Flooded (wet) cells.
    Flooded,
    /// Enhanced flooded battery.
    Efb,
    /// Absorbent glass mat.
    Agm,
    /// Gelled electrolyte.
    Gel,
}

named!(BatteryKind::word { Flooded = "flooded", Efb = "EFB", Agm = "AGM", Gel = "gel" });

/// What drives the car: which cautions it calls for hangs on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Powertrain {
    /// An engine alone.
    Combustion,
    /// An engine that stops at every halt.
    StartStop,
    /// An engine and a high-voltage battery.
    Hybrid,
    /// A high-voltage battery alone.
    Electric,
}

named!(Powertrain::word {
    Combustion = "combustion",
    StartStop = "start-stop",
    Hybrid = "hybrid",
    Electric = "electric",
});

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_keeps_what_it_does_not_name() {
        let mut card = Card {
            limit_a: Some(0.03),
            car: Some("job 12".into()),
            ..Card::default()
        };
        card.merge(&Card {
            limit_a: Some(0.05),
            ..Card::default()
        });
        assert_eq!(card.car.as_deref(), Some("job 12"));
        assert_eq!(card.limit_a, Some(0.05));
    }
}
