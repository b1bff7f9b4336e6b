//! The lists over the board: steps that nobody marked, and every mark.

use super::{Overlay, panel};
use crate::desk::Model;
use crate::judge::finding::Unclaimed;
use crate::reading::quantity;
use crate::screen::arrange::Areas;
use crate::screen::role::{Line, Role};
use crate::screen::width;
use crate::session::Placed;

pub(super) fn steps(model: &Model, areas: &Areas) -> Overlay {
    let rows: Vec<Line> = model.listed_steps().iter().map(step).collect();
    let nothing = "Every step out of settled has its mark.";
    list(
        model,
        areas,
        "STEPS THAT NOBODY MARKED: what was it?",
        nothing,
        rows,
    )
}

pub(super) fn marks(model: &Model, areas: &Areas) -> Overlay {
    let rows: Vec<Line> = model
        .listed_marks()
        .map(|placed| mark(model, placed))
        .collect();
    list(model, areas, "MARKS", "There is no mark yet.", rows)
}

fn step(step: &Unclaimed) -> Line {
    let word = if step.to_a < step.from_a {
        "fell"
    } else {
        "rose"
    };
    let by_a = (step.to_a - step.from_a).abs();
    Line::new(Role::Dim, format!("{}  ", quantity::clock(step.t)))
        .and(
            Role::Strong,
            format!("{word} by {}", quantity::current(by_a)),
        )
        .and(
            Role::Plain,
            format!(
                ", {} → {}",
                quantity::current(step.from_a),
                quantity::current(step.to_a)
            ),
        )
}

fn mark(model: &Model, placed: &Placed) -> Line {
    let role = if placed.struck {
        Role::Dim
    } else {
        Role::Strong
    };
    let named = width::left(&width::sanitize(&placed.mark.to_string()), 28);
    let line = Line::new(Role::Dim, format!("{}  ", quantity::clock(placed.at()))).and(role, named);
    if placed.struck {
        return line.and(Role::Dim, "  struck");
    }
    let line = if placed.mark.at.is_some() {
        line.and(
            Role::Dim,
            format!("  noted {}", quantity::clock(placed.noted)),
        )
    } else {
        line
    };
    let steps = &model.judgement().steps;
    match steps.iter().find(|step| step.mark == Some(placed.mark.id)) {
        Some(step) => line.and(
            Role::Plain,
            format!("  step at {}", quantity::clock(step.t)),
        ),
        None => line,
    }
}

/// Rows around the selected one, as many as there is room for.
fn list(model: &Model, areas: &Areas, title: &str, nothing: &str, rows: Vec<Line>) -> Overlay {
    let (area, framed, _) = panel(areas);
    let edge = if framed { 3 } else { 1 };
    let room = usize::from(area.height.saturating_sub(edge));
    let count = rows.len();
    let selected = model.view().row.min(count.saturating_sub(1));
    let first = selected
        .saturating_sub(room / 2)
        .min(count.saturating_sub(room));
    let mut lines = vec![Line::new(Role::Strong, title)];
    if count == 0 {
        lines.push(Line::new(Role::Plain, nothing));
    } else if count > room {
        let of = format!("   {} of {count}", selected.saturating_add(1));
        lines = vec![Line::new(Role::Strong, title).and(Role::Dim, of)];
    }
    for (at, row) in rows.into_iter().enumerate().skip(first).take(room) {
        let pointer = if at == selected { "> " } else { "  " };
        let mut line = Line::new(Role::Key, pointer);
        line.0.extend(row.0);
        lines.push(line);
    }
    Overlay {
        area,
        framed,
        lines,
        hits: Vec::new(),
    }
}
