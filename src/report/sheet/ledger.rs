//! The ledger in words: which state of the car it describes, and what the rest of it means.

use crate::judge::Judgement;
use crate::judge::finding::{Manner, Trial};
use crate::reading::quantity;
use crate::report::case::Case;
use crate::session::mark::Did;

/// What stands above the table.
pub(super) fn words(case: &Case) -> Vec<String> {
    let judgement = &case.judgement;
    let state = match case.session.done(Did::Swap).next() {
        Some(placed) => format!(
            " as it was before the new part of {}",
            case.times.stamp(placed.at())
        ),
        None => String::new(),
    };
    let mut words = vec![format!(
        "The settled current of the car{state}, with everything in: {}, split over what was taken out and put back.",
        quantity::current(judgement.ledger_sum_a())
    )];
    let keepers = keepers(judgement);
    if !keepers.is_empty() {
        words.push(format!(
            "Not in it: {}. What fell there, fell late: others went to sleep.",
            keepers.join(", ")
        ));
    }
    words
}

/// What only kept others awake, each once.
fn keepers(judgement: &Judgement) -> Vec<&str> {
    let late = |trial: &&Trial| {
        trial.did.removes() && trial.manner == Some(Manner::Late) && trial.finding.is_fall()
    };
    let mut keepers: Vec<&str> = Vec::new();
    for label in judgement
        .trials
        .iter()
        .filter(late)
        .flat_map(|trial| &trial.what)
    {
        if !keepers.contains(&label.as_str()) {
            keepers.push(label);
        }
    }
    keepers
}

/// What the table calls the rest.
pub(super) fn rest(rest_a: f64, judgement: &Judgement) -> String {
    if is_within(rest_a, judgement) {
        "the rest of the car, within the limit".into()
    } else {
        "not explained by any trial, above the limit".into()
    }
}

/// The same as a sentence: a sleeping car may draw, and only a rest above the limit is a task.
pub(super) fn rest_in_words(judgement: &Judgement) -> Option<String> {
    let rest_a = judgement.rest_a?;
    let rest = quantity::current(rest_a);
    let limit = quantity::amount(judgement.limit.value);
    Some(if is_within(rest_a, judgement) {
        format!(
            "{}{rest} of the settled current belong to the rest of the car, within the limit of {limit}: a sleeping car may draw that much.",
            state(judgement)
        )
    } else {
        format!(
            "No trial explains {rest} of the settled current, more than the limit of {limit}: something is still to be found."
        )
    })
}

fn state(judgement: &Judgement) -> &'static str {
    if judgement.is_mended() {
        "Before the new part "
    } else {
        ""
    }
}

fn is_within(rest_a: f64, judgement: &Judgement) -> bool {
    rest_a <= judgement.limit.value
}
