//! The far view: the present value, the phase and the countdown over the whole screen, to be read
//! from two metres, with what is wrong and what the last trial showed in ordinary letters.

use super::{by_eye, count, head, notices, now};
use crate::desk::Model;
use crate::desk::keymap::{Action, ViewAction};
use crate::judge::finding::Trial;
use crate::judge::words;
use crate::reading::quantity;
use crate::screen::{Areas, Line, Role, digits};

/// Large letters in one look.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Large {
    /// The same in ordinary letters, for a screen too small for others.
    pub text: String,
    /// Its look.
    pub role: Role,
    /// Rows of large letters, `#` for ink; empty where there is no room.
    pub rows: Vec<String>,
}

/// The far view.
#[derive(Clone, Debug, PartialEq)]
pub struct Far {
    /// What is wrong, on top.
    pub banners: Vec<Line>,
    /// Value, phase, countdown.
    pub large: Vec<Large>,
    /// Verdict, last trial, answers: at the bottom.
    pub below: Vec<Line>,
}

impl Far {
    /// For the whole screen, while it is asked for.
    pub fn of(model: &Model, areas: &Areas) -> Option<Self> {
        if !model.view().far {
            return None;
        }
        let (columns, rows) = (areas.all.width, areas.all.height);
        let banners = head::banners(model, columns);
        let below = below(model, columns);
        let said = count(banners.len().saturating_add(below.len()));
        let room = rows.saturating_sub(said);
        let (value, role) = now::value(model);
        let (phase, phase_role) = phase(model);
        let mut texts = vec![(value, role), (phase, phase_role)];
        let third = by_eye::age(model).or_else(|| countdown(model));
        texts.extend(third.map(|text| (text, Role::Plain)));
        let large = share(room, texts.len())
            .zip(texts)
            .map(|(rows, (text, role))| letters(text, role, columns, rows))
            .collect();
        Some(Self {
            banners,
            large,
            below,
        })
    }
}

/// Rows for each of `texts` texts: the first, the value, is twice as high as the others where there
/// is room. Letters grow by whole dots, so rows come in fives.
fn share(room: u16, texts: usize) -> impl Iterator<Item = u16> {
    let others = u16::try_from(texts.saturating_sub(1)).unwrap_or(0);
    let free = room.saturating_sub(others);
    let rows = |dots: u16| digits::ROWS.saturating_mul(dots);
    let all =
        |value: u16, other: u16| rows(value).saturating_add(rows(other).saturating_mul(others));
    let fits = |value: u16, other: u16| all(value, other) <= free;
    let (value, other) = (1..=8u16)
        .flat_map(|other| {
            [
                (other, other),
                (other.saturating_add(1), other),
                (other.saturating_mul(2), other),
            ]
        })
        .filter(|(value, other)| fits(*value, *other))
        .max_by_key(|(value, other)| (all(*value, *other), *value))
        .unwrap_or((free / digits::ROWS, 0));
    std::iter::once(rows(value)).chain(std::iter::repeat(rows(other)))
}

fn letters(text: String, role: Role, columns: u16, rows: u16) -> Large {
    let fitting = digits::largest(&text, columns, rows);
    Large {
        rows: fitting.map_or_else(Vec::new, |(wide, high)| digits::rows(&text, wide, high)),
        role,
        text,
    }
}

fn phase(model: &Model) -> (String, Role) {
    if !now::is_live(model) {
        return ("NO DATA".into(), Role::Bad);
    }
    let role = Role::Phase(model.judgement().now.phase);
    (now::word(model).to_uppercase(), role)
}

/// Until what is waited for; with a plus in front, since it was to come.
fn countdown(model: &Model) -> Option<String> {
    let (at, _) = model.judgement().awaited(model.now())?;
    let left_s = at.secs_since(model.now());
    Some(if left_s > 0.0 {
        quantity::countdown(left_s)
    } else {
        format!("+{}", quantity::countdown(-left_s))
    })
}

fn below(model: &Model, columns: u16) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut back = Line::default();
    let asked = by_eye::asked(model, columns);
    let awaited = model.judgement().awaited(model.now());
    if let Some((at, what)) = awaited.filter(|_| asked.is_empty()) {
        let said = words::awaited::until(&what, at <= model.now());
        back = Line::new(Role::Dim, format!("{said}   "));
    }
    lines.extend(asked);
    lines.extend(
        now::verdict(model.judgement(), &model.session().out_now(), columns)
            .into_iter()
            .take(1),
    );
    lines.extend(model.judgement().trials.last().map(trial));
    lines.extend(notices(model, columns));
    let key = model.key_of(Action::View(ViewAction::Far));
    lines.push(
        back.and(Role::Key, key)
            .and(Role::Plain, " back to the board"),
    );
    lines
}

fn trial(trial: &Trial) -> Line {
    let line = Line::new(Role::Strong, format!("{}: ", trial.deed()))
        .and(Role::of_finding(trial.finding), trial.finding.word());
    match trial.change_in_words() {
        Some(change) => line.and(Role::Plain, format!("  {change}")),
        None => line,
    }
}
