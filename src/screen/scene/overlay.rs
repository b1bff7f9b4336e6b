//! What lies over the board: an open question, a help page, or a list.

mod card;
mod fuses;
mod lists;
mod plan;
mod sweep;
mod wakes;

use ratatui::layout::{Margin, Rect};

use super::count;
use crate::desk::keymap::{Action, ViewAction};
use crate::desk::{Model, Panel, Prompt};
use crate::screen::scene::typed_row;
use crate::screen::{Areas, Line, Role, width};
use crate::session::caution;

/// A box over the board.
#[derive(Clone, Debug, PartialEq)]
pub struct Overlay {
    /// Where.
    pub pane: Pane,
    /// What it says.
    pub lines: Vec<Line>,
    /// What can be clicked: where, and which of the panel's positions it is.
    pub hits: Vec<(Rect, usize)>,
}

/// Where a box lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pane {
    /// All of it.
    pub area: Rect,
    /// Whether there is room for a frame.
    pub framed: bool,
}

impl Pane {
    fn of(area: Rect) -> Self {
        let framed = area.height >= 7 && area.width >= 24;
        Self { area, framed }
    }

    /// What the frame leaves.
    pub fn inner(self) -> Rect {
        if self.framed {
            self.area.inner(Margin::new(2, 1))
        } else {
            self.area
        }
    }

    const fn saying(self, lines: Vec<Line>) -> Overlay {
        Overlay {
            pane: self,
            lines,
            hits: Vec::new(),
        }
    }
}

const WORDS: [&str; 12] = [
    "Plateau: flat, but sleep is not proven yet. Settled: flat, and it is.",
    "Stirring: the car woke by itself out of settled; shaded on the plot.",
    "Several fuses at once: E9+L3. Enter alone takes the name in [brackets].",
    "Late: end any name with @40s or @2m, as in D8 @40s: that long ago.",
    "First look: the change seconds after a pull, not settled, so no finding.",
    "At once: a load of its own. Late: it kept others awake.",
    "Not marked: a step in the current that nobody marked. Say what it was (w).",
    "A mark that is moved or renamed is struck and placed anew: both are kept.",
    "On the plot: a line of dashes is the limit, an upright one the time-out.",
    "A gap is shown as a gap: nothing was measured there.",
    "U (behind ±) holds about 95 % of the time. It counts the accuracy that the",
    "card names, else a plain handheld's, 1.5 % + 3 counts.",
];

impl Overlay {
    /// The open question, else the help page, else nothing.
    pub fn of(model: &Model, areas: &Areas) -> Option<Self> {
        if let Some(prompt) = model.prompt() {
            return Some(ask(model, prompt, areas));
        }
        let panel = model.view().panel.filter(|_| !model.view().far);
        Some(match panel? {
            Panel::Keys => keys(model, areas),
            Panel::Words => words(areas),
            Panel::Cautions => cautions(model, areas),
            Panel::Steps => lists::steps(model, areas),
            Panel::Marks => lists::marks(model, areas),
            Panel::Fuses => fuses::fuses(model, areas),
            Panel::Plan => plan::plan(model, areas),
            Panel::Sweep => sweep::sweep(model, areas),
            Panel::Wakes => wakes::wakes(model, areas),
            Panel::Card => card::card(model, areas),
        })
    }
}

fn ask(model: &Model, prompt: &Prompt, areas: &Areas) -> Overlay {
    let all = areas.all;
    let mut pane = Pane::of(Rect {
        width: all.width.min(72),
        ..all
    });
    let inner = pane.inner().width;
    let mut lines = Line::wrapped(Role::Strong, &prompt.ask.question(), inner, 4);
    if !prompt.is_yes_no() {
        lines.push(match prompt.offer() {
            Some(offer) => Line::new(Role::Key, "> ").and(Role::Selected, "_").and(
                Role::Dim,
                format!("  [{}]", width::clip(offer, inner.saturating_sub(10))),
            ),
            None => typed_row::row(&prompt.field, inner),
        });
    }
    let (role, said) = match prompt.consequence() {
        Ok(said) => (Role::Good, said),
        Err(missing) => (Role::Caution, missing),
    };
    lines.extend(Line::wrapped(role, &said, inner, 6));
    if !prompt.is_yes_no() {
        let cautions = model.cautions_asked().into_iter();
        let cautions = cautions.map(|caution| format!("CAUTION: {}", caution.line()));
        for said in prompt.questions().into_iter().chain(cautions) {
            lines.extend(Line::wrapped(Role::Caution, &said, inner, 4));
        }
        lines.push(Line::new(Role::Dim, format!("Esc {}", prompt.ask.on_esc())));
    }
    let edges = all.height.saturating_sub(pane.inner().height);
    let height = count(lines.len()).saturating_add(edges).min(all.height);
    // Over the plot where that is high enough, so that the value stays in sight.
    let within = if areas.plot.height >= height {
        areas.plot
    } else {
        all
    };
    pane.area = Rect {
        x: within.width.saturating_sub(pane.area.width) / 2,
        y: within
            .y
            .saturating_add(within.height.saturating_sub(height) / 2),
        height,
        ..pane.area
    };
    pane.saying(lines)
}

/// A page: the banners stay in sight above it.
fn page(areas: &Areas) -> Pane {
    let y = areas.now.y;
    let height = areas.all.height.saturating_sub(y);
    Pane::of(Rect {
        y,
        height,
        ..areas.all
    })
}

/// A panel with keys of its own: answers to keys and the keys themselves stay in sight below it.
fn panel(areas: &Areas) -> Pane {
    let mut pane = page(areas);
    let below = if areas.notices.height > 0 {
        areas.notices.y
    } else {
        areas.footer.y
    };
    pane.area.height = below.saturating_sub(pane.area.y);
    pane
}

/// Rows that are left below a title.
fn below_title(pane: Pane) -> usize {
    usize::from(pane.inner().height.saturating_sub(1))
}

/// A page that is read, from the row on to which it was scrolled.
fn scrolled(model: &Model, areas: &Areas, title: &str, said: Vec<Line>) -> Overlay {
    let pane = panel(areas);
    let room = below_title(pane);
    let first = model.view().row.min(said.len().saturating_sub(room));
    let mut heading = Line::new(Role::Strong, title);
    if said.len() > room {
        let last = first.saturating_add(room);
        heading = heading.and(Role::Dim, format!("   to row {last} of {}", said.len()));
    }
    let mut lines = vec![heading];
    lines.extend(said.into_iter().skip(first).take(room));
    pane.saying(lines)
}

/// A paragraph of a page.
fn paragraph(role: Role, text: &str, inner: u16) -> Vec<Line> {
    Line::wrapped(role, text, inner, 6)
}

fn keys(model: &Model, areas: &Areas) -> Overlay {
    let pane = page(areas);
    let inner = pane.inner().width;
    let rows: Vec<_> = model.shown_keys();
    let two = inner >= 76;
    let half = if two {
        rows.len().div_ceil(2)
    } else {
        rows.len()
    };
    let column = if two { inner / 2 } else { inner };
    let mut lines = vec![
        Line::new(Role::Strong, "KEYS")
            .and(Role::Dim, "   again for the words: ")
            .and(Role::Key, model.key_of(Action::View(ViewAction::Help))),
    ];
    for at in 0..half {
        let mut line = Line::default();
        for row in [rows.get(at), rows.get(half.saturating_add(at))]
            .into_iter()
            .flatten()
        {
            line = line.and(Role::Key, width::right(&row.keys, 10)).and(
                Role::Plain,
                format!(" {}", width::left(row.help, column.saturating_sub(11))),
            );
        }
        lines.push(line);
    }
    pane.saying(lines)
}

fn cautions(model: &Model, areas: &Areas) -> Overlay {
    let inner = panel(areas).inner().width;
    let mut lines = Vec::new();
    let mut moment = None;
    for caution in caution::all() {
        if moment != Some(caution.when) {
            moment = Some(caution.when);
            lines.push(Line::new(Role::Strong, caution.when.word()));
        }
        lines.extend(paragraph(Role::Caution, &caution.line(), inner));
    }
    scrolled(model, areas, "CAUTIONS", lines)
}

fn words(areas: &Areas) -> Overlay {
    let pane = page(areas);
    let inner = pane.inner().width;
    let mut lines = vec![Line::new(Role::Strong, "WORDS")];
    lines.extend(
        WORDS
            .iter()
            .flat_map(|said| Line::wrapped(Role::Plain, said, inner, 2)),
    );
    pane.saying(lines)
}
