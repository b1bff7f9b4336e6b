//! Readings typed from a display: how old the last one is and when the next is due.

use crate::desk::Model;
use crate::reading::quantity;
use crate::screen::{Line, Role};

/// How long until the next reading is due, in seconds, and how old the last is; `None` where nobody
/// types, or nothing was typed yet.
fn ages_s(model: &Model) -> Option<(f64, f64)> {
    let due = model.reading_due()?;
    let (typed, _) = model.session().last_reading()?;
    let now = model.now();
    Some((due.secs_since(now), now.secs_since(typed).max(0.0)))
}

/// Whether the last reading is too old for what is waited for.
pub(super) fn is_due(model: &Model) -> bool {
    ages_s(model).is_some_and(|(left_s, _)| left_s <= 0.0)
}

/// The age of the last reading, for large digits.
pub(super) fn age(model: &Model) -> Option<String> {
    ages_s(model).map(|(_, ago_s)| quantity::countdown(ago_s))
}

/// How old the last reading is and when the next is asked for; empty where nobody types.
pub(super) fn asked(model: &Model, room: u16) -> Vec<Line> {
    let Some(due) = model.reading_due() else {
        return Vec::new();
    };
    let Some((left_s, ago_s)) = ages_s(model) else {
        return Line::wrapped(Role::Key, "type what the meter shows, then Enter", room, 2);
    };
    let ago = quantity::span(ago_s);
    if due <= model.now() {
        let said = format!("typed {ago} ago: NEXT READING DUE");
        return Line::wrapped(Role::Caution, &said, room, 2);
    }
    let next = quantity::countdown(left_s);
    Line::wrapped(
        Role::Plain,
        &format!("typed {ago} ago, next in {next}"),
        room,
        2,
    )
}
