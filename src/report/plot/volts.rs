//! The battery's voltage in a field of its own under the current, on the same time axis. An earlier
//! record's is not drawn: two batteries on two days are not compared.

use super::curve::Pen;
use super::{CurveField, CurvePoint, Map, Ruled};
use crate::chart::Window;
use crate::reading::number;
use crate::report::case::Case;
use crate::session::volts::VoltsBlock;

const HIGH: f64 = 58.0;
/// Keeps its upper label from the current's lowest.
const APART: f64 = 5.0;
/// The curve is never stretched further than this, in volts: a last place is no fall.
const LEAST_V: f64 = 0.2;
/// The axis ends at whole steps of this, in volts.
const STEP_V: f64 = 0.1;

/// Volts against time.
#[derive(Clone, Debug, PartialEq)]
pub struct VoltsField {
    /// Where.
    pub field: CurveField,
    /// The ends of its axis.
    pub ends: Vec<Ruled>,
    /// Lines that are not to be joined.
    pub lines: Vec<Vec<CurvePoint>>,
}

impl VoltsField {
    /// Its lower edge.
    pub fn bottom(&self) -> f64 {
        self.field.top + self.field.height
    }
}

/// The field from `top` on; `None` for a record without volts.
pub(super) fn field(case: &Case, map: &Map, top: f64) -> Option<VoltsField> {
    let volts = case.session.volts();
    let top = top + APART;
    let (low, high) = extremes(volts.blocks())?;
    let low = (low / STEP_V).floor() * STEP_V;
    let high = ((high / STEP_V).ceil() * STEP_V).max(low + LEAST_V);
    let field = CurveField {
        top,
        height: HIGH,
        ..map.field
    };
    let y = |v: f64| top + (high - v) / (high - low) * HIGH;
    let end = |v: f64| Ruled {
        at: y(v),
        label: format!("{v:.1} V"),
        below: None,
    };
    let count = number::round_to_u16(field.width.floor());
    let step = field.width / f64::from(count);
    let mut pen = Pen::new("", step);
    for (column, Window { from, to }) in (0..count).zip(map.window.columns(count)) {
        let seen = volts.between(from, to);
        let Some((least, most)) = extremes(seen) else {
            continue;
        };
        if seen.first().is_some_and(|block| block.after_gap) {
            pen.lift();
        }
        let x = field.left + (f64::from(column) + 0.5) * step;
        pen.draw(x, y(most), y(least));
    }
    pen.lift();
    Some(VoltsField {
        field,
        ends: vec![end(high), end(low)],
        lines: pen.curve.lines,
    })
}

fn extremes(blocks: &[VoltsBlock]) -> Option<(f64, f64)> {
    let ends = blocks
        .iter()
        .map(|block| (block.lowest.1.value_v(), block.max_v));
    ends.reduce(|(low, high), (min, max)| (low.min(min), high.max(max)))
}
