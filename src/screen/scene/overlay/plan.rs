//! The plan's page: what to do next and why, what to beware of, what it may still be, and which
//! parts to unplug after the fuse.

use super::{Overlay, panel, paragraph, scrolled};
use crate::desk::Model;
use crate::fuse::map;
use crate::judge::plan::{Candidate, Plan};
use crate::judge::words;
use crate::reading::{capitalised, number};
use crate::screen::{Areas, Line, Role, width};

const NONE_YET: &str = "No plan yet. It begins when the car has settled above the limit, and ends \
    when what drew has been found and mended.";
const NO_MAP: &str = " A fuse map (--fuses MAP.csv) makes it quicker.";

pub(super) fn plan(model: &Model, areas: &Areas) -> Overlay {
    let inner = panel(areas).inner().width;
    let stop = model.judgement().stop.as_ref();
    let stop =
        stop.map(|stop| paragraph(Role::Hint, &capitalised(&words::stop::stop(stop)), inner));
    let said = match (model.plan(), stop) {
        (Some(plan), stop) => page(model, plan, stop.unwrap_or_default(), inner),
        (None, Some(stop)) => stop,
        (None, None) => paragraph(Role::Plain, &none_yet(model), inner),
    };
    let said = [said, left_alone(model, inner)].concat();
    scrolled(model, areas, "PLAN: what to do next", said)
}

/// What to put right before the car is left recording.
fn left_alone(model: &Model, inner: u16) -> Vec<Line> {
    let spoils = model.would_spoil();
    if spoils.is_empty() {
        return Vec::new();
    }
    let mut lines = vec![
        Line::default(),
        Line::new(Role::Dim, "Before it is left alone:"),
    ];
    for one in spoils {
        lines.extend(paragraph(Role::Caution, &capitalised(&one), inner));
    }
    lines
}

fn none_yet(model: &Model) -> String {
    let has_map = !model.session().fuses().is_empty();
    format!("{NONE_YET}{}", if has_map { "" } else { NO_MAP })
}

fn page(model: &Model, plan: &Plan, stop: Vec<Line>, inner: u16) -> Vec<Line> {
    let mut lines = paragraph(Role::Strong, &plan.in_short(), inner);
    lines.extend(stop);
    if plan.did.is_some() {
        lines.extend(paragraph(Role::Plain, &plan.why(), inner));
    }
    for caution in &plan.cautions {
        let said = format!("CAUTION: {caution}");
        lines.extend(paragraph(Role::Caution, &said, inner));
    }
    if let Some(late) = model
        .judgement()
        .trials
        .iter()
        .rev()
        .find(|trial| trial.did.removes() && trial.is_late())
    {
        let said = format!("{}: it {}", late.what.join("+"), words::KEPT_AWAKE);
        lines.extend(paragraph(Role::Hint, &said, inner));
    }
    if let Some(parts) = plan.parts_in_words() {
        lines.push(Line::default());
        lines.extend(paragraph(Role::Plain, &capitalised(&parts), inner));
    }
    if !plan.rest.is_empty() {
        lines.push(Line::default());
        lines.push(Line::new(Role::Dim, "It may still be, likeliest first:"));
        let rest = plan.rest.iter();
        lines.extend(rest.map(|one| candidate(model, plan, one, inner)));
    }
    lines
}

fn candidate(model: &Model, plan: &Plan, one: &Candidate, inner: u16) -> Line {
    let percent = number::round_to_i64(one.p * 100.0);
    let is_next = one.what.iter().any(|label| plan.next.contains(label));
    let (sign, role) = if is_next {
        ("*", Role::Key)
    } else {
        (" ", Role::Plain)
    };
    let fuses = model.session().fuses();
    let mut feeds: Vec<&str> = Vec::new();
    for label in &one.what {
        let fed = map::find(fuses, label).map_or(&[][..], |circuit| &circuit.feeds);
        for part in fed {
            if !feeds.contains(&part.as_str()) {
                feeds.push(part);
            }
        }
    }
    let line = Line::new(role, format!("{sign} "))
        .and(Role::Plain, width::right(&format!("{percent} %"), 5))
        .and(
            Role::Strong,
            format!("  {}", width::left(&one.what.join("+"), 12)),
        );
    let room = inner.saturating_sub(line.cells().saturating_add(2));
    line.and(
        Role::Dim,
        format!("  {}", width::clip(&feeds.join("; "), room)),
    )
}
