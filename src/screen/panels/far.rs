//! The far view in cells: what is wrong on top, large letters in the middle, words at the bottom.

use ratatui::layout::{Constraint, Layout, Rect};

use super::Canvas;
use crate::screen::scene::far::Far;

/// Draws the far view.
pub(super) fn draw(area: Rect, far: &Far, canvas: &mut Canvas<'_>) {
    let count = |n: usize| u16::try_from(n).unwrap_or(u16::MAX);
    let banners = count(far.banners.len()).min(area.height);
    let below = count(far.below.len()).min(area.height.saturating_sub(banners));
    let rows = [
        Constraint::Length(banners),
        Constraint::Fill(1),
        Constraint::Length(below),
    ];
    let [top, mut middle, bottom] = area.layout(&Layout::vertical(rows));
    canvas.lines(top, &far.banners);
    canvas.lines(bottom, &far.below);
    for large in &far.large {
        if large.rows.is_empty() {
            canvas.text(middle, &large.text, large.role);
        }
        canvas.letters(middle, &large.rows, large.role);
        let taken = count(large.rows.len()).max(1);
        let rest = [
            Constraint::Length(taken),
            Constraint::Length(1),
            Constraint::Fill(1),
        ];
        [_, _, middle] = middle.layout(&Layout::vertical(rest));
    }
}
