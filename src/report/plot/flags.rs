//! The labels of the marks, above the curves: each stands higher than the labels to its right
//! that it would run into, so that no label covers another and no line crosses a label.

use super::{HEAD, Map};
use crate::chart::label;
use crate::chart::lanes::Lanes;
use crate::reading::{Elapsed, number, sanitize};
use crate::report::case::{self, Case};

/// The label of a mark and the line down from it.
#[derive(Clone, Debug, PartialEq)]
pub struct Flag {
    /// The moment of the mark, from the left.
    pub x: f64,
    /// The line on which the label stands.
    pub y: f64,
    /// The words; empty where there is no room for them.
    pub label: String,
    lane: usize,
    t: Elapsed,
}

const LANES: usize = 7;
const LANE_HIGH: f64 = 16.0;
/// The width of a cell of the label's letters, generously.
const CELL: f64 = 6.9;
/// Labels longer than this are cut: the table of marks has them whole.
const CELLS: u16 = 18;

/// The width that `text` takes at most.
pub fn text_width(text: &str) -> f64 {
    CELL * f64::from(label::cells(text))
}

/// The flags of a record's marks, and the room that the rightmost needs beside the curves.
pub(super) fn place(case: &Case, share: impl Fn(Elapsed) -> f64, room: f64) -> (Vec<Flag>, f64) {
    let mut flags: Vec<Flag> = case
        .session
        .marks()
        .map(|placed| Flag {
            x: share(placed.at()),
            y: 0.0,
            label: label::clip(&sanitize::text(&case::deed(&placed.mark)), CELLS),
            lane: 0,
            t: placed.at(),
        })
        .collect();
    let beside = flags
        .iter()
        .filter(|flag| flag.x > 0.0)
        .map(|flag| (text_width(&flag.label) + 6.0 - room * (1.0 - flag.x)) / flag.x)
        .fold(0.0, f64::max);
    let width = room - beside;
    let mut lanes = Lanes::new(LANES, f64::INFINITY);
    for flag in flags.iter_mut().rev() {
        let from = flag.x * width;
        match lanes.above(from, from + text_width(&flag.label) + 6.0) {
            Some(lane) => flag.lane = lane,
            None => flag.label.clear(),
        }
    }
    (flags, beside)
}

/// How high the flags stand above the curves.
pub(super) fn height(flags: &[Flag]) -> f64 {
    let named = flags.iter().filter(|flag| !flag.label.is_empty());
    named
        .map(|flag| LANE_HIGH * (number::f64_from_usize(flag.lane) + 1.0) + 4.0)
        .fold(0.0, f64::max)
}

/// Puts flags where the field is now known to be.
pub(super) fn settle(flags: Vec<Flag>, map: &Map) -> Vec<Flag> {
    let at = |flag: Flag| Flag {
        x: map.x(flag.t),
        y: (map.field.top - 7.0 - LANE_HIGH * number::f64_from_usize(flag.lane)).max(HEAD),
        ..flag
    };
    flags.into_iter().map(at).collect()
}
