//! From a scene to cells. Every write goes through [`Canvas`], which cuts what lies outside.

mod far;
mod plot;
mod strip;

use ratatui::buffer::Buffer;
use ratatui::layout::Position;

use super::arrange::Area;
use super::role::{Line, Role};
use super::scene::Scene;
use super::scene::now::Now;
use super::scene::overlay::Overlay;
use super::scene::trials::Trials;
use super::theme::Theme;
use super::width;

/// The cells of a frame and how to write on them.
#[derive(Debug)]
pub(super) struct Canvas<'a> {
    buffer: &'a mut Buffer,
    theme: &'a Theme,
}

impl<'a> Canvas<'a> {
    pub(super) const fn new(buffer: &'a mut Buffer, theme: &'a Theme) -> Self {
        Self { buffer, theme }
    }

    /// One character.
    fn put(&mut self, x: u16, y: u16, symbol: &str, role: Role) {
        if let Some(cell) = self.buffer.cell_mut(Position { x, y }) {
            cell.set_symbol(symbol).set_style(self.theme.style(role));
        }
    }

    /// Another look for what stands there.
    fn restyle(&mut self, x: u16, y: u16, role: Role) {
        if let Some(cell) = self.buffer.cell_mut(Position { x, y }) {
            cell.set_style(self.theme.style(role));
        }
    }

    /// Text, at most `room` cells of it; says how many it took.
    fn text(&mut self, x: u16, y: u16, text: &str, room: u16, role: Role) -> u16 {
        let area = self.buffer.area;
        if y >= area.bottom() || x >= area.right() {
            return 0;
        }
        let room = room.min(area.right().saturating_sub(x));
        let said = if self.theme.glyphs.unicode {
            width::clip(text, room)
        } else {
            width::ascii(&width::clip(&width::ascii(text), room))
        };
        let style = self.theme.style(role);
        let (end, _) = self
            .buffer
            .set_stringn(x, y, said, usize::from(room), style);
        end.saturating_sub(x)
    }

    /// A row of pieces, at most `room` cells of it.
    fn line(&mut self, x: u16, y: u16, line: &Line, room: u16) {
        let mut taken = 0u16;
        for piece in &line.0 {
            let at = x.saturating_add(taken);
            let left = room.saturating_sub(taken);
            taken = taken.saturating_add(self.text(at, y, &piece.text, left, piece.role));
        }
    }

    /// The cells of a row as this canvas writes it.
    fn cells(&self, line: &Line) -> u16 {
        line.0.iter().fold(0u16, |sum, piece| {
            sum.saturating_add(if self.theme.glyphs.unicode {
                width::cells(&piece.text)
            } else {
                width::cells(&width::ascii(&piece.text))
            })
        })
    }

    /// Rows from the top of `area`, as many as fit.
    fn lines<'l>(&mut self, area: Area, lines: impl IntoIterator<Item = &'l Line>) {
        for (y, line) in rows(area).zip(lines) {
            self.line(area.x, y, line, area.width);
        }
    }
}

/// The rows of an area.
fn rows(area: Area) -> std::ops::Range<u16> {
    area.y..area.y.saturating_add(area.height)
}

/// Draws every part.
pub(super) fn draw(scene: &Scene, canvas: &mut Canvas<'_>) {
    let areas = &scene.areas;
    if let Some(far) = &scene.far {
        far::draw(areas.all, far, canvas);
        if let Some(overlay) = &scene.overlay {
            over(overlay, canvas);
        }
        return;
    }
    head(areas.head, &scene.head, canvas);
    canvas.lines(areas.banners, &scene.banners);
    now(areas.now, &scene.now, canvas);
    plot::draw(areas.plot, &scene.plot, canvas);
    strip::draw(areas.strip, areas.axis, &scene.plot, canvas);
    canvas.lines(areas.cursor, &scene.cursor);
    trials(areas.trials, &scene.trials, canvas);
    canvas.lines(areas.why, &scene.why);
    canvas.lines(areas.notices, &scene.notices);
    canvas.lines(areas.hint, &scene.hint);
    canvas.lines(areas.footer, &scene.footer);
    if let Some(overlay) = &scene.overlay {
        over(overlay, canvas);
    }
}

/// Draws rows from the top of the frame.
pub(super) fn draw_lines(lines: &[Line], canvas: &mut Canvas<'_>) {
    let whole = canvas.buffer.area;
    let area = Area {
        x: whole.x,
        y: whole.y,
        width: whole.width,
        height: whole.height,
    };
    canvas.lines(area, lines);
}

/// The right end is kept whole and the left one cut: the clock matters more than a long name.
fn head(area: Area, lines: &[(Line, Line)], canvas: &mut Canvas<'_>) {
    for (y, (left, right)) in rows(area).zip(lines) {
        let taken = canvas.cells(right).min(area.width);
        let start = area.width.saturating_sub(taken);
        canvas.line(area.x, y, left, start.saturating_sub(1));
        canvas.line(area.x.saturating_add(start), y, right, taken);
    }
}

fn now(area: Area, now: &Now, canvas: &mut Canvas<'_>) {
    let ink = canvas.theme.glyphs.ink;
    for (y, row) in rows(area).zip(&now.digits) {
        for (x, dot) in (area.x..).zip(row.chars()) {
            if dot == '#' {
                canvas.put(x, y, ink, now.role);
            }
        }
    }
    let taken = now
        .digits
        .first()
        .map_or(0, |row| width::cells(row).saturating_add(2));
    let beside = Area {
        x: area.x.saturating_add(taken),
        width: area.width.saturating_sub(taken),
        ..area
    };
    canvas.lines(beside, &now.lines);
}

fn trials(area: Area, trials: &Trials, canvas: &mut Canvas<'_>) {
    let mark = canvas.theme.glyphs.selected;
    let mut at = rows(area);
    if let Some(y) = at.next() {
        canvas.line(area.x, y, &trials.heading, area.width);
    }
    for (y, (line, selected)) in at.zip(&trials.rows) {
        if *selected {
            canvas.put(area.x, y, mark, Role::Key);
        }
        let indent = area.x.saturating_add(2);
        canvas.line(indent, y, line, area.width.saturating_sub(2));
    }
}

fn over(overlay: &Overlay, canvas: &mut Canvas<'_>) {
    let area = overlay.area;
    for y in rows(area) {
        for x in area.x..area.x.saturating_add(area.width) {
            if let Some(cell) = canvas.buffer.cell_mut(Position { x, y }) {
                cell.reset();
            }
        }
    }
    if !overlay.framed {
        return canvas.lines(area, &overlay.lines);
    }
    frame(area, canvas);
    let inner = Area {
        x: area.x.saturating_add(2),
        y: area.y.saturating_add(1),
        width: area.width.saturating_sub(4),
        height: area.height.saturating_sub(2),
    };
    canvas.lines(inner, &overlay.lines);
}

fn frame(area: Area, canvas: &mut Canvas<'_>) {
    let [
        top_left,
        top_right,
        bottom_left,
        bottom_right,
        level,
        upright,
    ] = canvas.theme.glyphs.frame;
    let right = area.x.saturating_add(area.width).saturating_sub(1);
    let bottom = area.y.saturating_add(area.height).saturating_sub(1);
    for x in area.x..right {
        canvas.put(x, area.y, level, Role::Strong);
        canvas.put(x, bottom, level, Role::Strong);
    }
    for y in rows(area) {
        canvas.put(area.x, y, upright, Role::Strong);
        canvas.put(right, y, upright, Role::Strong);
    }
    canvas.put(area.x, area.y, top_left, Role::Strong);
    canvas.put(right, area.y, top_right, Role::Strong);
    canvas.put(area.x, bottom, bottom_left, Role::Strong);
    canvas.put(right, bottom, bottom_right, Role::Strong);
}
