//! The fuse map: each box as a grid of its positions with their state, and below it what is known
//! of the selected one.

mod detail;

use detail::{detail, has_colour};

use ratatui::layout::Rect;

use super::{Overlay, panel};
use crate::desk::Model;
use crate::desk::grid::{self, COLUMNS, Cell, FuseBox};
use crate::desk::keymap::{Action, RecordAction};
use crate::fuse::blade;
use crate::judge::finding::Finding;
use crate::judge::trial::Trial;
use crate::screen::paint::Paint;
use crate::screen::scene::{count, first_around};
use crate::screen::{Areas, Line, Role, width};
use crate::session::Did;

const LEGEND: [&str; 8] = [
    "x out",
    "* next by the plan",
    ". not tried",
    "! falls",
    "= no change",
    "+ rises",
    "? cannot tell",
    "~ not judged yet",
];

/// Cells before the label: the pointer, out or next, the finding.
const SIGNS: u16 = 3;
/// Cells of a rating.
const RATING: u16 = 5;
/// Fewer cells than these say nothing of a part.
const FEEDS: u16 = 6;
/// Wider positions than this only pull the grid apart.
const WIDEST: u16 = 32;
/// Rows for what is known of the selected fuse.
const DETAIL: u16 = 6;

/// A row of the grid.
enum GridRow<'a> {
    /// The name of a box.
    Heading(String),
    /// Positions, and how many are before them.
    Positions(&'a [Cell<'a>], usize),
}

pub(super) fn fuses(model: &Model, areas: &Areas) -> Overlay {
    let pane = panel(areas);
    let inside = pane.inner();
    let boxes = model.fuse_boxes();
    let selected = model.selected_fuse(&boxes);
    let mut lines = vec![title(model)];
    let Some(cell) = grid::cell(&boxes, selected) else {
        let key = model.key_of(Action::Record(RecordAction::Mark(Did::Pull)));
        let said = format!(
            "No fuse yet: give a map with --fuses MAP.csv, or pull a fuse ({key}) and it stands \
             here."
        );
        lines.extend(Line::wrapped(
            Role::Plain,
            &said,
            inside.width,
            inside.height,
        ));
        return pane.saying(lines);
    };
    let legend = legend(inside.width);
    let fixed = count(legend.len()).saturating_add(1);
    let left = inside.height.saturating_sub(fixed);
    let detail = detail(cell, inside.width, DETAIL.min(left / 2));
    let height = usize::from(left.saturating_sub(count(detail.len())));
    let wide = inside
        .width
        .checked_div(count(COLUMNS))
        .unwrap_or(0)
        .min(WIDEST);
    let rows = rows(&boxes);
    let at = rows.iter().position(|row| row.holds(selected));
    let first = first_around(at.unwrap_or(0), rows.len(), height);
    let label = label_cells(&boxes, wide);
    let mut hits = Vec::new();
    let shown = rows.into_iter().skip(first).take(height);
    for (row, place) in shown.zip(inside.rows().skip(lines.len())) {
        lines.push(match row {
            GridRow::Heading(name) => Line::new(Role::Dim, name),
            GridRow::Positions(cells, before) => {
                let mut line = Line::default();
                for ((cell, at), x) in cells
                    .iter()
                    .zip(before..)
                    .zip((place.x..).step_by(usize::from(wide.max(1))))
                {
                    line = line.with(position(cell, at == selected, label, wide));
                    hits.push((Rect::new(x, place.y, wide, 1), at));
                }
                line
            }
        });
    }
    lines.extend(detail);
    lines.extend(legend);
    Overlay { pane, lines, hits }
}

/// The signs, as many in a row as there is room for.
fn legend(inner: u16) -> Vec<Line> {
    let signs = LEGEND.map(|said| Line::new(Role::Dim, said));
    let mut rows = Line::flowing(signs, "   ", inner);
    rows.truncate(2);
    rows
}

fn title(model: &Model) -> Line {
    let title = Line::new(Role::Strong, "FUSES");
    let typed = &model.view().typed;
    if typed.is_empty() {
        title
    } else {
        title.and(Role::Dim, "   ").and(Role::Key, typed)
    }
}

impl GridRow<'_> {
    fn holds(&self, at: usize) -> bool {
        match self {
            Self::Heading(_) => false,
            Self::Positions(cells, before) => {
                at.checked_sub(*before).is_some_and(|n| n < cells.len())
            }
        }
    }
}

/// How many cells a label has: a long one goes before the rating, which stands below for the selected one.
fn label_cells(boxes: &[FuseBox<'_>], wide: u16) -> u16 {
    let labels = boxes.iter().flat_map(|one| &one.cells);
    let longest = labels
        .map(|cell| width::cells(&width::sanitize(&cell.circuit.on_lid())))
        .max()
        .unwrap_or(0);
    longest.min(wide.saturating_sub(SIGNS.saturating_add(1)))
}

fn rows<'a>(boxes: &'a [FuseBox<'a>]) -> Vec<GridRow<'a>> {
    let mut rows = Vec::new();
    let mut before = 0usize;
    for one in boxes {
        match (&*one.name, rows.is_empty()) {
            ("", true) => {}
            ("", false) => rows.push(GridRow::Heading("without a box".to_owned())),
            (name, _) => rows.push(GridRow::Heading(format!("box {name}"))),
        }
        for cells in one.cells.chunks(COLUMNS) {
            rows.push(GridRow::Positions(cells, before));
            before = before.saturating_add(cells.len());
        }
    }
    rows
}

/// One position in exactly `wide` cells.
fn position(cell: &Cell<'_>, chosen: bool, label: u16, wide: u16) -> Line {
    let (pointer, role) = if chosen {
        (">", Role::Selected)
    } else {
        (" ", Role::Strong)
    };
    let (state, state_role) = match (cell.known.is_out, cell.known.is_next) {
        (true, _) => ("x", Role::Bad),
        (false, true) => ("*", Role::Key),
        (false, false) => (" ", Role::Plain),
    };
    let (sign, sign_role) = sign(cell.known.tried);
    let text = width::left(&width::sanitize(&cell.circuit.on_lid()), label);
    let line = Line::new(Role::Key, pointer)
        .and(state_role, state)
        .and(sign_role, sign)
        .and(role, text);
    let used = line.cells();
    if wide < used.saturating_add(RATING) {
        let rest = usize::from(wide.saturating_sub(used));
        return line.and(Role::Plain, " ".repeat(rest));
    }
    let rating = cell
        .circuit
        .rating_a
        .map_or_else(String::new, |rating_a| format!("{rating_a} "));
    let paint = cell
        .circuit
        .rating_a
        .and_then(blade::colour)
        .and_then(Paint::spelled)
        .filter(|_| has_colour(cell));
    let line = line.and(
        paint.map_or(Role::Plain, Role::Rating),
        width::right(&rating, RATING),
    );
    let rest = wide.saturating_sub(line.cells());
    if rest < 2 {
        return line.and(Role::Plain, " ".repeat(usize::from(rest)));
    }
    let rest = rest.saturating_sub(2);
    let said = width::left(&said(cell, rest), rest);
    line.and(Role::Dim, format!(" {said} "))
}

const fn sign(tried: Option<&Trial>) -> (&'static str, Role) {
    let Some(tried) = tried else {
        return (".", Role::Dim);
    };
    let sign = match tried.finding {
        Finding::Clears | Finding::Lowers => "!",
        Finding::NoChange => "=",
        Finding::Raises => "+",
        Finding::CannotTell | Finding::Spoiled => "?",
        Finding::NotYet => "~",
    };
    (sign, Role::of_finding(tried.finding))
}

/// The finding in words, or what it feeds, where there is room for them.
fn said(cell: &Cell<'_>, room: u16) -> String {
    let feeds = || cell.circuit.feeds.first().map(String::as_str);
    let finding = cell.known.tried.map(|trial| trial.finding.word());
    match (finding, feeds()) {
        (Some(finding), _) if width::cells(finding) <= room => finding.to_owned(),
        (None, Some(feeds)) if room >= FEEDS => width::sanitize(feeds),
        _ => String::new(),
    }
}
