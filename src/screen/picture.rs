//! What stands on the screen: a part of the board whose piece of the scene is as it was is not drawn
//! again, and of what is drawn only the cells that differ are written.

use ratatui::buffer::{Buffer, Cell};
use ratatui::layout::Rect;

use super::panels::{self, Canvas};
use super::progress::Progress;
use super::scene::start;
use super::{Line, Scene, Theme};
use crate::desk::Start;

/// A cell to be written: its column, its row, what stands there from now on.
pub type Change = (u16, u16, Cell);

/// What stands on the screen; at first nothing does.
#[derive(Clone, Debug, Default)]
pub struct Picture {
    cells: Buffer,
    /// What it was drawn from; nothing where that was no board.
    of: Option<(Scene, Theme)>,
    /// Where a part is drawn before it is compared.
    sheet: Buffer,
}

impl Picture {
    /// Nothing, on a screen of this size.
    pub fn blank(area: Rect) -> Self {
        Self {
            cells: Buffer::empty(area),
            ..Self::default()
        }
    }

    /// Every cell.
    pub const fn cells(&self) -> &Buffer {
        &self.cells
    }

    /// The scene that it shows.
    pub fn scene(&self) -> Option<&Scene> {
        self.of.as_ref().map(|(scene, _)| scene)
    }

    /// Turns into this scene; what that changes.
    pub fn show(&mut self, scene: Scene, theme: Theme) -> Vec<Change> {
        if scene.areas.all != self.cells.area {
            *self = Self::blank(scene.areas.all);
        }
        let was = self.of.take().filter(|(_, looks)| *looks == theme);
        let was = was.map(|(scene, _)| scene);
        let mut changes = Vec::new();
        for part in panels::stale(was.as_ref(), &scene) {
            let draw = |canvas: &mut Canvas<'_>| (part.draw)(&scene, canvas);
            changes.extend(self.redraw((part.area)(&scene.areas), &theme, draw));
        }
        self.of = Some((scene, theme));
        changes
    }

    /// Turns into how far long work has come, while there is nothing else to show.
    pub fn show_progress(&mut self, progress: &Progress, theme: &Theme) -> Vec<Change> {
        let Rect { width, height, .. } = self.cells.area;
        self.show_lines(&progress.lines(width, height), theme)
    }

    /// Turns into the start card.
    pub fn show_start(&mut self, card: &Start, theme: &Theme) -> Vec<Change> {
        let Rect { width, height, .. } = self.cells.area;
        self.show_lines(&start::rows(card, width, height), theme)
    }

    fn show_lines(&mut self, lines: &[Line], theme: &Theme) -> Vec<Change> {
        self.of = None;
        self.redraw(self.cells.area, theme, |canvas| {
            panels::draw_lines(lines, canvas);
        })
    }

    /// Draws rows anew; what differs in them.
    fn redraw(
        &mut self,
        area: Rect,
        theme: &Theme,
        draw: impl FnOnce(&mut Canvas<'_>),
    ) -> Vec<Change> {
        let mut sheet = std::mem::take(&mut self.sheet);
        sheet.resize(area);
        sheet.reset();
        draw(&mut Canvas::new(&mut sheet, theme));
        let changes = self.replace(&sheet);
        self.sheet = sheet;
        changes
    }

    /// Takes rows over; what differs in them.
    fn replace(&mut self, fresh: &Buffer) -> Vec<Change> {
        let width = usize::from(self.cells.area.width).max(1);
        let stood = self.cells.content.chunks_mut(width);
        let stood = stood.skip(fresh.area.y.into());
        let mut changes = Vec::new();
        for ((was, next), area) in stood
            .zip(fresh.content.chunks(width))
            .zip(fresh.area.rows())
        {
            if was == next {
                continue;
            }
            if was.iter().chain(next).any(is_disputed) {
                was.fill(Cell::EMPTY);
                changes.extend(area.positions().map(|at| (at.x, at.y, Cell::EMPTY)));
            }
            let [before, after] = [&*was, next].map(|row| Buffer {
                area,
                content: row.to_vec(),
            });
            let differ = before.diff_iter(&after);
            changes.extend(differ.map(|(x, y, cell)| (x, y, cell.clone())));
            was.clone_from_slice(next);
        }
        changes
    }
}

/// Terminals mostly agree on the width of a character, and not on that of several that make one sign:
/// flags, vowel signs, voicing marks. A row with such text is written whole.
fn is_disputed(cell: &Cell) -> bool {
    cell.symbol().chars().nth(1).is_some()
}

/// The changes in runs, at the begin of each of which the cursor has to be placed: behind text whose width
/// is disputed nobody knows where it stands.
pub fn runs(changes: &[Change]) -> impl Iterator<Item = &[Change]> {
    changes.chunk_by(|(.., cell), _| !is_disputed(cell))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What stands on a terminal where each character of a sign takes so many columns.
    struct Stands {
        row: Vec<String>,
        columns_a_character: fn(usize) -> usize,
    }

    impl Stands {
        fn take(&mut self, changes: &[Change]) {
            for run in runs(changes) {
                let (mut cursor, mut expected) = (0, None);
                for (x, _, cell) in run {
                    if expected != Some(*x) {
                        cursor = usize::from(*x);
                    }
                    expected = x.checked_add(1);
                    for (place, c) in cell.symbol().chars().enumerate() {
                        if let Some(column) = self.row.get_mut(cursor) {
                            *column = c.to_string();
                        }
                        cursor = cursor.saturating_add((self.columns_a_character)(place));
                    }
                }
            }
        }
    }

    /// A voicing mark behind half-width letters, a vowel sign, a flag, an accent of its own.
    const SIGNS: [&str; 4] = [
        "\u{ff76}\u{ff9e}",
        "\u{0e19}\u{0e33}",
        "\u{1f1e9}\u{1f1ea}",
        "e\u{301}",
    ];

    #[test]
    fn text_of_disputed_width_leaves_nothing_standing() {
        let area = Rect::new(0, 0, 12, 1);
        let as_one: fn(usize) -> usize = |place| usize::from(place == 0);
        for columns_a_character in [as_one, |_| 1] {
            for sign in SIGNS {
                let mut picture = Picture::blank(area);
                let mut stands = Stands {
                    row: vec![" ".into(); 12],
                    columns_a_character,
                };
                for text in [
                    "abcdefghijkl",
                    sign,
                    "ab",
                    &format!("a{sign}cd"),
                    "xyz",
                    &format!("{sign}{sign} w"),
                ] {
                    let mut next = Buffer::empty(area);
                    next.set_string(0, 0, text, ratatui::style::Style::new());
                    stands.take(&picture.replace(&next));
                    assert_eq!(picture.cells(), &next);
                    for (column, cell) in next.content.iter().enumerate() {
                        let (stood, behind) = (&stands.row[column], column.checked_sub(1));
                        let behind = behind.map(|at| next.content[at].symbol());
                        let is_spill = behind.is_some_and(|sign| sign.chars().count() > 1);
                        if !is_disputed(cell) && !is_spill {
                            assert_eq!(stood, cell.symbol(), "{text:?} {:?}", stands.row);
                        }
                        assert!(
                            text.contains(stood.as_str()) || stood == " ",
                            "{text:?} {stood}"
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn of_plain_text_only_what_differs_is_written_in_one_run() {
        let area = Rect::new(0, 0, 9, 2);
        let drawn = |second: &str| {
            let mut cells = Buffer::empty(area);
            cells.set_string(0, 0, "e\u{301}", ratatui::style::Style::new());
            cells.set_string(0, 1, second, ratatui::style::Style::new());
            cells
        };
        let mut picture = Picture::blank(area);
        picture.replace(&drawn("12.34 A"));
        let changes = picture.replace(&drawn("12.35 A"));
        assert_eq!(runs(&changes).count(), 1);
        let [(4, 1, cell)] = changes.as_slice() else {
            panic!("{changes:?}");
        };
        assert_eq!(cell.symbol(), "5");
    }
}
