//! The present finding in plain words, for the clipboard: a job sheet, a message to the customer.

use super::Model;
use crate::judge::finding::{Level, Trial};
use crate::reading::{quantity, sanitize};

impl Model {
    /// The selected trial, or else the newest, and the verdict; one line each.
    pub fn finding_text(&self) -> String {
        let judgement = &self.judgement;
        let trials = &judgement.trials;
        let selected = self.view.trial.and_then(|at| trials.get(at));
        let mut lines = Vec::new();
        if let Some(car) = &self.session.card().car {
            lines.push(sanitize::text(car));
        }
        lines.extend(
            selected
                .or(trials.last())
                .map(|one| sanitize::text(&trial(one))),
        );
        let settled = judgement.settled.map_or_else(String::new, |settled| {
            let level = settled.level.in_words();
            format!("settled at {level}, ")
        });
        lines.push(format!(
            "verdict: {} ({settled}limit {}): {}",
            judgement.verdict.word(),
            quantity::amount(judgement.limit.value),
            judgement.verdict_why
        ));
        lines.join("\n")
    }
}

/// What it changed, or seemed to at first look.
pub fn change(trial: &Trial) -> Option<String> {
    let in_words = |level: Level| quantity::change(level.a, level.u_a);
    let first = trial.first_look.map(in_words);
    let first = first.map(|look| format!("first look {look}"));
    trial.change.map(in_words).or(first)
}

fn trial(trial: &Trial) -> String {
    let change = change(trial).map(|change| format!(", {change}"));
    let change = change.unwrap_or_default();
    let manner = trial.manner.map_or("", |manner| manner.word());
    format!(
        "{} {} {}: {}{}{manner}{change} ({})",
        quantity::clock(trial.t),
        trial.did,
        trial.what.join("+"),
        trial.finding.word(),
        if manner.is_empty() { "" } else { " " },
        trial.why
    )
}
