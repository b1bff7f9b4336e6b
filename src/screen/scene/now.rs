//! What the car does now: the value in large digits, the phase with its reason, the verdict.

use super::{by_eye, count};
use crate::desk::habits::Units;
use crate::desk::{LinkState, Model};
use crate::judge::Judgement;
use crate::judge::finding::{Phase, Verdict};
use crate::judge::words;
use crate::reading::{Amps, Measured, quantity};
use crate::screen::arrange::{Areas, is_large};
use crate::screen::{Line, Role, digits, width};

/// The present value and what it means.
#[derive(Clone, Debug, PartialEq)]
pub struct NowPane {
    /// The value as text: `52.3 mA`, `OL`, or dashes where there is no live value.
    pub value: String,
    /// Its look.
    pub role: Role,
    /// Rows of large digits, `#` for ink; empty where there is no room for them.
    pub digits: Vec<String>,
    /// The same of a typed value's age.
    pub age: Vec<String>,
    /// The rows beside it.
    pub lines: Vec<Line>,
}

impl NowPane {
    /// For the rows that `areas` gives.
    pub fn of(model: &Model, areas: &Areas) -> Self {
        let (value, role) = value(model);
        let area = areas.now;
        let (wide, high) = if is_large(areas.all.width, areas.all.height) {
            (4, 2)
        } else if area.width >= 110 {
            (2, 1)
        } else {
            (1, 1)
        };
        let taken = digits::cells(&value, wide);
        let fits = area.height >= digits::ROWS && taken.saturating_add(20) <= area.width;
        let digits = if fits {
            digits::rows(&value, wide, high)
        } else {
            Vec::new()
        };
        let room = if fits {
            area.width.saturating_sub(taken).saturating_sub(2)
        } else {
            area.width
        };
        let age = by_eye::age(model)
            .filter(|age| fits && digits::cells(age, 1).saturating_add(BESIDE_AGE) <= room);
        let age = age.map_or_else(Vec::new, |age| digits::rows(&age, 1, 1));
        let room = room.saturating_sub(taken_by(&age));
        let lines = lines(model, room, area.height, fits, (&value, role));
        Self {
            value,
            role,
            digits,
            age,
            lines,
        }
    }
}

/// Fewer cells than these beside the digits break every line of words.
const BESIDE_AGE: u16 = 26;

/// The cells of rows of large digits, with what parts them from what stands beside them.
pub(in crate::screen) fn taken_by(digits: &[String]) -> u16 {
    let widest = digits.first().map(|row| width::cells(row));
    widest.map_or(0, |cells| cells.saturating_add(2))
}

/// Whether the newest reading speaks of the present; in a recorded session it always does.
pub(super) fn is_live(model: &Model) -> bool {
    let lost = matches!(
        model.link().0,
        LinkState::Lost(_) | LinkState::Silent | LinkState::Unreadable(_) | LinkState::Ended
    );
    !(model.options().live && (lost || model.overdue_s().is_some()))
}

/// The live value. An old one is never shown as if it were live.
pub(super) fn value(model: &Model) -> (String, Role) {
    let judgement = model.judgement();
    if !is_live(model) {
        return ("---".into(), Role::Dim);
    }
    match model.session().last_reading() {
        None => ("---".into(), Role::Dim),
        Some((_, Measured::Over)) => ("OL".into(), Role::Alarm),
        Some((_, Measured::Amps(amps))) => {
            let role = if by_eye::is_due(model) {
                Role::Dim
            } else if amps.value_a() > judgement.limit.value {
                Role::TraceAbove
            } else {
                Role::Trace
            };
            (in_units(model, amps), role)
        }
    }
}

/// The value in the unit that the technician likes, with every place that the meter wrote.
fn in_units(model: &Model, amps: Amps) -> String {
    match model.options().habits.units {
        Units::Auto => quantity::shown(amps),
        Units::Ampere => format!("{amps} A"),
        Units::Milli => amps
            .times_ten_to(3)
            .map_or_else(|| quantity::shown(amps), |milli| format!("{milli} mA")),
    }
}

fn lines(model: &Model, room: u16, rows: u16, large: bool, value: (&str, Role)) -> Vec<Line> {
    let judgement = model.judgement();
    let now = &judgement.now;
    let lasting_s = model.now().secs_since(now.since).max(0.0);
    let mut phase = Line::default();
    if !large {
        phase = phase.and(value.1, value.0).and(Role::Plain, "   ");
    }
    let word = word(model).to_uppercase();
    phase = if judgement.by_hand.finished.is_some() {
        phase.and(Role::Dim, format!("was {word} when it was finished"))
    } else if is_live(model) || now.phase == Phase::Blind {
        phase
            .and(Role::Phase(now.phase), word)
            .and(Role::Dim, format!("  for {}", quantity::span(lasting_s)))
    } else {
        phase.and(Role::Dim, format!("was {word} when last heard of"))
    };
    let mut below = Vec::new();
    below.extend(verdict(judgement, &model.session().out_now(), room));
    let awaited = judgement.awaited(model.now());
    let wait = awaited.map(|(at, what)| words::awaited::wait(&what, at, model.now()));
    below.extend(wait.map(|text| Line::new(Role::Plain, text)));
    let left = |lines: &[Line]| rows.saturating_sub(count(lines.len()));
    let mut lines = vec![phase];
    lines.extend(by_eye::asked(model, room));
    let why_rows = left(&below).saturating_sub(count(lines.len()));
    let (why, verdict_why) = (now.why(), judgement.verdict_why());
    lines.extend(Line::wrapped(Role::Plain, &why, room, why_rows));
    lines.extend(below);
    if verdict_why != why {
        lines.extend(Line::wrapped(Role::Dim, &verdict_why, room, left(&lines)));
    }
    lines
}

/// The phase in a word. Between two typed readings nothing is lost: nobody read.
pub(super) fn word(model: &Model) -> &'static str {
    let phase = model.judgement().now.phase;
    if phase == Phase::Blind && model.is_manual() {
        return "not read";
    }
    phase.word()
}

pub(super) fn verdict(judgement: &Judgement, out: &[&str], room: u16) -> Vec<Line> {
    let role = Role::of_verdict(judgement.verdict);
    let said = judgement.against(words::THE_LIMIT, &[]);
    // In capitals it would pass for the phase.
    let mut first = if judgement.verdict == Verdict::NotSettled {
        Line::new(role, said)
    } else {
        Line::new(role, said.to_uppercase())
    };
    if judgement.verdict == Verdict::Below {
        first = first.and(Role::Alarm, words::with_out(out));
    }
    let mut lines = Vec::new();
    if let Some(settled) = judgement.settled {
        let level = settled.level.in_words();
        let at = "  settled at ";
        // The figure is never what is cut off.
        let whole = [first.cells(), width::cells(at), width::cells(&level)];
        let is_narrow = whole.into_iter().fold(0, u16::saturating_add) > room;
        first = first
            .and(Role::Dim, if is_narrow { "  " } else { at })
            .and(Role::Plain, level);
        let average = words::draw::average(judgement, &settled);
        lines.extend(average.map(|average| Line::new(Role::Plain, average)));
    }
    lines.insert(0, first);
    lines
}
