//! The start card as rows of text.

use super::first_around;
use crate::desk::start::place::{Hearing, Place};
use crate::desk::start::{Asking, Row, Slot, Start};
use crate::judge::words;
use crate::screen::scene::typed_row;
use crate::screen::{Line, Role, width};
use crate::session::caution;

/// Cells of a field's name.
const LABEL: u16 = 15;

/// Rows under the list at least: what the row is for, the answer to the last key, and the keys.
const BELOW: usize = 5;

/// Rows that the words about one row may take.
const WORDS: u16 = 12;

/// Every row of a screen of this size.
pub fn rows(start: &Start, columns: u16, height: u16) -> Vec<Line> {
    let (list, at) = list(start, columns);
    let below = below(start, columns);
    let list_end = usize::from(height).saturating_sub(below.len());
    let room = list_end.saturating_sub(1);
    let first = first_around(at, list.len(), room);
    let mut lines = vec![title(start, list.len() > room)];
    lines.extend(list.into_iter().skip(first).take(room));
    lines.resize(list_end, Line::default());
    lines.extend(below);
    lines.truncate(usize::from(height));
    lines
}

/// Where the list is longer than the screen, which row of it the cursor is on.
fn title(start: &Start, scrolled: bool) -> Line {
    let title = Line::new(Role::Strong, "lullboard").and(
        Role::Plain,
        "   choose the meter, say what is known. Nothing is sent.",
    );
    if !scrolled {
        return title;
    }
    let of = start.rows().count();
    let at = start.rows().take_while(|row| *row != start.at).count();
    let at = at.saturating_add(1);
    title.and(Role::Dim, format!("   {at} of {of}"))
}

fn list(start: &Start, columns: u16) -> (Vec<Line>, usize) {
    let mut lines = Vec::new();
    let mut at = 0;
    let mut section = "";
    for row in start.rows() {
        let heading = heading(row);
        if heading != section {
            section = heading;
            if !heading.is_empty() {
                lines.push(Line::new(Role::Dim, heading));
            }
        }
        let here = row == start.at;
        if here {
            at = lines.len();
        }
        let cursor = if here { "> " } else { "  " };
        let line = Line::new(Role::Key, cursor);
        lines.push(content(start, row, line, columns.saturating_sub(2)));
    }
    (lines, at)
}

const fn heading(row: Row) -> &'static str {
    match row {
        Row::Meter(_) | Row::Other => "METER",
        Row::Earlier(_) => "EARLIER SESSIONS",
        Row::Field(_) => "CARD (all of it may stay empty)",
        Row::Caution(_) => "CAUTIONS (confirm each)",
        Row::Begin => "",
    }
}

fn content(start: &Start, row: Row, line: Line, room: u16) -> Line {
    match row {
        Row::Meter(n) => {
            let Some(place) = start.places.get(n) else {
                return line;
            };
            let (role, said) = match &place.hearing {
                Hearing::Listening(how) => (Role::Dim, format!("listening {how}")),
                Hearing::Heard { shown, .. } => (Role::Good, format!("reads {shown}")),
                Hearing::Unclear { words } => (Role::Unsure, words.clone()),
                Hearing::Ready { .. } => (Role::Plain, String::new()),
            };
            let said = width::clip(&said, room.saturating_sub(33));
            line.and(Role::Strong, tick(start.chosen == Some(row)))
                .and(Role::Plain, width::left(&place.name, 28))
                .and(role, format!(" {said}"))
        }
        Row::Other => line
            .and(Role::Strong, tick(start.chosen == Some(row)))
            .and(Role::Plain, width::left("another, or the network", 28))
            .and(
                Role::Plain,
                format!(" {}", start.other.as_deref().unwrap_or_default()),
            ),
        Row::Earlier(n) => line.and(
            Role::Plain,
            start.earlier.get(n).map_or("", |one| one.words.as_str()),
        ),
        Row::Field(n) => start
            .fields()
            .nth(n)
            .map_or_else(Line::default, |(field, text)| {
                let line = line.and(Role::Plain, width::left(field.label, LABEL));
                if text.is_empty() {
                    let silent = field.silent.unwrap_or_default();
                    line.and(Role::Dim, format!(" ({silent})"))
                } else {
                    line.and(Role::Strong, format!(" {text}"))
                }
            }),
        Row::Caution(n) => {
            let Some(caution) = start.cautions.get(n) else {
                return line;
            };
            let role = if caution.confirmed {
                Role::Dim
            } else {
                Role::Caution
            };
            line.and(Role::Strong, tick(caution.confirmed))
                .and(role, caution.about)
        }
        Row::Begin => line.and(Role::Strong, "[ begin to record ]"),
    }
}

const fn tick(on: bool) -> &'static str {
    if on { "[x] " } else { "[ ] " }
}

fn below(start: &Start, columns: u16) -> Vec<Line> {
    let mut lines = match start.asking.as_ref() {
        Some(asking) => question(start, asking, columns),
        None => explained(start, columns),
    };
    lines.insert(0, Line::default());
    lines.resize(lines.len().max(BELOW.saturating_sub(1)), Line::default());
    lines.push(keys(start.asking.as_ref()));
    lines
}

fn explained(start: &Start, columns: u16) -> Vec<Line> {
    let mut lines = if let Row::Caution(n) = start.at {
        cautions(start, n, columns)
    } else {
        Line::wrapped(Role::Hint, &about(start, start.at), columns, 5)
    };
    lines.extend(called_for(start, columns));
    if let Some(reply) = start.reply.as_deref() {
        lines.splice(0..0, Line::wrapped(Role::Caution, reply, columns, 6));
    }
    lines
}

/// What that which was typed in this row calls for.
fn called_for(start: &Start, columns: u16) -> Vec<Line> {
    let Row::Field(n) = start.at else {
        return Vec::new();
    };
    let typed = start.fields().nth(n).filter(|(field, _)| !field.is_file());
    let card = typed.and_then(|(field, text)| field.read(text).ok());
    let called = card.iter().flat_map(caution::of_card);
    called
        .flat_map(|caution| {
            let said = format!("CAUTION: {}", caution.line());
            Line::wrapped(Role::Caution, &said, columns, WORDS)
        })
        .collect()
}

fn cautions(start: &Start, n: usize, columns: u16) -> Vec<Line> {
    let said = start.cautions.get(n).map(|caution| &caution.said);
    said.into_iter()
        .flatten()
        .flat_map(|said| Line::wrapped(Role::Caution, &format!("- {said}"), columns, WORDS))
        .chain([Line::new(
            Role::Hint,
            "Enter confirms that you have read this.",
        )])
        .collect()
}

/// What the row is for.
fn about(start: &Start, row: Row) -> String {
    match row {
        Row::Meter(n) if start.places.get(n).is_some_and(Place::is_by_eye) => format!(
            "Enter takes it: no cable. On the board type what the display shows, then Enter; a bell \
             and a countdown ask for the next. {}",
            words::by_eye::HOW_SURE
        ),
        Row::Meter(n) => match start.places.get(n).map(|place| &place.hearing) {
            Some(Hearing::Heard { uri, .. }) => format!("Enter takes it: {uri}"),
            Some(Hearing::Listening(_)) => {
                "Wait a little, or press Enter and say by hand what speaks there.".into()
            }
            Some(Hearing::Unclear { words }) => format!("{words}. Enter: say by hand what it is."),
            Some(Hearing::Ready { .. }) | None => "Enter takes it.".into(),
        },
        Row::Other => "Type a URI: serial:/dev/ttyUSB0?baud=9600&format=text, tcp:HOST:5025, \
                       replay:FILE, pipe:-"
            .into(),
        Row::Earlier(_) => "Enter shows it.".into(),
        Row::Field(n) => start
            .fields()
            .nth(n)
            .map_or_else(String::new, |(field, _)| format!("{}.", field.help)),
        Row::Caution(_) => String::new(),
        Row::Begin => "Enter begins the session. The hood latch closed by hand, the key far \
                       away? Then lock the car and press l."
            .into(),
    }
}

fn question(start: &Start, asking: &Asking, columns: u16) -> Vec<Line> {
    let (asked, field, wrong) = match asking {
        Asking::Eyes { place } => {
            let shown = match start.places.get(*place).map(|place| &place.hearing) {
                Some(Hearing::Heard { shown, .. }) => shown.as_str(),
                Some(Hearing::Listening(_) | Hearing::Unclear { .. } | Hearing::Ready { .. })
                | None => "this",
            };
            let asked = format!("Look at the meter: does it show {shown}?");
            return vec![Line::new(Role::Strong, asked)];
        }
        Asking::Text { slot, field, wrong } => {
            let asked = match slot {
                Slot::Meter => "The meter's URI:".to_owned(),
                Slot::Field(field) => format!("{}: {}.", field.label, field.help),
            };
            (asked, field, wrong)
        }
    };
    let mut lines = Line::wrapped(Role::Strong, &asked, columns, 2);
    lines.push(typed_row::row(field, columns));
    let wrong = wrong.iter();
    lines.extend(wrong.flat_map(|wrong| Line::wrapped(Role::Caution, wrong, columns, 6)));
    lines
}

fn keys(asking: Option<&Asking>) -> Line {
    let keys: &[(&str, &str)] = match asking {
        None => &[
            ("Up Down", "move"),
            ("Enter", "choose, edit"),
            ("Bksp", "clear"),
            ("End", "to begin"),
            ("q", "quit"),
        ],
        Some(Asking::Text { .. }) => &[("Enter", "takes it"), ("Esc", "leaves it as it was")],
        Some(Asking::Eyes { .. }) => &[("y", "yes"), ("n", "no"), ("Enter", "not now")],
    };
    keys.iter().fold(Line::default(), |line, (key, does)| {
        line.and(Role::Key, *key)
            .and(Role::Plain, format!(" {does}   "))
    })
}
