//! The present finding in plain words, for the clipboard: a job sheet, a message to the customer.

use super::Model;
use crate::judge::words;
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
                .map(|one| sanitize::text(&one.in_words(&quantity::clock(one.t)))),
        );
        lines.push(format!(
            "verdict: {} ({}, limit {}): {}",
            judgement.verdict.word(),
            words::draw::settled(judgement),
            words::draw::limit_alone(judgement.limit),
            judgement.verdict_why()
        ));
        lines.join("\n")
    }
}
