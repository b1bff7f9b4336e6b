//! A sweep: millivolts read across fuse after fuse, as currents, largest first, and their sum
//! held against what the battery gives.

use std::collections::HashMap;

use super::drop::{self, Drawn, DropError, Fuse, Millivolts, MvAccuracy};
use super::map::folded;
use crate::reading::band::Band;

/// One fuse as it was read.
#[derive(Clone, Debug, PartialEq)]
pub struct ProbedFuse {
    /// What the fuse is called.
    pub label: String,
    /// What is known of it.
    pub fuse: Fuse,
    /// What the meter showed across it.
    pub read: Millivolts,
}

/// One fuse of a sweep: the current through it, or why none can be told.
#[derive(Clone, Debug, PartialEq)]
pub struct SweptFuse {
    /// What the fuse is called.
    pub label: String,
    /// The current.
    pub drawn: Result<Drawn, DropError>,
}

/// Every fuse that was read, the largest current first.
#[derive(Clone, Debug, PartialEq)]
pub struct Sweep {
    /// The fuses; those below what the meter shows after the others, those without a current last.
    pub rows: Vec<SweptFuse>,
    /// The sum of the currents, in ampere.
    pub sum_a: f64,
    /// Its U, in ampere.
    pub sum_u_a: f64,
}

/// What is left between the sum of a sweep and the battery's current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Left {
    /// The battery's current minus the sum, in ampere.
    pub a: f64,
    /// Its U, in ampere.
    pub u_a: f64,
}

impl Sweep {
    /// The sweep of these readings. A label read twice counts as it was read last.
    pub fn of(probed: &[ProbedFuse], accuracy: Option<MvAccuracy>) -> Self {
        let folded: Vec<String> = probed.iter().map(|one| folded(&one.label)).collect();
        let last: HashMap<&String, usize> = folded.iter().zip(0..).collect();
        let is_last = |at: &usize| folded.get(*at).and_then(|label| last.get(label)) == Some(at);
        let mut rows: Vec<SweptFuse> = probed
            .iter()
            .enumerate()
            .filter(|(at, _)| is_last(at))
            .map(|(_, one)| SweptFuse {
                label: one.label.clone(),
                drawn: drop::drawn(&one.fuse, one.read, accuracy),
            })
            .collect();
        rows.sort_by(|one, other| rank(other).total_cmp(&rank(one)));
        let drawn = || rows.iter().filter_map(|row| row.drawn.as_ref().ok());
        let meter_u_a = drawn().map(|d| d.meter_u_a).fold(0.0, f64::hypot);
        // One make fits most of a car, so the fuses' own errors go one way and add up.
        let fuse_u_a: f64 = drawn()
            .map(|d| drop::expanded((d.ohms.high - d.ohms.low) / (2.0 * d.ohms.best) * d.a))
            .sum();
        Self {
            sum_a: drawn().map(|d| d.a).sum(),
            sum_u_a: meter_u_a.hypot(fuse_u_a),
            rows,
        }
    }

    /// Each fuse with the current that may flow through it, in ampere: what a plan rules out by.
    pub fn bands(&self) -> impl Iterator<Item = (&str, Band)> {
        self.rows
            .iter()
            .filter_map(|row| Some((row.label.as_str(), row.drawn.as_ref().ok()?.band)))
    }

    /// What the fuses that were read do not explain of the battery's current.
    pub fn left_of(&self, total_a: f64, total_u_a: f64) -> Left {
        Left {
            a: total_a - self.sum_a,
            u_a: self.sum_u_a.hypot(total_u_a),
        }
    }
}

/// By the current; what the meter does not show ranks below zero, what cannot be told last.
fn rank(row: &SweptFuse) -> f64 {
    match &row.drawn {
        Ok(drawn) => drawn
            .unseen
            .map_or(drawn.a, |unseen| unseen.at_most_a - f64::from(u32::MAX)),
        Err(_) => f64::NEG_INFINITY,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fuse::blade::Style;
    use crate::fuse::drop::Printed;

    fn probed(label: &str, rating_a: f64, mv: &str) -> ProbedFuse {
        let style = Style::Blade;
        ProbedFuse {
            label: label.into(),
            fuse: Fuse {
                printed: Some(Printed { style, rating_a }),
                ohms: None,
            },
            read: mv.parse().unwrap(),
        }
    }

    fn sweep() -> Sweep {
        let nobody = ProbedFuse {
            fuse: Fuse {
                printed: None,
                ohms: None,
            },
            ..probed("L10", 10.0, "0.10")
        };
        Sweep::of(
            &[
                nobody,
                probed("D4", 30.0, "0.00"),
                probed("E16", 10.0, "0.40"),
                probed("L2", 10.0, "9.00"),
                probed("E5", 20.0, "0.30"),
                probed("l2 ", 10.0, "1.00"),
            ],
            None,
        )
    }

    /// Computed from data sheet resistances, from memory.
    #[test]
    fn the_largest_stands_first_and_a_label_counts_as_read_last() {
        let sweep = sweep();
        let labels: Vec<&str> = sweep.rows.iter().map(|row| row.label.as_str()).collect();
        assert_eq!(labels, ["l2 ", "E5", "E16", "D4", "L10"]);
        assert!((sweep.sum_a - (0.1299 + 0.0888 + 0.0519)).abs() < 2e-4);
        assert!(sweep.rows.last().unwrap().drawn.is_err());
        let highs: Vec<bool> = sweep.bands().map(|(_, band)| band.high > 0.05).collect();
        assert_eq!(highs, [true, true, true, false]);
        // The make's error of all three adds up: 15 % of each at least, as a rectangle.
        assert!(sweep.sum_u_a > 0.15 * sweep.sum_a && sweep.sum_u_a < 0.22 * sweep.sum_a);
    }

    #[test]
    fn the_sum_is_held_against_the_battery() {
        let sweep = sweep();
        let left = sweep.left_of(0.90, 0.004);
        assert!((left.a - (0.90 - sweep.sum_a)).abs() < 1e-12);
        assert!((left.u_a - sweep.sum_u_a.hypot(0.004)).abs() < 1e-12);
    }

    #[test]
    fn nothing_read_is_an_empty_sweep() {
        let sweep = Sweep::of(&[], None);
        assert!(sweep.rows.is_empty() && sweep.sum_a.abs() < f64::EPSILON);
    }
}
