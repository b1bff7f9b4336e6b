//! Which figures a card can hold: one range for typed text, card files and recorded sessions. A
//! card file with another figure is refused; a session edited by hand is judged without it, and
//! says so.

use std::ops::RangeInclusive;

use super::{Accuracy, Battery, Rest};
use crate::fuse::map::{self, Circuit, LABEL_CHARS};
use crate::reading::amount;

/// A figure that no card can hold.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{field} is expected to be {expected}, not {found}")]
pub struct OutOfBounds {
    /// Which field.
    pub field: &'static str,
    /// What stands there.
    pub found: String,
    /// What it can hold.
    pub expected: &'static str,
}

/// What a figure can be.
pub(in crate::session) struct Bounds {
    range: RangeInclusive<f64>,
    words: &'static str,
}

const fn bounds(range: RangeInclusive<f64>, words: &'static str) -> Bounds {
    Bounds { range, words }
}

/// Where what was taken off is named.
pub(super) type Misfits<'a> = &'a mut Vec<OutOfBounds>;

/// Nothing on a card is larger than this in its own unit: a century in seconds.
const MOST: f64 = 4e9;

/// The smallest number above zero.
const ABOVE_ZERO: f64 = f64::MIN_POSITIVE;

/// A parked car draws less, whatever is wrong with it (trade table 1.1: published limits end at
/// 150 mA); a larger limit is a slip of the unit.
pub(in crate::session) const LIMIT_A: Bounds =
    bounds(ABOVE_ZERO..=2.0, "above zero and at most 2 A");

pub(super) const SIZE: Bounds = bounds(ABOVE_ZERO..=MOST, "above zero");

/// What a clamp gives in mV/A, or a shunt has in milliohm. The largest shunts have some hundredths;
/// less is a slip, and divides a current beyond all numbers. Common practice, no source.
pub(super) const RATIO: Bounds = bounds(0.001..=MOST, "above zero: 0.001 or more");

pub(super) const SPAN: Bounds = bounds(0.0..=MOST, "zero or more, a century at most");

pub(in crate::session) const PERCENT: Bounds = bounds(0.0..=100.0, "from 0 to 100 percent");

/// More turns than this pass through no jaws: common practice, no source.
pub(in crate::session) const TURNS: Bounds = bounds(1.0..=100.0, "a whole number from 1 to 100");

/// The sizes that a 12 V battery of a car, van, lorry or boat has: a larger or smaller figure is a
/// slip. Common practice, no source.
const CAPACITY_AH: Bounds = bounds(4.0..=400.0, "from 4 to 400 Ah");

/// The same for the reserve capacity. Common practice, no source.
const RESERVE_MIN: Bounds = bounds(5.0..=1000.0, "from 5 to 1000 min");

const TEMPERATURE_C: Bounds = bounds(amount::TEMPERATURES_C, "from -60 to 90 degrees");

const REST_V: Bounds = bounds(amount::REST_V, "that of a 12 V battery: 6 to 16");

impl Bounds {
    pub(in crate::session) fn fit(&self, x: f64) -> bool {
        self.range.contains(&x)
    }

    /// Empties `slot` when it holds what cannot be, and names it.
    pub(super) fn sift(&self, slot: &mut Option<f64>, field: &'static str, found: Misfits<'_>) {
        if let Some(x) = slot.take_if(|x| !self.fit(*x)) {
            found.push(self.refuse(x, field));
        }
    }

    fn refuse(&self, x: f64, field: &'static str) -> OutOfBounds {
        OutOfBounds {
            field,
            found: x.to_string(),
            expected: self.words,
        }
    }
}

/// The cable passes through the jaws or it does not: there is no half turn.
pub(super) fn sift_turns(slot: &mut Option<f64>, field: &'static str, found: Misfits<'_>) {
    let half = |turns: &mut f64| turns.fract() != 0.0;
    if let Some(turns) = slot.take_if(half) {
        found.push(TURNS.refuse(turns, field));
    }
    TURNS.sift(slot, field, found);
}

/// No meter is exact: an accuracy of nothing at all is a field that was not filled in.
pub(super) fn sift_accuracy(slot: &mut Option<Accuracy>, field: &'static str, found: Misfits<'_>) {
    let fits = |it: &Accuracy| {
        PERCENT.fit(it.percent)
            && SPAN.fit(it.counts)
            && SPAN.fit(it.amount_a)
            && it.percent + it.counts + it.amount_a > 0.0
    };
    if let Some(it) = slot.take_if(|it| !fits(it)) {
        found.push(OutOfBounds {
            field,
            found: format!(
                "{} % + {} counts + {} A",
                it.percent, it.counts, it.amount_a
            ),
            expected: "a percentage and counts or an amount, above zero",
        });
    }
}

pub(super) fn sift_battery(slot: &mut Option<Battery>, _: &'static str, found: Misfits<'_>) {
    let Some(battery) = slot else { return };
    CAPACITY_AH.sift(&mut battery.c20_ah, "the battery's capacity", found);
    RESERVE_MIN.sift(&mut battery.reserve_min, "its reserve capacity", found);
    let mut a = battery.cranking.map(|cranking| cranking.a);
    SIZE.sift(&mut a, "the cranking current", found);
    battery.cranking = battery.cranking.filter(|_| a.is_some());
}

pub(super) fn sift_rest(slot: &mut Option<Rest>, _: &'static str, found: Misfits<'_>) {
    let Some(rest) = slot else { return };
    SPAN.sift(&mut rest.rested_s, "the time at rest", found);
    TEMPERATURE_C.sift(&mut rest.temperature_c, "rest.temperature_c", found);
    let mut volts = Some(rest.volts);
    REST_V.sift(&mut volts, "rest.volts", found);
    *slot = slot.filter(|_| volts.is_some());
}

/// A map that no car has is no map: part of one would leave the others out of every plan.
pub(super) fn sift_map(slot: &mut Option<Vec<Circuit>>, field: &'static str, found: Misfits<'_>) {
    let is_long = |circuit: &Circuit| circuit.label.chars().nth(LABEL_CHARS).is_some();
    let cannot_be = |fuses: &mut Vec<Circuit>| fuses.len() > map::MOST || fuses.iter().any(is_long);
    if let Some(fuses) = slot.take_if(cannot_be) {
        found.push(OutOfBounds {
            field,
            found: format!("{} of them", fuses.len()),
            expected: "those of a car: 400 at most, with labels of at most 200 characters",
        });
    }
}

impl Battery {
    /// The first size printed on it that no 12 V battery has.
    ///
    /// # Errors
    /// What it can be.
    pub fn expect_sizes(self) -> Result<(), OutOfBounds> {
        let mut found = Vec::new();
        sift_battery(&mut Some(self), "battery", &mut found);
        found.into_iter().next().map_or(Ok(()), Err)
    }
}

#[cfg(test)]
mod tests {
    use super::super::Card;
    use super::*;

    #[test]
    fn what_cannot_be_is_taken_off_and_named() {
        let mut card = Card {
            limit_a: Some(f64::NAN),
            sleep_timeout_s: Some(-1.0),
            turns: Some(f64::INFINITY),
            clamp_mv_per_a: Some(f64::MIN_POSITIVE),
            accuracy: Some(Accuracy {
                percent: f64::NAN,
                counts: 3.0,
                amount_a: 0.0,
            }),
            battery: "agm,70Ah".parse().ok(),
            rest: "12.4V".parse().ok(),
            ..Card::default()
        };
        let fields: Vec<&str> = card
            .take_out_of_bounds()
            .iter()
            .map(|figure| figure.field)
            .collect();
        assert_eq!(
            fields,
            ["limit", "sleep_timeout", "accuracy", "clamp", "turns"]
        );
        assert_eq!((card.limit_a, card.accuracy), (None, None));
        assert!(card.battery.is_some() && card.rest.is_some());
        assert!(card.take_out_of_bounds().is_empty());
    }

    #[test]
    fn one_odd_part_leaves_the_others() {
        let mut card = Card {
            battery: "agm,7000Ah,rc:120,760A-EN".parse().ok(),
            rest: "12.4V,4h".parse().ok(),
            turns: Some(2.5),
            ..Card::default()
        };
        if let Some(rest) = &mut card.rest {
            rest.temperature_c = Some(95.0);
        }
        let said: Vec<String> = card
            .take_out_of_bounds()
            .iter()
            .map(ToString::to_string)
            .collect();
        assert_eq!(
            said,
            [
                "the battery's capacity is expected to be from 4 to 400 Ah, not 7000",
                "rest.temperature_c is expected to be from -60 to 90 degrees, not 95",
                "turns is expected to be a whole number from 1 to 100, not 2.5",
            ]
        );
        let battery = card.battery.unwrap();
        assert_eq!((battery.c20_ah, battery.reserve_min), (None, Some(120.0)));
        assert!(battery.cranking.is_some());
        assert_eq!(card.rest.unwrap().rested_s, Some(14_400.0));
    }

    #[test]
    fn an_accuracy_of_nothing_is_none() {
        let mut card = Card {
            accuracy: Some(Accuracy::default()),
            ..Card::default()
        };
        assert_eq!(card.take_out_of_bounds().first().unwrap().field, "accuracy");
        assert_eq!(card.accuracy, None);
    }
}
