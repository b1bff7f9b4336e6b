//! What warmth and cold do: cranking power, capacity, self-discharge, freezing.

use std::sync::LazyLock;

use serde::Deserialize;

use crate::reading::amount::{self, AmountError, refuse};
use crate::reading::{Band, table};
use crate::session::card::BatteryKind;

const FACTORS: &str = include_str!("../../assets/temperature.csv");
const FREEZING: &str = include_str!("../../assets/freezing.csv");
const GRAVITY: &str = include_str!("../../assets/specific-gravity.csv");
const SELF_DISCHARGE: &str = include_str!("../../assets/self-discharge.csv");

/// The temperature of ratings and of published self-discharge, in degrees Celsius.
pub const RATED_C: f64 = 25.0;

/// A month, as the published rates of self-discharge mean it.
const MONTH_DAYS: f64 = 30.0;

#[derive(Deserialize)]
struct Factor {
    what: What,
    celsius: f64,
    percent: f64,
}

#[derive(Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
enum What {
    Cranking,
    Capacity,
}

#[derive(Deserialize)]
struct Freezing {
    table: FreezingTable,
    specific_gravity: f64,
    celsius: f64,
}

#[derive(Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
enum FreezingTable {
    Cautious,
    Other,
}

#[derive(Deserialize)]
struct Gravity {
    charge_percent: f64,
    specific_gravity: f64,
}

#[derive(Deserialize)]
struct SelfDischarge {
    kind: BatteryKind,
    low_percent: f64,
    best_percent: f64,
    high_percent: f64,
}

static FACTOR_ROWS: LazyLock<Vec<Factor>> = LazyLock::new(|| table::rows(FACTORS));
static FREEZING_ROWS: LazyLock<Vec<Freezing>> = LazyLock::new(|| table::rows(FREEZING));
static GRAVITY_ROWS: LazyLock<Vec<Gravity>> = LazyLock::new(|| table::rows(GRAVITY));
static SELF_DISCHARGE_ROWS: LazyLock<Vec<SelfDischarge>> =
    LazyLock::new(|| table::rows(SELF_DISCHARGE));

fn factor(what: What, celsius: f64) -> f64 {
    let rows = FACTOR_ROWS.iter().filter(|row| row.what == what);
    table::between(rows.map(|row| (row.celsius, row.percent / 100.0)), celsius)
}

/// Cranking power as a share of that at 27 °C.
pub fn cranking(celsius: f64) -> f64 {
    factor(What::Cranking, celsius)
}

/// Capacity as a share of that at 25 °C.
pub fn capacity(celsius: f64) -> f64 {
    factor(What::Capacity, celsius)
}

/// The usual self-discharge at 25 °C, as a share of the capacity a day.
pub fn usual_self_discharge(kind: BatteryKind) -> Band {
    let row = SELF_DISCHARGE_ROWS.iter().find(|row| row.kind == kind);
    let percent = row.map_or(Band::exact(f64::NAN), |row| {
        Band::new(row.low_percent, row.best_percent, row.high_percent)
    });
    percent.map(|percent| percent / 100.0 / MONTH_DAYS)
}

/// By how much self-discharge is faster than at 25 °C. Published rules disagree: it doubles every
/// 10 °C (taken as best), every 8.3 °C, and in sealed batteries every 17 °C (+50 % at 35 °C); all
/// read.
pub fn self_discharge(kind: BatteryKind, celsius: f64) -> Band {
    let over = celsius - RATED_C;
    let tenfold = 2f64.powf(over / 10.0);
    let faster = 2f64.powf(over / (15.0 / 1.8));
    match kind {
        BatteryKind::Flooded | BatteryKind::Efb => Band::spanned(tenfold, [faster]),
        BatteryKind::Agm | BatteryKind::Gel => {
            Band::spanned(tenfold, [faster, 1.5f64.powf(over / 10.0)])
        }
    }
}

/// At what temperature the acid of a flooded battery freezes, in degrees Celsius; `high` is the
/// cautious figure, on which two independent tables agree.
pub fn freezing_c(charge: f64) -> Band {
    let rows = GRAVITY_ROWS.iter();
    let points = rows.map(|row| (row.charge_percent / 100.0, row.specific_gravity));
    let gravity = table::between(points, charge);
    let by = |which| {
        let rows = FREEZING_ROWS.iter().filter(|row| row.table == which);
        table::between(rows.map(|row| (row.specific_gravity, row.celsius)), gravity)
    };
    let cautious = by(FreezingTable::Cautious);
    Band::new(by(FreezingTable::Other), cautious, cautious)
}

const RATE: &str = "a self-discharge: expected percent a day, week or month, as in 5%/month";

/// Reads a self-discharge, as a share of the capacity a day.
///
/// # Errors
/// [`AmountError`] naming what was found and what was expected.
///
/// ```
/// use lullboard::battery::temperature::self_discharge_per_day;
/// assert_eq!(self_discharge_per_day("6%/month").unwrap(), 0.002);
/// ```
pub fn self_discharge_per_day(text: &str) -> Result<f64, AmountError> {
    let rate = |text: &str| {
        let (percent, each) = text.split_once('/')?;
        let days = match each.trim() {
            "d" | "day" => 1.0,
            "week" => 7.0,
            "month" => MONTH_DAYS,
            _ => return None,
        };
        Some(amount::share(percent).ok()? / days)
    };
    rate(text).ok_or_else(|| refuse(text, RATE))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(found: f64, expected: f64, within: f64) {
        assert!((found - expected).abs() <= within, "{found} for {expected}");
    }

    #[test]
    fn every_row_fits_and_names_its_source() {
        assert_eq!(table::faults::<Factor>(FACTORS), [""; 0]);
        assert_eq!(table::faults::<Freezing>(FREEZING), [""; 0]);
        assert_eq!(table::faults::<Gravity>(GRAVITY), [""; 0]);
        assert_eq!(table::faults::<SelfDischarge>(SELF_DISCHARGE), [""; 0]);
        assert_eq!(SELF_DISCHARGE_ROWS.len(), 4);
    }

    /// Army TM 5-1185 p. 98 (read) and a dealer's page (read).
    #[test]
    fn cold_takes_cranking_power_and_capacity() {
        near(cranking(27.0), 1.0, 1e-9);
        near(cranking(-1.0), 0.65, 1e-9);
        near(cranking(-18.0), 0.40, 1e-9);
        near(capacity(0.0), 0.80, 1e-9);
        near(capacity(25.0), 1.0, 1e-9);
        near(capacity(-40.0), 0.50, 1e-9);
        near(capacity(50.0), 1.12, 1e-9);
    }

    /// Computed from two published doubling rules (read).
    #[test]
    fn self_discharge_doubles_with_warmth() {
        let at = |celsius| self_discharge(BatteryKind::Flooded, celsius).map(|f| f * 5.0);
        near(at(35.0).best, 10.0, 1e-9);
        near(at(35.0).high, 11.5, 0.05);
        near(at(5.0).best, 1.25, 1e-9);
        near(at(25.0).high, 5.0, 1e-9);
        // A sealed battery's own rule: only half as much again at 35 °C.
        near(self_discharge(BatteryKind::Agm, 35.0).low, 1.5, 1e-9);
    }

    /// The first column of two independent tables (Army TM 5-1185, owner manuals; read) and the
    /// second reprint's (read), which is up to 12 °C more hopeful.
    #[test]
    fn a_flat_battery_freezes_early() {
        for (charge, cautious, other) in [
            (1.0, -59.0, -59.0),
            (0.75, -37.0, -48.0),
            (0.0, -11.0, -23.0),
        ] {
            let freezing = freezing_c(charge);
            near(freezing.high, cautious, 1e-9);
            near(freezing.best, cautious, 1e-9);
            near(freezing.low, other, 1e-9);
        }
    }

    /// Trade arithmetic (computed): 5 % a month of 60 Ah is 4.2 mA, 2 % of 70 Ah 1.9 mA.
    #[test]
    fn self_discharge_as_a_current() {
        let flooded = usual_self_discharge(BatteryKind::Flooded);
        near(flooded.best * 60.0 / 24.0, 0.0042, 0.00005);
        near(
            usual_self_discharge(BatteryKind::Agm).best * 70.0 / 24.0,
            0.0019,
            0.00005,
        );
        for text in ["5%", "5/month", "5%/year", "-5%/month"] {
            let refused = self_discharge_per_day(text).unwrap_err().to_string();
            assert!(refused.contains("5%/month"), "{refused}");
        }
    }
}
