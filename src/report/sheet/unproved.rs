//! What the record does not prove, each with the number that bounds it.

use super::sentence;
use crate::judge::contradiction::Contradiction;
use crate::judge::finding::{Finding, Verdict};
use crate::judge::words;
use crate::report::case::Case;
use crate::report::record_summary::RecordSummary;

pub(super) fn unproved(case: &Case) -> Vec<String> {
    let judgement = &case.judgement;
    let accuracy = case.session.card().accuracy;
    let mut said: Vec<String> = [
        judgement.early_in_words(),
        words::wake::unseen(judgement),
        Some(tried(case)),
        words::ledger::still_to_find(judgement),
        repair(case),
        accuracy.is_none().then(|| words::NO_ACCURACY.into()),
    ]
    .into_iter()
    .flatten()
    .collect();
    let by_eye = case.session.header().meter.is_by_eye();
    said.extend(by_eye.then(|| words::by_eye::HOW_SURE.into()));
    said.extend(words::draw::usual(judgement));
    said.extend(RecordSummary::new(&case.session).unread_in_words());
    said.extend(over(case));
    said.extend(words::left_out(judgement));
    said.extend(judgement.by_hand.in_lines(|t| case.times.stamp(t)));
    let open = judgement.trials.iter().filter(|it| is_open(it.finding));
    said.extend(open.map(|trial| trial.in_words(&case.times.stamp(trial.t))));
    let unclaimed = judgement.unclaimed.iter();
    said.extend(unclaimed.map(|step| step.in_words(&case.times.stamp(step.t))));
    said.extend(judgement.contradictions.iter().map(Contradiction::in_words));
    let notices = case.source.notices.iter();
    said.extend(notices.map(|notice| format!("about the file: {notice}")));
    said.push("this record shows the current, not the battery: its state and charge have to be tested apart".into());
    said.iter().map(|it| sentence(it)).collect()
}

/// Whether a trial ended without an answer.
const fn is_open(finding: Finding) -> bool {
    match finding {
        Finding::CannotTell | Finding::NotYet | Finding::Spoiled => true,
        Finding::Clears | Finding::Lowers | Finding::NoChange | Finding::Raises => false,
    }
}

fn tried(case: &Case) -> String {
    let mut tried: Vec<&str> = case
        .judgement
        .trials
        .iter()
        .filter(|trial| trial.did.removes())
        .flat_map(|trial| trial.what.iter().map(String::as_str))
        .collect();
    tried.sort_unstable();
    tried.dedup();
    if tried.is_empty() {
        "No circuit was tried: the record tells how much the car draws, not what draws it.".into()
    } else {
        let mapped = match case.session.fuses() {
            [] => String::new(),
            map => format!(" The car's fuse map names {}.", map.len()),
        };
        format!(
            "Only {} taken out; of every other circuit nothing was shown one by one.{mapped}",
            listed(&tried)
        )
    }
}

/// "D4 was", "D4 and E20 were".
fn listed(labels: &[&str]) -> String {
    match labels {
        [] => "nothing was".into(),
        [one] => format!("{one} was"),
        [most @ .., last] => format!("{} and {last} were", most.join(", ")),
    }
}

fn repair(case: &Case) -> Option<String> {
    if case.repaired().is_some() || case.judgement.verdict != Verdict::Above {
        return None;
    }
    Some("No new part is marked in this record: a repair is not shown by it.".into())
}

fn over(case: &Case) -> Option<String> {
    let n = case.session.overs();
    (n > 0).then(|| {
        format!("Readings beyond the meter's range: {n}. The true current then is not known.")
    })
}
