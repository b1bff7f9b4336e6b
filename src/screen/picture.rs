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
