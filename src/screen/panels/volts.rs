//! The battery's voltage under the plot: the ends of its axis, and its curve in braille or ASCII.

use ratatui::layout::Rect;

use super::Canvas;
use super::plot::{DOTS, Filled, braille, of_cell};
use crate::reading::number;
use crate::screen::scene::plot::GUTTER;
use crate::screen::scene::volts::VoltsPlot;
use crate::screen::{Role, width};

/// Draws the curve.
pub(super) fn draw(area: Rect, plot: &VoltsPlot, canvas: &mut Canvas<'_>) {
    if area.height == 0 || area.width <= GUTTER {
        return;
    }
    let inner = Rect {
        x: area.x.saturating_add(GUTTER),
        width: area.width.saturating_sub(GUTTER).min(plot.cells),
        ..area
    };
    ends(area, inner, plot, canvas);
    let per_row = if canvas.theme.glyphs.braille { DOTS } else { 1 };
    let filled = filled(plot, inner.height.saturating_mul(per_row));
    for (n, column) in (0..).zip(inner.columns()) {
        curve(of_cell(&filled, n), column, canvas);
    }
}

/// Volts to dots, each column joined to the one before.
fn filled(plot: &VoltsPlot, dots: u16) -> Vec<Filled> {
    let last = dots.saturating_sub(1);
    let dot = |v: f64| {
        let share = 1.0 - plot.height(v);
        number::round_to_u16(share * f64::from(last)).min(last)
    };
    let own: Vec<Filled> = plot
        .columns
        .iter()
        .map(|column| column.map(|(low, high)| (dot(high), dot(low))))
        .collect();
    let before = std::iter::once(None).chain(own.iter().copied());
    let join = |(before, own): (Filled, Filled)| {
        let ((top, bottom), own) = (before.or(own)?, own?);
        Some((own.0.min(bottom), own.1.max(top)))
    };
    before.zip(own.iter().copied()).map(join).collect()
}

fn curve(cell: &[Filled], area: Rect, canvas: &mut Canvas<'_>) {
    let glyphs = canvas.theme.glyphs;
    for (row, at) in (0..).zip(area.positions()) {
        if glyphs.braille {
            let pattern = braille(cell, row);
            if let Some(symbol) = char::from_u32(0x2800 | pattern).filter(|_| pattern != 0) {
                canvas.put(at.x, at.y, symbol.encode_utf8(&mut [0; 4]), Role::Plain);
            }
        } else if cell
            .iter()
            .flatten()
            .any(|(top, bottom)| (*top..=*bottom).contains(&row))
        {
            canvas.put(at.x, at.y, glyphs.dot, Role::Plain);
        }
    }
}

/// Both ends of the axis with their volts.
fn ends(area: Rect, inner: Rect, plot: &VoltsPlot, canvas: &mut Canvas<'_>) {
    let room = GUTTER.saturating_sub(2);
    let lowest = area.bottom().saturating_sub(1);
    for (y, v) in [(lowest, plot.low_v), (area.y, plot.high_v)] {
        let at = Rect::new(area.x, y, room, 1);
        canvas.text(at, &width::right(&format!("{v:.1} V"), room), Role::Dim);
        let axis = canvas.theme.glyphs.axis;
        canvas.put(inner.x.saturating_sub(1), y, axis, Role::Frame);
    }
}
