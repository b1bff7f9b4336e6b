//! Every string and number that the screen shows, made from the model for one size of screen: a
//! value without a colour and without a terminal.

mod by_eye;
pub mod cursor;
pub mod far;
pub mod head;
pub mod now;
pub mod overlay;
pub mod plot;
pub mod start;
pub mod trials;
mod typed_row;
pub mod volts;

use ratatui::layout::Position;

use super::arrange::{Areas, Wants, arrange};
use super::{Line, Role, width};
use crate::desk::keymap::{self, Action, RecordAction, ShellAction, ViewAction};
use crate::desk::{Event, Model, Panel};
use crate::reading::{capitalised, quantity};
use crate::signal::track::Track;
use far::Far;
use now::NowPane;
use overlay::Overlay;
use plot::TracePlot;
use trials::TrialList;
use volts::VoltsPlot;

/// What the screen shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// Where everything stands.
    pub areas: Areas,
    /// Rows with a left and a right end.
    pub head: Vec<(Line, Line)>,
    /// What is wrong and stays wrong.
    pub banners: Vec<Line>,
    /// The value, the phase, the verdict.
    pub now: NowPane,
    /// Current against time.
    pub plot: TracePlot,
    /// The battery's voltage under it.
    pub volts: VoltsPlot,
    /// What the cursor reads.
    pub cursor: Vec<Line>,
    /// The trials.
    pub trials: TrialList,
    /// The reason of the selected trial.
    pub why: Vec<Line>,
    /// Cautions and replies.
    pub notices: Vec<Line>,
    /// Advice.
    pub hint: Vec<Line>,
    /// The keys.
    pub footer: Vec<Line>,
    /// The value over the whole screen, in place of all the rest.
    pub far: Option<Far>,
    /// What lies over everything.
    pub overlay: Option<Overlay>,
}

impl Scene {
    /// The scene for a screen of this size.
    pub fn of(model: &Model, columns: u16, rows: u16) -> Self {
        Self::with(model, model.session().signal().track(), columns, rows)
    }

    /// The same with this trace.
    pub fn with(model: &Model, track: &Track, columns: u16, rows: u16) -> Self {
        let banners = head::banners(model, columns);
        let notices = notices(model, columns);
        let hint = hint(model, columns);
        let why = trials::why(model, columns);
        let footer = footer(model, columns);
        let wants = Wants {
            banners: count(banners.len()),
            notices: count(notices.len()),
            hint: count(hint.len()),
            cursor: u16::from(model.view().cursor.is_some()),
            trials: trials::wanted(model),
            why: count(why.len()),
            footer: count(footer.len()),
            volts: volts::wanted(model, rows),
        };
        let areas = arrange(columns, rows, &wants);
        Self {
            head: head::rows(model, columns),
            banners,
            now: NowPane::of(model, &areas),
            plot: TracePlot::of(model, track, &areas),
            volts: VoltsPlot::of(model, &areas),
            cursor: cursor::line(model, track, areas.plot.width),
            trials: TrialList::of(model, areas.trials.width, areas.trials.height),
            why,
            notices,
            hint,
            footer,
            far: Far::of(model, &areas),
            overlay: Overlay::of(model, &areas),
            areas,
        }
    }
}

impl Scene {
    /// What a click on this column and row of the frame means: a position of the open panel, or a
    /// moment on the plot.
    pub fn under(&self, column: u16, row: u16) -> Option<Event> {
        let at = Position::new(column, row);
        if let Some(overlay) = &self.overlay {
            let hit = overlay.hits.iter().find(|(area, _)| area.contains(at))?;
            return Some(Event::Chosen(hit.1));
        }
        if self.far.is_some() || !self.areas.plot.contains(at) {
            return None;
        }
        let cell = column.checked_sub(self.areas.plot.x.saturating_add(plot::GUTTER))?;
        self.plot.moment(cell).map(Event::Pointed)
    }
}

/// The first of `len` rows to be shown in `room` rows, so that row `at` is among them with what
/// stands around it.
fn first_around(at: usize, len: usize, room: usize) -> usize {
    at.saturating_sub(room / 2).min(len.saturating_sub(room))
}

fn count(n: usize) -> u16 {
    u16::try_from(n).unwrap_or(u16::MAX)
}

fn notices(model: &Model, columns: u16) -> Vec<Line> {
    let notices = model.notices();
    let mut lines: Vec<Line> = run(model).into_iter().collect();
    lines.extend(caution(model, columns));
    if let Some(reply) = &notices.reply {
        lines.extend(Line::wrapped(Role::Strong, reply, columns, 4));
    }
    lines
}

/// The caution that comes next, how many there are, and how to put it away.
fn caution(model: &Model, columns: u16) -> Vec<Line> {
    let unread = &model.notices().unread;
    let Some(said) = unread.front() else {
        return Vec::new();
    };
    let key = model.key_of(Action::View(ViewAction::Dismiss));
    let text = match said.deferral {
        Some(deferral) => format!("CAUTION: {} ({deferral})", said.text),
        None => said.text.to_owned(),
    };
    let more = match unread.len() {
        0 | 1 => format!("{text} [{key}: read]"),
        count => format!("{text} [{key}: read, {count} left]"),
    };
    Line::wrapped(Role::Caution, &more, columns, 4)
}

fn run(model: &Model) -> Option<Line> {
    let run = model.run()?;
    let (called, of) = run.progress();
    let key = model.key_of(Action::Record(RecordAction::Run));
    let line = Line::new(Role::Key, "RUN: ");
    let line = match run.next_label() {
        Some(next) => line
            .and(Role::Strong, next)
            .and(Role::Plain, format!(" next, {called} of {of} called")),
        None => line.and(Role::Plain, format!("{of} fuses")),
    };
    let line = match model.open_falls() {
        0 => line,
        open => line.and(
            Role::Unsure,
            format!(", {} nobody named", quantity::counted(open, "fall")),
        ),
    };
    let line = match run.next_call() {
        Some(at) => {
            let left_s = at.secs_since(model.now()).max(0.0);
            line.and(
                Role::Plain,
                format!(", called in {}", quantity::span(left_s)),
            )
        }
        None => line,
    };
    Some(line.and(Role::Dim, format!("   ({key} ends it)")))
}

/// What to do now, in one voice: in a teacher's words to those who learn, else in the plan's.
fn hint(model: &Model, columns: u16) -> Vec<Line> {
    let taught = |hint| Line::wrapped(Role::Hint, &format!("Next: {hint}"), columns, 2);
    let planned = || plan(model, columns).into_iter().collect();
    let mut lines = match finished(model, columns) {
        Some(line) => vec![line],
        None => model.hint().map_or_else(planned, taught),
    };
    lines.extend(look(model, columns));
    lines
}

/// That nothing is left to do but to hand over the report.
fn finished(model: &Model, columns: u16) -> Option<Line> {
    let by_hand = &model.judgement().by_hand;
    let said = capitalised(&by_hand.finished_in_short(quantity::clock)?);
    let [report, marks] = [
        Action::Shell(ShellAction::Export),
        Action::View(ViewAction::Panel(Panel::Marks)),
    ];
    let [report, marks] = [report, marks].map(|action| model.key_of(action));
    let more = format!("   ({report}: report, {marks}: strike it)");
    let room = columns.saturating_sub(width::cells(&more));
    let line = Line::new(Role::Hint, width::clip(&said, room));
    Some(line.and(Role::Dim, more))
}

/// What on the card's page is worth a look.
fn look(model: &Model, columns: u16) -> Option<Line> {
    let said = model.worth_a_look();
    if said.is_empty() {
        return None;
    }
    let key = model.key_of(Action::View(ViewAction::Panel(Panel::Card)));
    let line = Line::new(Role::Hint, "Card: ");
    let room = columns.saturating_sub(width::cells(&key).saturating_add(17));
    Some(
        line.and(Role::Unsure, width::clip(&said, room))
            .and(Role::Dim, format!("   ({key}: more)")),
    )
}

fn plan(model: &Model, columns: u16) -> Option<Line> {
    let said = model.plan()?.in_short();
    let key = model.key_of(Action::View(ViewAction::Panel(Panel::Plan)));
    let more = if key.is_empty() {
        String::new()
    } else {
        format!("   ({key}: why)")
    };
    let room = columns.saturating_sub(width::cells(&more).saturating_add(6));
    let line = Line::new(Role::Hint, "Next: ").and(Role::Strong, width::clip(&said, room));
    Some(line.and(Role::Dim, more))
}

/// The line of keys; while something that was pressed is not yet on disk, that stands there first.
fn footer(model: &Model, columns: u16) -> Vec<Line> {
    let keys = shown_keys(model, columns);
    let Some(said) = model.being_written() else {
        return keys;
    };
    let line = Line::new(Role::Unsure, width::clip(&said, columns));
    std::iter::once(line)
        .chain(keys.into_iter().skip(1))
        .collect()
}

fn shown_keys(model: &Model, columns: u16) -> Vec<Line> {
    if let Some(prompt) = model.prompt() {
        let line = if prompt.is_yes_no() {
            Line::new(Role::Key, "Enter")
                .and(Role::Plain, " no   ")
                .and(Role::Key, "y")
                .and(Role::Plain, " yes")
        } else {
            Line::new(Role::Key, "Enter")
                .and(Role::Plain, " takes it   ")
                .and(Role::Key, "Esc")
                .and(Role::Plain, " nothing")
        };
        return vec![line];
    }
    let panel = model.view().panel.filter(|_| !model.view().far);
    let shown = panel
        .and_then(keymap::panel_shown)
        .unwrap_or_else(|| model.shown_keys());
    let named = shown.iter().filter(|key| !key.label.is_empty());
    let said = |key: &keymap::ShownKeys| {
        Line::new(Role::Key, &key.keys).and(Role::Plain, format!(" {}", key.label))
    };
    Line::flowing(named.map(said), "  ", columns)
}
