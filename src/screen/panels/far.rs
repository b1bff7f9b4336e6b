//! The far view in cells: what is wrong on top, large letters in the middle, words at the bottom.

use super::{Area, Canvas};
use crate::screen::scene::far::{Far, Large};

/// Draws the far view.
pub(super) fn draw(area: Area, far: &Far, canvas: &mut Canvas<'_>) {
    let count = |n: usize| u16::try_from(n).unwrap_or(u16::MAX);
    let banners = count(far.banners.len()).min(area.height);
    let below = count(far.below.len()).min(area.height.saturating_sub(banners));
    canvas.lines(
        Area {
            height: banners,
            ..area
        },
        &far.banners,
    );
    let bottom = area.y.saturating_add(area.height);
    canvas.lines(
        Area {
            y: bottom.saturating_sub(below),
            height: below,
            ..area
        },
        &far.below,
    );
    let mut y = area.y.saturating_add(banners);
    let last = bottom.saturating_sub(below);
    for large in &far.large {
        y = letters(area, y, last, large, canvas).saturating_add(1);
    }
}

/// Draws from row `y` on, not beyond `last`; says which row is free after it.
fn letters(area: Area, y: u16, last: u16, large: &Large, canvas: &mut Canvas<'_>) -> u16 {
    if large.rows.is_empty() {
        if y < last {
            canvas.text(area.x, y, &large.text, area.width, large.role);
        }
        return y.saturating_add(1);
    }
    let ink = canvas.theme.glyphs.ink;
    let mut at = y;
    for row in large.rows.iter().take(usize::from(last.saturating_sub(y))) {
        for (x, dot) in (area.x..area.x.saturating_add(area.width)).zip(row.chars()) {
            if dot == '#' {
                canvas.put(x, at, ink, large.role);
            }
        }
        at = at.saturating_add(1);
    }
    at
}
