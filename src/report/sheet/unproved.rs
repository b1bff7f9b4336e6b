//! What the record does not prove, each with the number that bounds it.

use super::ledger;
use crate::judge::finding::{Finding, Unclaimed, Verdict};
use crate::judge::limit::Origin;
use crate::judge::reason::VerdictReason;
use crate::judge::words::contradiction;
use crate::reading::{Elapsed, quantity};
use crate::report::case::Case;
use crate::report::record_summary::RecordSummary;

pub(super) fn unproved(case: &Case) -> Vec<String> {
    let mut words: Vec<String> = [
        early(case),
        wakes(case),
        Some(tried(case)),
        ledger::rest_in_words(&case.judgement),
        repair(case),
        meter(case),
        limit(case),
        timeout(case),
        unread(case),
        over(case),
        left_out(case),
    ]
    .into_iter()
    .flatten()
    .collect();
    words.extend(open_trials(case));
    words.extend(
        case.judgement
            .unclaimed
            .iter()
            .map(|step| unmarked(case, step)),
    );
    let odd = case.judgement.contradictions.iter();
    words.extend(odd.map(|it| format!("Does not fit together: {}.", contradiction(it))));
    words.extend(
        case.source
            .notices
            .iter()
            .map(|notice| format!("About the file: {notice}.")),
    );
    words.push("This record shows the current, not the battery: its state and charge have to be tested apart.".into());
    words
}

fn early(case: &Case) -> Option<String> {
    let settled = case
        .judgement
        .settled
        .as_ref()
        .filter(|settled| settled.early)?;
    let since = settled.since;
    Some(format!(
        "The car was taken as settled at {} before its sleep time-out of {} had run: it may still stir.",
        case.times.stamp(since),
        quantity::span(case.judgement.timeout.value)
    ))
}

/// No wake seen in T bounds their rate: at 95 % they come less often than three in T, if they come
/// at random (the rule of three: "If nothing goes wrong, is everything all right? Interpreting
/// zero numerators", JAMA 249, 1983, 1743; from memory).
fn wakes(case: &Case) -> Option<String> {
    let watched = quantity::span(case.watched_s());
    let mut reasons = case.judgement.reasons.iter();
    let sparse = reasons.find_map(|reason| {
        let VerdictReason::Sparse { step_s } = reason else {
            return None;
        };
        Some(*step_s)
    });
    if let Some(step_s) = sparse {
        return Some(format!(
            "Read about every {}: a shorter wake cannot be seen, and is not in the average.",
            quantity::span(step_s)
        ));
    }
    match case.judgement.average?.wakes {
        _ if case.watched_s() < 1.0 => None,
        0 => Some(format!(
            "No wake was seen in {watched} at rest. One that comes less often than about every {} could have been missed.",
            quantity::span(case.watched_s() / 3.0)
        )),
        _ => Some(format!(
            "Other wakes than those listed were not seen in {watched} at rest; rarer ones may exist."
        )),
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

fn meter(case: &Case) -> Option<String> {
    let is_unknown = case.session.card().accuracy.is_none();
    is_unknown.then(|| "The meter's accuracy was not given: behind \u{b1} a plain handheld's is counted, 1.5 % + 3 counts; this meter's own may be larger.".into())
}

fn limit(case: &Case) -> Option<String> {
    (case.judgement.limit.from == Origin::Usual).then(|| {
        format!(
            "The limit of {} is the usual figure of the trade, not the maker's for this car.",
            quantity::amount(case.judgement.limit.value)
        )
    })
}

fn timeout(case: &Case) -> Option<String> {
    (case.judgement.timeout.from == Origin::Usual).then(|| {
        format!(
            "The sleep time-out of {} is the usual figure of the trade, not the maker's for this car.",
            quantity::span(case.judgement.timeout.value)
        )
    })
}

/// Time without readings between the first and the last.
fn unread(case: &Case) -> Option<String> {
    let words = RecordSummary::new(&case.session).unread_in_words()?;
    Some(format!("{words}."))
}

fn over(case: &Case) -> Option<String> {
    let n = case.session.overs();
    (n > 0).then(|| {
        format!("Readings beyond the meter's range: {n}. The true current then is not known.")
    })
}

fn left_out(case: &Case) -> Option<String> {
    let n = case.judgement.left_out;
    (n > 0).then(|| format!("Readings left out because their time runs backwards or leaps: {n}."))
}

/// A lasting step that nobody marked.
fn unmarked(case: &Case, step: &Unclaimed) -> String {
    format!(
        "What was done at {}, when the current went from {} to {}, is not marked.",
        case.times.stamp(step.t),
        quantity::current(step.from_a),
        quantity::current(step.to_a)
    )
}

/// Trials that ended without an answer.
fn open_trials(case: &Case) -> impl Iterator<Item = String> {
    let is_open = |finding| match finding {
        Finding::CannotTell | Finding::NotYet | Finding::Spoiled => true,
        Finding::Clears | Finding::Lowers | Finding::NoChange | Finding::Raises => false,
    };
    let stamp = |t: Elapsed| case.times.stamp(t);
    case.judgement
        .trials
        .iter()
        .filter(move |trial| is_open(trial.finding))
        .map(move |trial| {
            format!(
                "{} {} ({}): {}: {}.",
                trial.did,
                trial.what.join("+"),
                stamp(trial.t),
                trial.finding.word(),
                trial.why
            )
        })
}
