//! From a scene to cells. Every write goes through [`Canvas`], which cuts what lies outside.

mod far;
mod plot;
mod strip;
mod volts;

use ratatui::buffer::Buffer;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::{Line as Styled, Span};
use ratatui::widgets::{
    Block, Clear, HighlightSpacing, List, ListState, Paragraph, StatefulWidget, Widget,
};

use super::scene::now::{NowPane, taken_by};
use super::scene::overlay::Overlay;
use super::scene::trials::TrialList;
use super::{Areas, Line, Role, Scene, Theme, width};

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
        if let Some(cell) = self.buffer.cell_mut((x, y)) {
            cell.set_symbol(symbol).set_style(self.theme.style(role));
        }
    }

    /// The same character in every cell of `area`.
    fn fill(&mut self, area: Rect, symbol: &str, role: Role) {
        for at in area.positions() {
            self.put(at.x, at.y, symbol, role);
        }
    }

    /// Another look for what stands there.
    fn restyle(&mut self, x: u16, y: u16, role: Role) {
        self.buffer
            .set_style(Rect::new(x, y, 1, 1), self.theme.style(role));
    }

    /// A row as this theme writes it, at most `room` cells of it; a cut shows.
    fn styled(&self, line: &Line, room: u16) -> Styled<'static> {
        let mut left = room;
        let pieces = line.0.iter().map(|piece| {
            let text = self.theme.glyphs.clip(&piece.text, left);
            left = left.saturating_sub(width::cells(&text));
            Span::styled(text, self.theme.style(piece.role))
        });
        pieces.collect()
    }

    /// Text in the first row of `area`.
    fn text(&mut self, area: Rect, text: &str, role: Role) {
        let text = self.theme.glyphs.clip(text, area.width);
        Span::styled(text, self.theme.style(role)).render(area, self.buffer);
    }

    /// Rows from the top of `area`, as many as fit.
    fn lines(&mut self, area: Rect, lines: &[Line]) {
        let lines = lines.iter().map(|line| self.styled(line, area.width));
        Paragraph::new(lines.collect::<Vec<_>>()).render(area, self.buffer);
    }

    /// Large letters: `#` is ink, what lies between is left as it is.
    fn letters(&mut self, area: Rect, letters: &[String], role: Role) {
        for (row, letters) in area.rows().zip(letters) {
            for (dot, _) in row
                .columns()
                .zip(letters.chars())
                .filter(|(_, c)| *c == '#')
            {
                self.fill(dot, self.theme.glyphs.ink, role);
            }
        }
    }
}

/// Rows of the screen, drawn from a piece of the scene.
#[derive(Debug)]
pub(super) struct Part {
    /// Which rows.
    pub area: fn(&Areas) -> Rect,
    /// Draws them.
    pub draw: fn(&Scene, &mut Canvas<'_>),
    is_as_was: fn(&Scene, &Scene) -> bool,
}

/// The part whose rows and whose piece of the scene have one name.
macro_rules! part {
    ($name:ident, $draw:expr) => {
        Part {
            area: |areas| areas.$name,
            draw: |scene, canvas| $draw(scene.areas.$name, &scene.$name, canvas),
            is_as_was: |was, is| was.$name == is.$name,
        }
    };
}

/// The parts of the board, which share no row. Rows of none of them stay empty.
static BOARD: [Part; 12] = [
    part!(head, head),
    part!(banners, lines),
    part!(now, now),
    part!(plot, plot::draw),
    part!(volts, volts::draw),
    Part {
        area: |areas| areas.strip.union(areas.axis),
        draw: |scene, canvas| {
            strip::draw(scene.areas.strip, scene.areas.axis, &scene.plot, canvas);
        },
        is_as_was: |was, is| was.plot == is.plot,
    },
    part!(cursor, lines),
    part!(trials, trials),
    part!(why, lines),
    part!(notices, lines),
    part!(hint, lines),
    part!(footer, lines),
];

/// All rows at once: the board and what lies over it, or the value alone.
static WHOLE: Part = Part {
    area: |areas| areas.all,
    draw: |scene, canvas| {
        match &scene.far {
            Some(far) => far::draw(scene.areas.all, far, canvas),
            None => BOARD.iter().for_each(|part| (part.draw)(scene, canvas)),
        }
        if let Some(overlay) = &scene.overlay {
            over(overlay, canvas);
        }
    },
    is_as_was: |was, is| was == is,
};

/// What has to be drawn again where this scene stands, or something that is none.
pub(super) fn stale<'a>(
    was: Option<&'a Scene>,
    is: &'a Scene,
) -> impl Iterator<Item = &'static Part> + 'a {
    let is_bare = |scene: &Scene| scene.far.is_none() && scene.overlay.is_none();
    let is_board = |was: &Scene| was.areas == is.areas && is_bare(was) && is_bare(is);
    let parts: &'static [Part] = match was {
        Some(was) if is_board(was) => &BOARD,
        _ => std::slice::from_ref(&WHOLE),
    };
    let is_as_was = move |part: &Part| was.is_some_and(|was| (part.is_as_was)(was, is));
    parts.iter().filter(move |part| !is_as_was(part))
}

/// Draws rows from the top of the frame.
pub(super) fn draw_lines(rows: &[Line], canvas: &mut Canvas<'_>) {
    lines(canvas.buffer.area, rows, canvas);
}

fn lines(area: Rect, lines: &[Line], canvas: &mut Canvas<'_>) {
    canvas.lines(area, lines);
}

/// The right end is kept whole and the left one cut: the clock matters more than a long name.
fn head(area: Rect, lines: &[(Line, Line)], canvas: &mut Canvas<'_>) {
    for (row, (left, right)) in area.rows().zip(lines) {
        let right = canvas.styled(right, area.width);
        let taken = u16::try_from(right.width()).unwrap_or(u16::MAX);
        let ends = Layout::horizontal([Constraint::Fill(1), Constraint::Length(taken)]).spacing(1);
        let [begin, end] = row.layout(&ends);
        canvas
            .styled(left, begin.width)
            .render(begin, canvas.buffer);
        right.render(end, canvas.buffer);
    }
}

fn now(area: Rect, now: &NowPane, canvas: &mut Canvas<'_>) {
    canvas.letters(area, &now.digits, now.role);
    let taken = |digits: &[String]| Constraint::Length(taken_by(digits));
    let split = [taken(&now.digits), taken(&now.age), Constraint::Fill(1)];
    let [_, age, beside] = area.layout(&Layout::horizontal(split));
    canvas.letters(age, &now.age, Role::Strong);
    canvas.lines(beside, &now.lines);
}

fn trials(area: Rect, trials: &TrialList, canvas: &mut Canvas<'_>) {
    let [heading, rows] = area.layout(&Layout::vertical([
        Constraint::Length(1),
        Constraint::Fill(1),
    ]));
    canvas.lines(heading, std::slice::from_ref(&trials.heading));
    let room = area.width.saturating_sub(2);
    let items = trials.rows.iter().map(|row| canvas.styled(row, room));
    let mark = format!("{} ", canvas.theme.glyphs.selected);
    let list = List::new(items.collect::<Vec<_>>())
        .highlight_symbol(Styled::styled(mark, canvas.theme.style(Role::Key)))
        .highlight_spacing(HighlightSpacing::Always);
    let mut state = ListState::default().with_selected(trials.selected);
    let rows = rows.intersection(canvas.buffer.area);
    StatefulWidget::render(list, rows, canvas.buffer, &mut state);
}

fn over(overlay: &Overlay, canvas: &mut Canvas<'_>) {
    let pane = overlay.pane;
    Clear.render(pane.area, canvas.buffer);
    if pane.framed {
        Block::bordered()
            .border_set(canvas.theme.glyphs.frame)
            .border_style(canvas.theme.style(Role::Strong))
            .render(pane.area, canvas.buffer);
    }
    canvas.lines(pane.inner(), &overlay.lines);
}
