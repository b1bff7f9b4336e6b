//! The plot: axis labels, limit, marks, and the trace in braille or ASCII.

use ratatui::layout::Rect;

use super::Canvas;
use crate::reading::{number, quantity};
use crate::screen::scene::plot::{GUTTER, TracePlot};
use crate::screen::trace::{PER_CELL, TraceColumn};
use crate::screen::{Role, width};

/// Rows of dots in one cell of braille.
pub(super) const DOTS: u16 = 4;

/// Draws the plot.
pub(super) fn draw(area: Rect, plot: &TracePlot, canvas: &mut Canvas<'_>) {
    if area.height <= plot.flag_rows || area.width <= GUTTER {
        return;
    }
    let inner = Rect {
        x: area.x.saturating_add(GUTTER),
        y: area.y.saturating_add(plot.flag_rows),
        width: area.width.saturating_sub(GUTTER).min(plot.cells),
        height: area.height.saturating_sub(plot.flag_rows),
    };
    wakes(inner, plot, canvas);
    flags(area, inner, plot, canvas);
    timeout(inner, plot, canvas);
    scale(area, inner, plot, canvas);
    let per_row = if canvas.theme.glyphs.braille { DOTS } else { 1 };
    let dots = Dots::of(inner, plot, per_row);
    let limit_row = row_of(plot.axis.height(plot.limit_a), inner.height);
    limit(inner, limit_row, &dots, plot, canvas);
    for (n, column) in (0..).zip(inner.columns()) {
        trace(n, column, &dots, limit_row, canvas);
    }
    cursor(inner, &dots, plot, canvas);
}

/// What a column of the trace fills: its first and its last dot, counted from the top.
pub(super) type Filled = Option<(u16, u16)>;

/// The trace in dots.
struct Dots<'a> {
    per_row: u16,
    samples: &'a [TraceColumn],
    columns: Vec<Filled>,
}

impl<'a> Dots<'a> {
    /// Turns currents into dots and joins each column to the one before, so that a steep fall is
    /// one line.
    fn of(inner: Rect, plot: &'a TracePlot, per_row: u16) -> Self {
        let last = inner.height.saturating_mul(per_row).saturating_sub(1);
        let dot = |a: f64| {
            let share = 1.0 - plot.axis.height(a);
            number::round_to_u16(share * f64::from(last)).min(last)
        };
        let dots = |sample: &TraceColumn| {
            let (min_a, max_a) = sample.extremes()?;
            Some((dot(max_a), dot(min_a)))
        };
        let own = plot.samples.iter().map(dots);
        let before = std::iter::once(None).chain(own.clone());
        let join = |(before, own): (Filled, Filled)| {
            let ((top, bottom), own) = (before.or(own)?, own?);
            Some((own.0.min(bottom), own.1.max(top)))
        };
        Self {
            per_row,
            samples: &plot.samples,
            columns: before.zip(own).map(join).collect(),
        }
    }

    /// What the columns in cell `n` fill.
    fn filled(&self, n: u16) -> &[Filled] {
        of_cell(&self.columns, n)
    }

    /// The dots of the columns in cell `n` taken together.
    fn span(&self, n: u16) -> Filled {
        let filled = self.filled(n).iter().flatten().copied();
        filled.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
    }

    /// Whether the trace runs through the cell in column `n` and this row.
    fn covers(&self, n: u16, row: u16) -> bool {
        let top_dot = row.saturating_mul(self.per_row);
        let bottom_dot = top_dot.saturating_add(self.per_row).saturating_sub(1);
        let mut filled = self.filled(n).iter().flatten();
        filled.any(|(top, bottom)| *top <= bottom_dot && *bottom >= top_dot)
    }
}

/// What belongs to cell `n` of what there is [`PER_CELL`] of in a cell.
pub(super) fn of_cell<T>(all: &[T], n: u16) -> &[T] {
    let mut cells = all.chunks(usize::from(PER_CELL));
    cells.nth(usize::from(n)).unwrap_or(&[])
}

/// Draws the columns of the trace that share cell `n`.
fn trace(n: u16, area: Rect, dots: &Dots<'_>, limit_row: u16, canvas: &mut Canvas<'_>) {
    let glyphs = canvas.theme.glyphs;
    let span = dots.span(n);
    for (row, at) in (0..).zip(area.positions()) {
        let role = if row < limit_row {
            Role::TraceAbove
        } else {
            Role::Trace
        };
        if glyphs.braille {
            let pattern = braille(dots.filled(n), row);
            if let Some(symbol) = char::from_u32(0x2800 | pattern).filter(|_| pattern != 0) {
                canvas.put(at.x, at.y, symbol.encode_utf8(&mut [0; 4]), role);
            }
        } else if let Some((top, bottom)) = span.filter(|(top, _)| *top <= row)
            && row <= bottom
        {
            let symbol = if top == bottom {
                glyphs.dot
            } else {
                glyphs.bar
            };
            canvas.put(at.x, at.y, symbol, role);
        }
    }
    let samples = of_cell(dots.samples, n);
    if samples.iter().any(TraceColumn::is_over) {
        canvas.put(area.x, area.y, glyphs.over, Role::Bad);
    }
    if samples.contains(&TraceColumn::Gap) && span.is_none() {
        let bottom = area.bottom().saturating_sub(1);
        canvas.put(area.x, bottom, glyphs.gap, Role::Unsure);
    }
}

/// The braille pattern of one cell: eight dots, two columns of four. The order of the bits is that
/// of the Unicode block "Braille Patterns" (U+2800): dots 1, 2, 3, 7 left and 4, 5, 6, 8 right.
pub(super) fn braille(column: &[Filled], row: u16) -> u32 {
    const BITS: [[u32; 4]; 2] = [[0x01, 0x02, 0x04, 0x40], [0x08, 0x10, 0x20, 0x80]];
    let first = row.saturating_mul(DOTS);
    let filled = column
        .iter()
        .zip(BITS)
        .filter_map(|(span, bits)| Some((*span.as_ref()?, bits)));
    filled
        .flat_map(|((top, bottom), bits)| {
            let dots = (first..).zip(bits);
            dots.filter(move |(dot, _)| (top..=bottom).contains(dot))
        })
        .fold(0, |pattern, (_, bit)| pattern | bit)
}

fn row_of(share: f64, height: u16) -> u16 {
    let last = height.saturating_sub(1);
    number::round_to_u16((1.0 - share) * f64::from(last)).min(last)
}

/// Draws the limit where the trace leaves it room, and its label where it hides nothing. The head
/// names the limit too, so that it may be left out here.
fn limit(inner: Rect, row: u16, dots: &Dots<'_>, plot: &TracePlot, canvas: &mut Canvas<'_>) {
    let y = inner.y.saturating_add(row);
    let glyph = canvas.theme.glyphs.limit;
    for n in (0..inner.width).filter(|n| !dots.covers(*n, row)) {
        canvas.put(inner.x.saturating_add(n), y, glyph, Role::Limit);
    }
    if inner.width < 40 {
        return;
    }
    let label = format!(" limit {} ", quantity::amount(plot.limit_a));
    let cells = width::cells(&label);
    let free = |first: u16| {
        let mut taken = first..first.saturating_add(cells);
        !taken.any(|n| dots.covers(n, row) || plot.is_flagged(n) || plot.cursor == Some(n))
    };
    let last = inner.width.saturating_sub(cells);
    if let Some(first) = (2..=last).find(|first| free(*first)) {
        let at = from_column(inner, first);
        canvas.text(Rect { y, ..at }, &label, Role::Limit);
    }
}

/// The column `n` of `inner`, and everything right of it.
fn from_column(inner: Rect, n: u16) -> Rect {
    let x = inner.x.saturating_add(n);
    let width = inner.width.saturating_sub(n);
    Rect { x, width, ..inner }
}

fn upright(inner: Rect, n: u16) -> Rect {
    from_column(inner, n).columns().next().unwrap_or_default()
}

/// Shades the wakes, behind everything else.
fn wakes(inner: Rect, plot: &TracePlot, canvas: &mut Canvas<'_>) {
    for (first, end) in &plot.wakes {
        let width = end.saturating_sub(*first);
        let area = from_column(inner, *first);
        let area = Rect {
            width: area.width.min(width),
            ..area
        };
        canvas.fill(area, canvas.theme.glyphs.shade, Role::Shade);
    }
}

/// Draws the moment at which the sleep time-out has run.
fn timeout(inner: Rect, plot: &TracePlot, canvas: &mut Canvas<'_>) {
    let Some(n) = plot.timeout.filter(|n| *n < inner.width) else {
        return;
    };
    let glyph = canvas.theme.glyphs.timeout;
    canvas.fill(upright(inner, n), glyph, Role::Timeout);
    let label = "time-out";
    let cells = width::cells(label);
    let start = if n.saturating_add(cells) < inner.width {
        n.saturating_add(1)
    } else {
        n.saturating_sub(cells)
    };
    let mut taken = start..start.saturating_add(cells);
    if inner.height > 3 && !taken.any(|n| plot.is_flagged(n)) {
        canvas.text(from_column(inner, start), label, Role::Timeout);
    }
}

/// Draws the cursor; where it meets the trace that stays readable.
fn cursor(inner: Rect, dots: &Dots<'_>, plot: &TracePlot, canvas: &mut Canvas<'_>) {
    let Some(n) = plot.cursor.filter(|n| *n < inner.width) else {
        return;
    };
    let glyph = canvas.theme.glyphs.cursor;
    for (row, at) in (0..).zip(upright(inner, n).positions()) {
        if dots.covers(n, row) {
            canvas.restyle(at.x, at.y, Role::Selected);
        } else {
            canvas.put(at.x, at.y, glyph, Role::Cursor);
        }
    }
}

/// Labels the currents; a label that would fall on another is left out.
fn scale(area: Rect, inner: Rect, plot: &TracePlot, canvas: &mut Canvas<'_>) {
    let axis = canvas.theme.glyphs.axis;
    let room = GUTTER.saturating_sub(2);
    let mut taken = None;
    for (share, label) in plot.axis.ticks() {
        let row = row_of(share, inner.height);
        if taken.replace(row) == Some(row) {
            continue;
        }
        let y = inner.y.saturating_add(row);
        let at = Rect::new(area.x, y, room, 1);
        canvas.text(at, &width::right(&label, room), Role::Dim);
        canvas.put(inner.x.saturating_sub(1), y, axis, Role::Frame);
    }
}

fn flags(area: Rect, inner: Rect, plot: &TracePlot, canvas: &mut Canvas<'_>) {
    for flag in &plot.flags {
        let glyph = canvas.theme.glyphs.flag;
        canvas.fill(upright(inner, flag.cell), glyph, Role::Flag);
    }
    for flag in &plot.flags {
        let at = from_column(inner, flag.text_cell);
        let y = area.y.saturating_add(flag.row);
        canvas.text(Rect { y, ..at }, &flag.text, Role::Flag);
    }
}
