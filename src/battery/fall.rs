//! The charge that a fall of the battery's voltage at rest stands for, by the tables of `voltage`.
//!
//! Only the voltage of a battery at rest says anything of its charge: not one under amperes, and not
//! one that was charged a moment ago, whose surface charge fades for hours. Each end of the fall
//! says how long it had rested, and the band covers what may still be in it.

use super::capacity;
use super::temperature::{self, RATED_C};
use super::voltage::{self, READING_V, SAGGED_V, SURFACE_UNKNOWN_V, Which};
use crate::reading::Band;
use crate::reading::band;
use crate::session::card::{Battery, BatteryKind};

/// A night may change the battery's temperature by ten degrees (common practice, no source), and its
/// rest voltage by 1.2 mV with each (from memory).
const SWING_V: f64 = 0.012;

/// How long a battery had rested when its voltage was read, in seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rested {
    /// So long: somebody said so, or the charging was seen to end.
    For(f64),
    /// At least so long: nobody knows when it was charged last.
    AtLeast(f64),
}

impl Rested {
    /// How much surface charge may still lift its voltage, in volts.
    pub fn surface_v(self) -> f64 {
        match self {
            Self::For(s) => voltage::surface_v(s),
            Self::AtLeast(s) => voltage::surface_v(s).min(SURFACE_UNKNOWN_V),
        }
    }
}

/// One end of a fall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RestEnd {
    /// The voltage.
    pub volts: f64,
    /// How long it had rested.
    pub rested: Rested,
}

/// A fall of the voltage at rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VoltsFall {
    /// How it began.
    pub before: RestEnd,
    /// How it ended.
    pub after: RestEnd,
    /// How warm the battery is, in degrees Celsius, where somebody said.
    pub temperature_c: Option<f64>,
}

impl VoltsFall {
    /// The charge lost, as a share of full; below zero where the voltage rose.
    ///
    /// Each table is asked for both ends, because what it misses it misses at both; the band spans
    /// the tables, as they end and drawn on beyond their ends, the meter's last place, what surface charge may be in either end, and a
    /// temperature that moved or lies beyond the tables' own.
    pub fn lost_share(&self, kind: BatteryKind) -> Band {
        let (before, after) = (self.before.volts, self.after.volts);
        let either = READING_V + SWING_V;
        let (first_v, last_v) = (
            self.before.rested.surface_v(),
            self.after.rested.surface_v(),
        );
        let sagged_v = |surface_v: f64| if surface_v > 0.0 { SAGGED_V } else { 0.0 };
        let cold_v = self.temperature_c.map_or(0.0, voltage::unsure_v);
        let least = (before - first_v - either, after + sagged_v(last_v));
        let most = (before + sagged_v(first_v) + either, after - last_v);
        let all = Which::ALL.into_iter().flat_map(|which| {
            let ends = [(before, after), least, most].into_iter();
            let shifts = move |ends| [-cold_v, 0.0, cold_v].map(|by_v| (ends, by_v));
            ends.flat_map(shifts).flat_map(move |((from, to), by_v)| {
                let (from, to) = (from + by_v, to + by_v);
                [voltage::by, voltage::drawn_on]
                    .map(|charge| charge(kind, which, from) - charge(kind, which, to))
            })
        });
        let charge = |volts| voltage::by(kind, Which::Best, volts);
        let best = charge(before) - charge(after);
        Band::spanned(best, all.filter(|share| share.is_finite()))
    }

    /// The same in ampere-hours, for a battery that still has its printed capacity; `None` when no
    /// size tells one. Cold may leave less of it.
    pub fn lost_ah(&self, battery: &Battery) -> Option<Band> {
        let capacity = capacity::capacity(battery)?.ah;
        let cold = temperature::capacity(self.temperature_c.unwrap_or(RATED_C)).min(1.0);
        let parts = [
            self.lost_share(battery.kind),
            capacity,
            Band::new(cold, 1.0, 1.0),
        ];
        Some(band::combined(parts, |[share, ah, cold]| share * ah * cold))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const DAY: Rested = Rested::For(24.0 * 3600.0);

    fn fall(before: f64, after: f64, rested: Rested) -> VoltsFall {
        VoltsFall {
            before: RestEnd {
                volts: before,
                rested,
            },
            after: RestEnd {
                volts: after,
                rested: DAY,
            },
            temperature_c: None,
        }
    }

    fn near(found: f64, expected: f64) {
        assert!((found - expected).abs() < 1e-9, "{found} for {expected}");
    }

    /// BCI table (read in two reprints): 12.65 V is full, 12.45 V 75 %, 12.24 V 50 %. AGM
    /// recommendations (read): 12.80 V full, 12.60 V 75 %, 12.30 V 50 %.
    #[test]
    fn the_tables_own_points_give_their_own_difference() {
        for (kind, before, after, share) in [
            (BatteryKind::Flooded, 12.65, 12.45, 0.25),
            (BatteryKind::Flooded, 12.65, 12.24, 0.50),
            (BatteryKind::Flooded, 12.45, 12.24, 0.25),
            (BatteryKind::Agm, 12.80, 12.30, 0.50),
            (BatteryKind::Agm, 12.60, 12.30, 0.25),
        ] {
            let lost = fall(before, after, DAY).lost_share(kind);
            near(lost.best, share);
            assert!(lost.low < share && lost.high > share, "{lost:?}");
        }
    }

    /// Computed from the BCI table: 25 % of 70 Ah is 17.5 Ah.
    #[test]
    fn a_share_is_a_charge_where_the_size_is_known() {
        let fall = fall(12.65, 12.45, DAY);
        let lost = fall.lost_ah(&"flooded,70Ah".parse().unwrap()).unwrap();
        near(lost.best, 17.5);
        assert_eq!(fall.lost_ah(&"agm,760A-EN".parse().unwrap()), None);
        let cold = VoltsFall {
            temperature_c: Some(0.0),
            ..fall
        };
        let lost_cold = cold.lost_ah(&"flooded,70Ah".parse().unwrap()).unwrap();
        assert!(
            lost_cold.low < lost.low && lost_cold.high > lost.high,
            "{lost_cold:?}"
        );
    }

    #[test]
    fn surface_charge_that_fades_may_be_all_of_a_fall() {
        let kind = BatteryKind::Flooded;
        let rested = fall(12.65, 12.50, DAY).lost_share(kind);
        let charged = fall(12.65, 12.50, Rested::For(600.0)).lost_share(kind);
        let unknown = fall(12.65, 12.50, Rested::AtLeast(600.0)).lost_share(kind);
        assert!(rested.low > 0.10, "{rested:?}");
        assert!(charged.low <= 0.0, "{charged:?}");
        assert!(
            unknown.low > charged.low && unknown.low < rested.low,
            "{unknown:?}"
        );
        // After a day of rest nobody asks when it was charged.
        let long = fall(12.65, 12.50, Rested::AtLeast(24.0 * 3600.0));
        near(long.lost_share(kind).low, rested.low);
    }

    #[test]
    fn a_voltage_that_stands_still_lost_next_to_nothing() {
        let lost = fall(12.50, 12.50, DAY).lost_share(BatteryKind::Flooded);
        near(lost.best, 0.0);
        assert!(
            lost.low < 0.0 && lost.high > 0.0 && lost.high < 0.05,
            "{lost:?}"
        );
    }

    /// A battery above its full mark has lost something when it falls, which the tables cannot tell.
    #[test]
    fn above_the_full_mark_no_table_says_that_nothing_was_lost() {
        let lost = fall(12.75, 12.66, DAY).lost_share(BatteryKind::Flooded);
        near(lost.best, 0.0);
        assert!(lost.low <= 0.0 && lost.high > 0.10, "{lost:?}");
    }
}
