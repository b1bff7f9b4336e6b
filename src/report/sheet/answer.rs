//! The answer for the next technician: what the parked car draws, what was found, what was done.

use super::sentence;
use crate::judge::cause::kept_by;
use crate::judge::words::{self, cause};
use crate::report::case::Case;
use crate::session::mark::Did;

/// One page is for what matters; a long hunt has a table.
const MOST_FINDS: usize = 6;

/// The sentences; what the table of both sides says is not said twice.
pub(super) fn answer(case: &Case, has_sides: bool) -> Vec<String> {
    let judgement = &case.judgement;
    let named = |label: &str| case.named(label);
    let headline = words::headline::headline(judgement, &case.session.out_now());
    let mut said = vec![headline];
    said.extend(cause::cause(judgement, named).map(|it| format!("Cause: {it}.")));
    said.push(format!("How sure: {}.", judgement.verdict_why()));
    if !has_sides {
        let day = judgement.day_ah.map(words::draw::day);
        let stands = judgement.standing.as_ref().map(words::draw::stands);
        said.extend(day.iter().chain(&stands).map(|it| sentence(it)));
    }
    let complaint = judgement.complaint.as_ref().map(words::draw::complaint);
    said.extend(complaint.map(|it| format!("The complaint: {it}.")));
    let cycles = judgement.cycles.iter();
    said.extend(cycles.map(|cycle| sentence(&cycle.in_words())));
    let mut finds = judgement.trials.iter().filter_map(|trial| {
        let kept_by = kept_by(judgement, trial).map(|who| cause::who(who, &named));
        let showed = trial.showed(&cause::taken_out(trial, &named), kept_by);
        showed.as_deref().map(sentence)
    });
    said.extend(finds.by_ref().take(MOST_FINDS));
    if finds.next().is_some() {
        said.push("The table of trials has the rest.".into());
    }
    said.extend(case.session.done(Did::Swap).map(|placed| {
        let (what, when) = (placed.mark.what.join(" and "), case.times.full(placed.at()));
        format!("New part fitted: {what}, {when}.")
    }));
    let out = case.session.out_now();
    if !out.is_empty() {
        let out = out.join(", ");
        said.push(format!("Still out at the end of the record: {out}."));
    }
    said
}
