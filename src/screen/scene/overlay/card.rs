//! The page of the job's card: a row for each field, limit and time-out with where they come from, and
//! what follows from it all. The selected row is the one that Enter changes.

use super::{Overlay, below_title, panel};
use crate::desk::Model;
use crate::desk::job::CardRow;
use crate::screen::scene::first_around;
use crate::screen::{Areas, Line, Role, width};

/// Cells of a field's name.
const NAME: u16 = 14;

/// Rows that one paragraph may take.
const ROWS: u16 = 6;

pub(super) fn card(model: &Model, areas: &Areas) -> Overlay {
    let pane = panel(areas);
    let room = below_title(pane);
    let rows = model.card_rows();
    let selected = model.view().row.min(rows.len().saturating_sub(1));
    let mut lines = Vec::new();
    let mut at = 0;
    for (n, row) in rows.iter().enumerate() {
        let chosen = n == selected;
        if chosen {
            at = lines.len();
        }
        lines.extend(said(row, chosen, pane.inner().width));
    }
    let mut heading = Line::new(Role::Strong, "CARD: this job");
    if lines.len() > room {
        let of = format!("   row {} of {}", selected.saturating_add(1), rows.len());
        heading = heading.and(Role::Dim, of);
    }
    let first = first_around(at, lines.len(), room);
    let mut shown = vec![heading];
    shown.extend(lines.into_iter().skip(first).take(room));
    pane.saying(shown)
}

/// A name and what stands there, under one another where it is long.
fn said(row: &CardRow, chosen: bool, inner: u16) -> Vec<Line> {
    let room = inner.saturating_sub(NAME.saturating_add(4));
    let role = match (row.field, row.empty) {
        (Some(_), true) => Role::Dim,
        (Some(_), false) => Role::Plain,
        (None, _) => Role::Unsure,
    };
    let texts = row
        .said
        .iter()
        .flat_map(|said| width::wrap(said, room, ROWS));
    let names = std::iter::once(row.name).chain(std::iter::repeat(""));
    let pointers = std::iter::once(if chosen { "> " } else { "  " }).chain(std::iter::repeat("  "));
    texts
        .zip(names)
        .zip(pointers)
        .map(|((text, name), pointer)| {
            Line::new(Role::Key, pointer)
                .and(Role::Dim, width::left(name, NAME))
                .and(role, format!("  {text}"))
        })
        .collect()
}
