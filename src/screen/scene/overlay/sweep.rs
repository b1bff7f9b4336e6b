//! The page of the millivolts read across fuses: what each carries, largest first, and what their
//! sum leaves of the battery's current.

use super::{Overlay, panel, paragraph, scrolled};
use crate::desk::Model;
use crate::desk::prompt::probe;
use crate::fuse::map;
use crate::fuse::sweep::SweptFuse;
use crate::judge::sweep::Swept;
use crate::judge::words;
use crate::reading::quantity;
use crate::screen::{Areas, Line, Role, width};

const NONE_YET: &str = "No fuse was read yet. With a voltmeter on millivolts, touch both test \
    points on the back of each fuse: nothing is pulled and nothing wakes. Enter begins at the \
    first fuse of the map.";

const NOT_SETTLED: &str = "The car has not settled: there is nothing yet to hold the sum against.";

pub(super) fn sweep(model: &Model, areas: &Areas) -> Overlay {
    let inner = panel(areas).inner().width;
    let said = match &model.judgement().sweep {
        Some(swept) => page(model, swept, inner),
        None => paragraph(Role::Plain, NONE_YET, inner),
    };
    scrolled(
        model,
        areas,
        "MILLIVOLTS ACROSS FUSES: what each carries",
        said,
    )
}

fn page(model: &Model, swept: &Swept, inner: u16) -> Vec<Line> {
    let sweep = &swept.sweep;
    let sum = quantity::level(sweep.sum_a, sweep.sum_u_a);
    let count = quantity::counted(sweep.rows.len(), "fuse");
    let mut lines = vec![Line::new(Role::Strong, format!("{count}, sum {sum}"))];
    let (role, left) = swept.left.map_or_else(
        || (Role::Dim, NOT_SETTLED.to_owned()),
        |left| (Role::Plain, words::sweep::left(left)),
    );
    lines.extend(paragraph(role, &left, inner));
    lines.push(Line::default());
    for row in &sweep.rows {
        lines.extend(fuse(model, row, inner));
    }
    lines
}

fn fuse(model: &Model, row: &SweptFuse, inner: u16) -> Vec<Line> {
    let mut drops = model.session().drops().iter().rev().map(|(_, drop)| drop);
    let read = drops.find(|drop| map::same(&drop.what, &row.label));
    let head = Line::new(Role::Strong, width::left(&width::sanitize(&row.label), 8)).and(
        Role::Dim,
        width::right(&read.map(probe::shown).unwrap_or_default(), 10),
    );
    let mut lines = Vec::new();
    match &row.drawn {
        Ok(drawn) => {
            let mut line = head.and(
                Role::Plain,
                format!("  {}", width::left(&drawn.in_words(), 30)),
            );
            if drawn.unseen.is_none() {
                let band = format!(
                    "  {} to {}",
                    quantity::current(drawn.band.low),
                    quantity::current(drawn.band.high)
                );
                line = line.and(Role::Dim, band);
            }
            lines.push(line);
            for question in &drawn.questions {
                lines.extend(asked(Role::Caution, question, inner));
            }
        }
        Err(error) => {
            lines.push(head.and(Role::Unsure, "  no current"));
            lines.extend(asked(Role::Unsure, &error.to_string(), inner));
        }
    }
    lines
}

/// Under the row that it belongs to.
fn asked(role: Role, text: &str, inner: u16) -> Vec<Line> {
    let rows = width::wrap(text, inner.saturating_sub(4), 3).into_iter();
    rows.map(|row| Line::new(role, format!("    {row}")))
        .collect()
}
