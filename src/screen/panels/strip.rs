//! Under the plot: the phases in words and letters, and the times.

use ratatui::layout::{Constraint, Layout, Rect};

use super::Canvas;
use crate::judge::finding::Phase;
use crate::screen::scene::plot::{GUTTER, TracePlot};
use crate::screen::{Role, width};

/// What stands for a phase too short for its word, and what fills the stretch behind its word.
const fn signs(phase: Phase) -> (&'static str, &'static str) {
    match phase {
        Phase::Awake => ("A", "#"),
        Phase::Falling => ("F", "\\"),
        Phase::Plateau => ("P", "="),
        Phase::Settled => ("S", "_"),
        Phase::Stirring => ("!", "!"),
        Phase::Blind => ("?", "?"),
    }
}

/// Draws both rows.
pub(super) fn draw(strip: Rect, axis: Rect, plot: &TracePlot, canvas: &mut Canvas<'_>) {
    let [left, phases] = strip.layout(&beside());
    let word = width::right("phase", GUTTER.saturating_sub(2));
    canvas.text(left, &word, Role::Dim);
    for stretch in &plot.strip {
        let x = phases.x.saturating_add(stretch.from);
        let width = stretch.to.saturating_sub(stretch.from);
        phase(Rect { x, width, ..phases }, stretch.phase, canvas);
    }
    let [left, times] = axis.layout(&beside());
    let words = width::right(&plot.axis_words, GUTTER.saturating_sub(1));
    canvas.text(left, &words, Role::Dim);
    for (cell, label) in &plot.times {
        // A label that would be cut at the edge moves left, so that its number stays whole.
        let start = (*cell).min(plot.cells.saturating_sub(width::cells(label)));
        let x = times.x.saturating_add(start);
        let width = plot.cells.saturating_sub(start);
        canvas.text(Rect { x, width, ..times }, label, Role::Dim);
    }
}

fn beside() -> Layout {
    Layout::horizontal([Constraint::Length(GUTTER), Constraint::Fill(1)])
}

fn phase(area: Rect, phase: Phase, canvas: &mut Canvas<'_>) {
    let role = Role::Phase(phase);
    let (letter, fill) = signs(phase);
    let word = phase.word();
    let name = if width::cells(word).saturating_add(1) < area.width {
        word
    } else {
        letter
    };
    canvas.fill(area, fill, role);
    canvas.text(area, name, role);
}
