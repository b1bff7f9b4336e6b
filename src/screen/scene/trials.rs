//! The list of trials: what was done, from where to where, and what that shows.

use super::count;
use crate::desk::Model;
use crate::judge::finding::{Level, Trial};
use crate::reading::quantity;
use crate::screen::{Line, Role, width};

/// The rows of the list.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TrialList {
    /// The heading.
    pub heading: Line,
    /// The trials that fit.
    pub rows: Vec<Line>,
    /// Which of these rows is selected.
    pub selected: Option<usize>,
}

/// Cells of the column that names the trial: what is left beside the others.
const fn name_cells(columns: u16) -> u16 {
    let rest = columns.saturating_sub(69);
    if rest < 8 {
        8
    } else if rest > 30 {
        30
    } else {
        rest
    }
}

/// Rows that the list would like, without its heading.
pub fn wanted(model: &Model) -> u16 {
    count(model.judgement().trials.len()).max(1)
}

impl TrialList {
    /// The newest trials, or those around the selected one, in `height` rows.
    pub fn of(model: &Model, columns: u16, height: u16) -> Self {
        let trials = &model.judgement().trials;
        let name = name_cells(columns);
        let heading = format!(
            "  time    {} {} {} {} finding",
            width::left("trial", name),
            width::right("before", 8),
            width::left("   after", 10),
            width::left("change", 19),
        );
        let mut rows = Vec::new();
        if trials.is_empty() {
            let text = "  none yet: lock, wait until it settles, then pull a fuse and mark it (p)";
            rows.push(Line::new(Role::Dim, text));
        }
        let room = usize::from(height.saturating_sub(1));
        let selected = model.view().trial;
        let end = selected.map_or(trials.len(), |at| {
            at.saturating_add(room / 2).saturating_add(1).max(room)
        });
        let end = end.min(trials.len());
        let start = end.saturating_sub(room);
        let shown = trials.iter().take(end).skip(start);
        rows.extend(shown.map(|trial| row(trial, name)));
        Self {
            heading: Line::new(Role::Dim, heading),
            rows,
            selected: selected.and_then(|at| at.checked_sub(start)),
        }
    }
}

fn row(trial: &Trial, name: u16) -> Line {
    let did = trial.deed();
    let alone = |level: Option<Level>| level.map(|level| quantity::level_alone(level.a, level.u_a));
    let (levels, change) = match (trial.change, trial.first_look) {
        (None, Some(look)) => (
            width::left("  first look only", 19),
            quantity::change(look.a, look.u_a),
        ),
        (change, _) => (
            format!(
                "{} → {}",
                width::right(&alone(trial.before).unwrap_or_else(|| "?".into()), 8),
                width::left(&alone(trial.after).unwrap_or_else(|| "?".into()), 8)
            ),
            change.map_or_else(String::new, |change| quantity::change(change.a, change.u_a)),
        ),
    };
    let finding = Line::new(Role::Dim, format!("{} ", quantity::clock(trial.t)))
        .and(Role::Strong, width::left(&width::sanitize(&did), name))
        .and(
            Role::Plain,
            format!(" {levels} {} ", width::left(&change, 19)),
        )
        .and(Role::of_finding(trial.finding), trial.finding.word());
    match trial.manner {
        Some(manner) => finding.and(Role::Plain, format!(" {}", manner.word())),
        None => finding,
    }
}

/// The reason of the selected trial in full.
pub fn why(model: &Model, columns: u16) -> Vec<Line> {
    let selected = model.view().trial;
    let Some(trial) = selected.and_then(|at| model.judgement().trials.get(at)) else {
        return Vec::new();
    };
    let text = format!("{}: {}", trial.deed(), trial.why());
    Line::wrapped(Role::Strong, &text, columns, 4)
}
