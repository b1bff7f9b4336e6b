//! One record as a line: lowest and highest reading of every column, broken where evidence is
//! missing.

use super::Map;
use crate::chart::Window;
use crate::reading::number;
use crate::report::case::Case;
use crate::signal::track::Block;

/// A place on the drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurvePoint {
    /// From the left.
    pub x: f64,
    /// From the top.
    pub y: f64,
}

/// One record's current.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Curve {
    /// Which record, where there are two.
    pub name: &'static str,
    /// Lines that are not to be joined.
    pub lines: Vec<Vec<CurvePoint>>,
    /// Columns in which the meter was beyond its range.
    pub overs: Vec<f64>,
}

impl Curve {
    /// How many of its strokes touch a box.
    pub fn crosses(&self, left: f64, right: f64, top: f64, bottom: f64) -> usize {
        let touches = |(a, b): &(&CurvePoint, &CurvePoint)| {
            a.x.min(b.x) <= right
                && a.x.max(b.x) >= left
                && a.y.min(b.y) <= bottom
                && a.y.max(b.y) >= top
        };
        let strokes =
            |line: &Vec<CurvePoint>| line.iter().zip(line.iter().skip(1)).filter(touches).count();
        self.lines.iter().map(strokes).sum()
    }
}

pub(super) fn curve(case: &Case, map: &Map, name: &'static str) -> Curve {
    let track = case.session.signal().track();
    let count = number::round_to_u16(map.field.width.floor());
    let mut pen = Pen::new(name, map.field.width / f64::from(count));
    for (column, Window { from, to }) in (1..=count).zip(map.window.columns(count)) {
        // The last column holds the last moment of the record too.
        let to = if column == count {
            to.plus_secs(1.0)
        } else {
            to
        };
        let Some(extent) = track.extent(from, to) else {
            continue;
        };
        let first = track.between(from, to).first();
        if first.is_some_and(Block::is_after_gap) {
            pen.lift();
        }
        let x = map.field.left + (f64::from(column) - 0.5) * pen.step;
        if extent.over {
            pen.curve.overs.push(x);
        }
        if extent.min_a <= extent.max_a {
            pen.draw(x, map.y(extent.max_a.into()), map.y(extent.min_a.into()));
        } else {
            pen.lift();
        }
    }
    pen.lift();
    pen.curve
}

pub(super) struct Pen {
    pub(super) curve: Curve,
    line: Vec<CurvePoint>,
    /// From one column to the next.
    step: f64,
}

impl Pen {
    /// For a curve of this name, with so much from one column to the next.
    pub(super) fn new(name: &'static str, step: f64) -> Self {
        Self {
            curve: Curve {
                name,
                ..Curve::default()
            },
            line: Vec::new(),
            step,
        }
    }

    /// Goes on to a column that reaches from `top` down to `bottom`, by its nearer end.
    pub(super) fn draw(&mut self, x: f64, top: f64, bottom: f64) {
        let (mut first, mut second) = (top, bottom);
        if let Some(last) = self.line.last().copied() {
            if (last.y - bottom).abs() < (last.y - top).abs() {
                (first, second) = (bottom, top);
            }
            // Between readings of a slow meter the current before still holds.
            if x - last.x > 1.5 * self.step {
                self.line.push(CurvePoint { x, y: last.y });
            }
        }
        self.line.push(CurvePoint { x, y: first });
        if (second - first).abs() > 0.05 {
            self.line.push(CurvePoint { x, y: second });
        }
    }

    pub(super) fn lift(&mut self) {
        let line = std::mem::take(&mut self.line);
        if !line.is_empty() {
            self.curve.lines.push(line);
        }
    }
}
