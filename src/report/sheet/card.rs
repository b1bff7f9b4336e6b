//! The job card on the sheet: names and values, an empty value where there is a line to write on.
//! The first page has what is the customer's, the second the rest.

use crate::judge::words;
use crate::reading::quantity;
use crate::report::case::Case;
use crate::session::card::{FIELDS, Field};

/// What is the customer's, and when it was recorded. The car is the sheet's title.
pub(super) fn front(case: &Case) -> Vec<(String, String)> {
    let (from, to) = case.stretch();
    let span = quantity::span(to.secs_since(from));
    let recorded = ("Recorded".into(), format!("{}, for {span}", recorded(case)));
    let rows = rows(case, |field| field.is_front && field.key != "car");
    rows.chain([recorded]).collect()
}

/// Every other field that somebody filled in or has to.
pub(super) fn rest(case: &Case) -> Vec<(String, String)> {
    rows(case, |field| !field.is_front && field.key != "car").collect()
}

fn rows(case: &Case, stands: impl Fn(&Field) -> bool) -> impl Iterator<Item = (String, String)> {
    let fields = FIELDS.iter().filter(move |field| stands(field));
    fields.filter_map(|field| Some((field.heading(), value(case, field)?)))
}

fn value(case: &Case, field: &Field) -> Option<String> {
    let (said, judgement) = (field.show(case.session.card()), &case.judgement);
    let (limit, timeout) = (judgement.limit, judgement.timeout);
    match field.key {
        "limit" => Some(words::draw::limit(limit)),
        "sleep_timeout" => Some(words::draw::timeout(timeout)),
        "meter" => Some(meter(case)),
        "accuracy" => said.or_else(|| Some("not given".into())),
        _ => said.or_else(|| field.has_line.then(String::new)),
    }
}

fn recorded(case: &Case) -> String {
    match case.source.started {
        Some(_) => format!("from {}", case.times.full(case.stretch().0)),
        None => "on a day that the log does not tell".into(),
    }
}

fn meter(case: &Case) -> String {
    let meter = &case.session.header().meter;
    let line = match &meter.format {
        None if meter.uri == "manual:" => "read by eye, and typed".into(),
        Some(format) if !meter.uri.is_empty() => format!("{} ({format})", meter.uri),
        Some(format) => format.clone(),
        None => meter.uri.clone(),
    };
    match &case.session.card().meter {
        Some(name) if line.is_empty() => name.clone(),
        Some(name) => format!("{name}, on {line}"),
        None if line.is_empty() => "not named".into(),
        None => line,
    }
}
