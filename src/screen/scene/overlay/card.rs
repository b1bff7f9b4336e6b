//! The page of the job's card: what was filled in, where limit and time-out come from, how long
//! the car stands, and what does not fit together.

use super::{Overlay, panel, paragraph, scrolled};
use crate::desk::{Model, job};
use crate::judge::words::contradiction;
use crate::reading::quantity;
use crate::screen::{Areas, Line, Role, width};

/// Cells of a field's name.
const NAME: u16 = 14;

pub(super) fn card(model: &Model, areas: &Areas) -> Overlay {
    let inner = panel(areas).inner().width;
    let mut lines = rules(model, inner);
    let judgement = model.judgement();
    for (name, text) in job::fields(model.session().card()) {
        lines.extend(field(name, &text, inner));
    }
    if let Some(standing) = judgement.standing {
        lines.extend(field("standing", &standing.in_words(), inner));
    }
    if let Some(implied) = &judgement.implied {
        lines.extend(field("complaint says", implied, inner));
    }
    if judgement.left_out > 0 {
        let said = format!(
            "{} readings left out: their time ran backwards or leapt",
            judgement.left_out
        );
        lines.extend(paragraph(Role::Unsure, &said, inner));
    }
    if !judgement.contradictions.is_empty() {
        lines.push(Line::default());
        lines.push(Line::new(Role::Strong, "What does not fit together"));
        for found in &judgement.contradictions {
            lines.extend(paragraph(Role::Unsure, &contradiction(found), inner));
        }
    }
    scrolled(model, areas, "CARD: this job", lines)
}

/// Limit and time-out: the figures in force, where they come from, and what else they might be.
fn rules(model: &Model, inner: u16) -> Vec<Line> {
    let judgement = model.judgement();
    let limit = job::sourced(&quantity::amount(judgement.limit.value), judgement.limit);
    let mut lines = field("limit", &limit, inner);
    if let Some(others) = &judgement.other_limits_words {
        lines.extend(field("other rules", others, inner));
    }
    let timeout = quantity::span(judgement.timeout.value);
    let timeout = job::sourced(&timeout, judgement.timeout);
    lines.extend(field("sleep time-out", &timeout, inner));
    if let (Some(took_s), Some(learned_s)) = (judgement.sleep_took_s, judgement.learned_timeout_s) {
        let offer = if model.offered_timeout_s().is_some() {
            ": Enter takes it"
        } else {
            ", and is in force"
        };
        let said = format!(
            "asleep {} after it was left alone; {} would do{offer}",
            quantity::span(took_s),
            quantity::span(learned_s)
        );
        lines.extend(field("this car", &said, inner));
    }
    lines
}

/// A name and what stands there, under one another where it is long.
fn field(name: &str, text: &str, inner: u16) -> Vec<Line> {
    let room = inner.saturating_sub(NAME.saturating_add(2));
    let rows = width::wrap(text, room, 4).into_iter();
    let names = std::iter::once(name).chain(std::iter::repeat(""));
    rows.zip(names)
        .map(|(text, name)| {
            Line::new(Role::Dim, width::left(name, NAME)).and(Role::Plain, format!("  {text}"))
        })
        .collect()
}
