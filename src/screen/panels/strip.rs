//! Under the plot: the phases in words and letters, and the times.

use super::{Area, Canvas};
use crate::judge::finding::Phase;
use crate::screen::role::Role;
use crate::screen::scene::plot::{GUTTER, Plot};
use crate::screen::width;

/// A phase too short for its word.
const fn letter(phase: Phase) -> &'static str {
    match phase {
        Phase::Awake => "A",
        Phase::Falling => "F",
        Phase::Plateau => "P",
        Phase::Settled => "S",
        Phase::Stirring => "!",
        Phase::Blind => "?",
    }
}

/// What fills the stretch behind its word.
const fn fill(phase: Phase) -> &'static str {
    match phase {
        Phase::Awake => "#",
        Phase::Falling => "\\",
        Phase::Plateau => "=",
        Phase::Settled => "_",
        Phase::Stirring => "!",
        Phase::Blind => "?",
    }
}

/// Draws both rows.
pub(super) fn draw(strip: Area, axis: Area, plot: &Plot, canvas: &mut Canvas<'_>) {
    if strip.width <= GUTTER {
        return;
    }
    let room = GUTTER.saturating_sub(2);
    let left = strip.x.saturating_add(GUTTER);
    if strip.height > 0 {
        canvas.text(
            strip.x,
            strip.y,
            &width::right("phase", room),
            room,
            Role::Dim,
        );
        for stretch in &plot.strip {
            phase(
                left,
                strip.y,
                stretch.phase,
                stretch.from,
                stretch.to,
                canvas,
            );
        }
    }
    if axis.height > 0 {
        let words = width::right(&plot.axis_words, GUTTER.saturating_sub(1));
        canvas.text(axis.x, axis.y, &words, room.saturating_add(1), Role::Dim);
        for (cell, label) in &plot.times {
            // A label that would be cut at the edge moves left, so that its number stays whole.
            let start = (*cell).min(plot.cells.saturating_sub(width::cells(label)));
            let x = left.saturating_add(start);
            canvas.text(
                x,
                axis.y,
                label,
                plot.cells.saturating_sub(start),
                Role::Dim,
            );
        }
    }
}

fn phase(left: u16, y: u16, phase: Phase, from: u16, to: u16, canvas: &mut Canvas<'_>) {
    let role = Role::Phase(phase);
    let cells = to.saturating_sub(from);
    let word = phase.word();
    let name = if width::cells(word).saturating_add(1) < cells {
        word
    } else {
        letter(phase)
    };
    for cell in from..to {
        canvas.put(left.saturating_add(cell), y, fill(phase), role);
    }
    canvas.text(left.saturating_add(from), y, name, cells, role);
}
