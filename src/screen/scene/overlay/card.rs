//! The page of the job's card: what was filled in, where limit and time-out come from, how long
//! the car stands, and what does not fit together.

use super::{Overlay, panel, paragraph, scrolled};
use crate::desk::{Model, job};
use crate::judge::words;
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
    if let Some(standing) = &judgement.standing {
        lines.extend(field("standing", &words::draw::stands(standing), inner));
    }
    if let Some(complaint) = &judgement.complaint {
        let said = words::draw::complaint(complaint);
        lines.extend(field("complaint says", &said, inner));
    }
    if let Some(said) = words::left_out(judgement) {
        lines.extend(paragraph(Role::Unsure, &said, inner));
    }
    if !judgement.contradictions.is_empty() {
        lines.push(Line::default());
        lines.push(Line::new(Role::Strong, "What does not fit together"));
        for found in &judgement.contradictions {
            lines.extend(paragraph(Role::Unsure, &found.why(), inner));
        }
    }
    scrolled(model, areas, "CARD: this job", lines)
}

/// Limit and time-out: the figures in force, where they come from, and what else they might be.
fn rules(model: &Model, inner: u16) -> Vec<Line> {
    let judgement = model.judgement();
    let mut lines = field("limit", &words::draw::limit(judgement.limit), inner);
    if let Some(others) = words::draw::other_limits(judgement) {
        lines.extend(field("", &others, inner));
    }
    let timeout = words::draw::timeout(judgement.timeout);
    lines.extend(field("sleep time-out", &timeout, inner));
    if let Some(learned) = words::draw::learned(judgement) {
        let offered = model.offered_timeout_s();
        let key = offered.map_or("", |_| ": Enter takes it");
        lines.extend(field("", &format!("{learned}{key}"), inner));
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
