//! State of charge from the voltage at rest.

use std::sync::LazyLock;

use serde::Deserialize;

use crate::reading::{Band, table};
use crate::session::card::{BatteryKind, Rest};

const TABLE: &str = include_str!("../../assets/rest-voltage.csv");

#[derive(Deserialize)]
struct ChargeRow {
    kind: BatteryKind,
    table: Which,
    charge_percent: f64,
    volts: f64,
}

/// The table to go by, and those that show how far sources disagree.
#[derive(Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Which {
    Best,
    Second,
    Third,
}

impl Which {
    /// Every one there may be for a kind of battery.
    pub(super) const ALL: [Self; 3] = [Self::Best, Self::Second, Self::Third];
}

static ROWS: LazyLock<Vec<ChargeRow>> = LazyLock::new(|| table::rows(TABLE));

/// What a reading to the last place of a common voltmeter may miss: common practice, no source.
pub(super) const READING_V: f64 = 0.01;

/// How much surface charge may still lift the voltage after so many hours. The waits are
/// published (at least 4 h, better 24 h: battery makers' notes on rest); the volts are common
/// practice, no source.
const SURFACE_V: [(f64, f64); 3] = [(0.0, 0.20), (4.0, 0.02), (24.0, 0.0)];

/// The same when nobody said how long: common practice, no source.
pub(super) const SURFACE_UNKNOWN_V: f64 = 0.10;

/// Just after a discharge the voltage may lie this much below its rest; common practice, no
/// source.
pub(super) const SAGGED_V: f64 = 0.02;

/// Between these no temperature correction is worth making.
const TEMPERATE_C: std::ops::RangeInclusive<f64> = 15.0..=30.0;

/// The size of the correction printed with the BCI table, in volts a degree. Its sign contradicts
/// the physics (a cold battery reads lower, about 1.2 mV a degree, from memory), so it widens the
/// band to both sides instead of moving it.
const UNSURE_V_PER_C: f64 = 0.0043;

/// The charge as a share of full, 0 to 1.
///
/// The band covers the disagreement of the tables, a short rest and a temperature beyond the
/// tables' own.
pub fn charge(kind: BatteryKind, rest: &Rest) -> Band {
    let around = READING_V + rest.temperature_c.map_or(0.0, unsure_v);
    let surface = rest.rested_s.map_or(SURFACE_UNKNOWN_V, surface_v);
    let sagged = if surface > 0.0 { SAGGED_V } else { 0.0 };
    let ends = [rest.volts - around - surface, rest.volts + around + sagged];
    let others = Which::ALL
        .into_iter()
        .flat_map(|which| ends.map(|volts| by(kind, which, volts)))
        .filter(|charge| charge.is_finite());
    Band::spanned(by(kind, Which::Best, rest.volts), others)
}

/// How much surface charge may lift the voltage after so long a rest, in volts.
pub(super) fn surface_v(rested_s: f64) -> f64 {
    table::between(SURFACE_V, rested_s / 3600.0)
}

/// How far warmth or cold beyond the tables' own may move the voltage, in volts.
pub(super) fn unsure_v(celsius: f64) -> f64 {
    beyond_temperate(celsius) * UNSURE_V_PER_C
}

/// The charge by one table; not-a-number where a kind of battery has no such table.
pub(super) fn by(kind: BatteryKind, which: Which, volts: f64) -> f64 {
    let rows = ROWS.iter();
    let points = rows
        .filter(|row| row.kind == kind && row.table == which)
        .map(|row| (row.volts, row.charge_percent / 100.0));
    table::between(points, volts)
}

/// The same with the table's outermost lines drawn on: what a battery above its full mark loses is not
/// nothing, only because the table ends there.
pub(super) fn drawn_on(kind: BatteryKind, which: Which, volts: f64) -> f64 {
    let is_row = |row: &&ChargeRow| row.kind == kind && row.table == which;
    let rows: Vec<&ChargeRow> = ROWS.iter().filter(is_row).collect();
    let outer = match rows.as_slice() {
        [low, above, ..] if volts < low.volts => (low, above),
        [.., below, high] if volts > high.volts => (below, high),
        _ => return by(kind, which, volts),
    };
    let (one, other) = outer;
    let share_per_v =
        (other.charge_percent - one.charge_percent) / (other.volts - one.volts) / 100.0;
    one.charge_percent / 100.0 + (volts - one.volts) * share_per_v
}

fn beyond_temperate(celsius: f64) -> f64 {
    let (least, most) = (*TEMPERATE_C.start(), *TEMPERATE_C.end());
    (least - celsius).max(celsius - most).max(0.0)
}

/// What a low charge does to the plates. The published thresholds differ: below 80 % (a battery
/// FAQ), below 12.4 V, at 12.5 V already, at 12.06 V (three makers' notes).
pub fn sulphation(charge: Band) -> Option<&'static str> {
    (charge.best < 0.8).then_some(
        "below 80 % charge the plates sulphate: charge it soon, and test it before it is blamed \
         or trusted",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rest(volts: f64, rested_h: Option<f64>, temperature_c: Option<f64>) -> Rest {
        Rest {
            volts,
            rested_s: rested_h.map(|h| h * 3600.0),
            temperature_c,
        }
    }

    #[test]
    fn every_row_fits_and_names_its_source() {
        assert_eq!(table::faults::<ChargeRow>(TABLE), [""; 0]);
        assert_eq!(ROWS.len(), 45);
    }

    /// Computed: 12.53 V flooded, linear between 12.45 V (75 %) and 12.65 V (100 %)
    /// of the BCI table (read in two reprints).
    #[test]
    fn flooded_at_12_53_v_is_85_percent() {
        let charge = charge(BatteryKind::Flooded, &rest(12.53, Some(24.0), Some(25.0)));
        assert!((charge.best - 0.85).abs() < 1e-9, "{charge:?}");
        assert!(charge.low < 0.84 && charge.high > 0.87, "{charge:?}");
    }

    /// BCI table (read), AGM recommendations (read): each row gives back its own charge.
    #[test]
    fn the_tables_own_points_come_back() {
        for (kind, volts, share) in [
            (BatteryKind::Flooded, 12.24, 0.50),
            (BatteryKind::Flooded, 12.06, 0.25),
            (BatteryKind::Agm, 12.60, 0.75),
            (BatteryKind::Agm, 12.30, 0.50),
            (BatteryKind::Gel, 12.35, 0.50),
            (BatteryKind::Efb, 12.50, 0.75),
        ] {
            let charge = charge(kind, &rest(volts, Some(24.0), None));
            assert!(
                (charge.best - share).abs() < 1e-9,
                "{kind:?} {volts}: {charge:?}"
            );
            assert!(charge.low <= share && share <= charge.high);
        }
    }

    #[test]
    fn the_band_widens_with_a_short_rest_and_with_cold() {
        let width = |rested, celsius| {
            let charge = charge(BatteryKind::Flooded, &rest(12.4, rested, celsius));
            charge.high - charge.low
        };
        let rested = width(Some(24.0), Some(20.0));
        assert!(width(Some(4.0), Some(20.0)) > rested);
        assert!(width(Some(1.0), Some(20.0)) > width(Some(4.0), Some(20.0)));
        assert!(width(None, None) > width(Some(4.0), Some(20.0)));
        assert!(width(Some(24.0), Some(-10.0)) > rested + 0.1);
        assert!((width(Some(24.0), Some(29.0)) - rested).abs() < 1e-12);
    }

    /// The AGM recommendations say 12.8 V up to 13.2 V for full: at 12.8 V it may be less.
    #[test]
    fn a_full_agm_battery_is_not_proven_full_at_12_8_v() {
        let charge = charge(BatteryKind::Agm, &rest(12.8, Some(24.0), Some(25.0)));
        assert!((charge.best - 1.0).abs() < 1e-9);
        assert!(charge.low < 0.84, "{charge:?}");
    }

    #[test]
    fn no_charge_lies_beyond_empty_or_full() {
        for volts in [6.0, 11.0, 14.5] {
            let charge = charge(BatteryKind::Flooded, &rest(volts, None, Some(-20.0)));
            assert!(charge.low >= 0.0 && charge.high <= 1.0, "{charge:?}");
        }
        assert!(sulphation(Band::exact(0.79)).is_some() && sulphation(Band::exact(0.8)).is_none());
    }
}
