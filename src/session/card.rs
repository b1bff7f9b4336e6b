//! The card: what is known of the car, its battery and the meter before and while measuring.
//!
//! Every field may be missing. The header holds the card as the session began; each `set` entry
//! is a card too, holding only what changed. Flags, the TOML file and the session file share
//! this one definition.

use serde::{Deserialize, Serialize};

use crate::fuse::map::Circuit;
use crate::meter::probe::Probe;

/// What is known of the job. `None` everywhere means: nobody said.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Card {
    /// The car, in the workshop's words (a job number, a plate).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub car: Option<String>,
    /// The complaint, in the customer's words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub complaint: Option<String>,
    /// After standing how long the battery was flat, in seconds.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flat_after_s: Option<f64>,
    /// How long the owner needs the car to stand and still start, in seconds.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub required_standing_s: Option<f64>,
    /// The largest acceptable key-off current, from the maker's data, in ampere.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit_a: Option<f64>,
    /// How long the car's modules may need to fall asleep, in seconds.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sleep_timeout_s: Option<f64>,
    /// The meter's accuracy on the range in use.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accuracy: Option<Accuracy>,
    /// What a clamp gives, in millivolts for each ampere, when it hangs on a voltmeter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clamp_mv_per_a: Option<f64>,
    /// The shunt that a voltmeter measures across, in milliohm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shunt_mohm: Option<f64>,
    /// How often the cable passes through the clamp's jaws.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub turns: Option<f64>,
    /// The accuracy of clamp or shunt, in percent of the reading, beside the meter's own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub probe_accuracy: Option<f64>,
    /// How fast a clamp's zero wanders, in ampere an hour.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drift_a_per_h: Option<f64>,
    /// The battery.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub battery: Option<Battery>,
    /// The battery's voltage at rest.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rest: Option<Rest>,
    /// The meter, clamp or shunt, in the workshop's words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub meter: Option<String>,
    /// How many keys came with the car.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub key_count: Option<u32>,
    /// Who measured.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub technician: Option<String>,
    /// The number plate, or the chassis number.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plate: Option<String>,
    /// What the odometer shows, with its unit, as it is read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub odometer: Option<String>,
    /// What the battery's own test said, in the words of whoever tested it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub battery_test: Option<String>,
    /// Whatever else should be on the sheet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub notes: Option<String>,
    /// Whether the car was known to be asleep when the record began.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub asleep_at_start: Option<bool>,
    /// The car's fuse map. A header lifts it out of the card (`journal::header`).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fuses: Option<Vec<Circuit>>,
}

impl Card {
    /// Takes over every field that `change` names and keeps the rest.
    pub fn merge(&mut self, change: &Self) {
        fn take<T: Clone>(into: &mut Option<T>, from: Option<&T>) {
            if let Some(value) = from {
                *into = Some(value.clone());
            }
        }
        take(&mut self.car, change.car.as_ref());
        take(&mut self.complaint, change.complaint.as_ref());
        take(&mut self.flat_after_s, change.flat_after_s.as_ref());
        let standing = change.required_standing_s.as_ref();
        take(&mut self.required_standing_s, standing);
        take(&mut self.limit_a, change.limit_a.as_ref());
        take(&mut self.sleep_timeout_s, change.sleep_timeout_s.as_ref());
        take(&mut self.accuracy, change.accuracy.as_ref());
        take(&mut self.clamp_mv_per_a, change.clamp_mv_per_a.as_ref());
        take(&mut self.shunt_mohm, change.shunt_mohm.as_ref());
        take(&mut self.turns, change.turns.as_ref());
        take(&mut self.probe_accuracy, change.probe_accuracy.as_ref());
        take(&mut self.drift_a_per_h, change.drift_a_per_h.as_ref());
        take(&mut self.battery, change.battery.as_ref());
        take(&mut self.rest, change.rest.as_ref());
        take(&mut self.meter, change.meter.as_ref());
        take(&mut self.key_count, change.key_count.as_ref());
        take(&mut self.technician, change.technician.as_ref());
        take(&mut self.plate, change.plate.as_ref());
        take(&mut self.odometer, change.odometer.as_ref());
        take(&mut self.battery_test, change.battery_test.as_ref());
        take(&mut self.notes, change.notes.as_ref());
        take(&mut self.asleep_at_start, change.asleep_at_start.as_ref());
        take(&mut self.fuses, change.fuses.as_ref());
    }

    /// How fast the zero wanders in the cable: turns through the jaws divide what the clamp shows.
    #[must_use]
    pub fn cable_drift_a_per_h(&self) -> f64 {
        self.drift_a_per_h.unwrap_or_default() / self.probe().turns()
    }

    /// What stands between the meter and the current. A clamp gives volts for amperes just as a
    /// shunt does: a milliohm is a millivolt for each ampere.
    #[must_use]
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
