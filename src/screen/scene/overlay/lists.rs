//! The lists over the board: steps that nobody marked, and every mark.

use super::{Overlay, below_title, panel};
use crate::desk::Model;
use crate::judge::finding::{Phase, Unclaimed};
use crate::reading::quantity;
use crate::screen::scene::first_around;
use crate::screen::{Areas, Line, Role, width};
use crate::session::Placed;

pub(super) fn steps(model: &Model, areas: &Areas) -> Overlay {
    let rows: Vec<Line> = model.listed_steps().iter().map(step).collect();
    let nothing = if model.judgement().now.phase == Phase::Settled {
        "Every step out of settled has its mark."
    } else {
        "No step without a mark so far: one out of settled is listed once it stands."
    };
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
    let [from, to] = [step.from_a, step.to_a].map(quantity::current);
    Line::new(Role::Dim, format!("{}  ", quantity::clock(step.t)))
        .and(Role::Strong, step.in_short())
        .and(Role::Plain, format!(", {from} → {to}"))
        .and(Role::Dim, among(&step.among))
}

/// The fuses of a run of which one may be it.
fn among(labels: &[String]) -> String {
    match labels {
        [] => String::new(),
        [one] => format!("  {one}, for all that is known"),
        labels => format!("  one of {}", labels.join(", ")),
    }
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
    let pane = panel(areas);
    let room = below_title(pane);
    let count = rows.len();
    let selected = model.view().row.min(count.saturating_sub(1));
    let first = first_around(selected, count, room);
    let mut heading = Line::new(Role::Strong, title);
    if count > room {
        let of = format!("   {} of {count}", selected.saturating_add(1));
        heading = heading.and(Role::Dim, of);
    }
    let mut lines = vec![heading];
    if count == 0 {
        lines.push(Line::new(Role::Plain, nothing));
    }
    for (at, row) in rows.into_iter().enumerate().skip(first).take(room) {
        let pointer = if at == selected { "> " } else { "  " };
        lines.push(Line::new(Role::Key, pointer).with(row));
    }
    pane.saying(lines)
}
