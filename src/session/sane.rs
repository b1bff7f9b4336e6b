//! Which figures a card can hold. A card file with another one is refused; a session edited by
//! hand is judged without it, and says so.

use super::card::Card;

/// A figure that no card can hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{field} is expected to be {expected}")]
pub struct Odd {
    /// Which field.
    pub field: &'static str,
    /// What it can hold.
    pub expected: &'static str,
}

/// A parked car draws less, whatever is wrong with it (trade table 1.1: published limits end at
/// 150 mA); a larger limit is a slip of the unit.
const LIMIT_MAX_A: f64 = 2.0;

/// Nothing on a card is larger than this in its own unit: a century in seconds.
const MOST: f64 = 4e9;

/// Whether a car can be held to this limit.
#[must_use]
pub fn is_limit(limit_a: f64) -> bool {
    limit_a > 0.0 && limit_a <= LIMIT_MAX_A
}

fn is_size(x: f64) -> bool {
    x > 0.0 && x <= MOST
}

fn is_span(x: f64) -> bool {
    (0.0..=MOST).contains(&x)
}

fn is_percent(x: f64) -> bool {
    (0.0..=100.0).contains(&x)
}

fn is_warmth(celsius: f64) -> bool {
    (-60.0..=100.0).contains(&celsius)
}

fn is_rest(volts: f64) -> bool {
    (6.0..=16.0).contains(&volts)
}

impl Card {
    /// Takes every figure off the card that it cannot hold, and names it.
    pub fn take_odd(&mut self) -> Vec<Odd> {
        let mut found = Vec::new();
        let above_zero = "above zero";
        let zero_or_more = "zero or more";
        {
            let mut sift = |slot: &mut Option<f64>, field, expected, fits: fn(f64) -> bool| {
                if slot.is_some_and(|x| !fits(x)) {
                    *slot = None;
                    found.push(Odd { field, expected });
                }
            };
            let limit = "above zero and at most 2 A";
            sift(&mut self.limit_a, "limit", limit, is_limit);
            sift(
                &mut self.sleep_timeout_s,
                "sleep_timeout",
                zero_or_more,
                is_span,
            );
            sift(&mut self.flat_after_s, "flat_after", zero_or_more, is_span);
            sift(
                &mut self.required_standing_s,
                "standing",
                zero_or_more,
                is_span,
            );
            sift(&mut self.drift_a_per_h, "drift", zero_or_more, is_span);
            sift(&mut self.clamp_mv_per_a, "clamp", above_zero, is_size);
            sift(&mut self.shunt_mohm, "shunt", above_zero, is_size);
            sift(&mut self.turns, "turns", above_zero, is_size);
            let percent = "from 0 to 100 percent";
            sift(
                &mut self.probe_accuracy,
                "probe_accuracy",
                percent,
                is_percent,
            );
            if let Some(battery) = &mut self.battery {
                sift(
                    &mut battery.c20_ah,
                    "the battery's capacity",
                    above_zero,
                    is_size,
                );
                sift(
                    &mut battery.reserve_min,
                    "its reserve capacity",
                    above_zero,
                    is_size,
                );
            }
            if let Some(rest) = &mut self.rest {
                sift(
                    &mut rest.rested_s,
                    "the time at rest",
                    zero_or_more,
                    is_span,
                );
                let warmth = "from -60 to 100 degrees";
                sift(
                    &mut rest.temperature_c,
                    "rest.temperature_c",
                    warmth,
                    is_warmth,
                );
            }
        }
        self.take_odd_wholes(&mut found);
        found
    }

    /// What goes as a whole when one part of it cannot be.
    fn take_odd_wholes(&mut self, found: &mut Vec<Odd>) {
        let accuracy_fits = self.accuracy.is_none_or(|accuracy| {
            is_percent(accuracy.percent) && is_span(accuracy.counts) && is_span(accuracy.amount_a)
        });
        if !accuracy_fits {
            self.accuracy = None;
            found.push(Odd {
                field: "accuracy",
                expected: "a percentage and counts or an amount, zero or more",
            });
        }
        if let Some(battery) = &mut self.battery
            && battery
                .cranking
                .is_some_and(|cranking| !is_size(cranking.a))
        {
            battery.cranking = None;
            found.push(Odd {
                field: "the cranking current",
                expected: "above zero",
            });
        }
        if self.rest.is_some_and(|rest| !is_rest(rest.volts)) {
            self.rest = None;
            found.push(Odd {
                field: "rest.volts",
                expected: "that of a 12 V battery: 6 to 16",
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::card::Accuracy;

    #[test]
    fn what_cannot_be_is_taken_off_and_named() {
        let mut card = Card {
            limit_a: Some(f64::NAN),
            sleep_timeout_s: Some(-1.0),
            turns: Some(f64::INFINITY),
            accuracy: Some(Accuracy {
                percent: f64::NAN,
                counts: 3.0,
                amount_a: 0.0,
            }),
            battery: "agm,70Ah".parse().ok(),
            rest: "12.4V".parse().ok(),
            ..Card::default()
        };
        let fields: Vec<&str> = card.take_odd().iter().map(|odd| odd.field).collect();
        assert_eq!(fields, ["limit", "sleep_timeout", "turns", "accuracy"]);
        assert_eq!((card.limit_a, card.accuracy), (None, None));
        assert!(card.battery.is_some() && card.rest.is_some());
        assert!(card.take_odd().is_empty());
    }
}
