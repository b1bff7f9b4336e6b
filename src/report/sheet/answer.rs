//! The answer in plain words: what the parked car draws, what was found, what was done.

use super::fitted;
use crate::judge::finding::{Cycle, Manner, SettledNow, Trial, Verdict};
use crate::judge::rules::{AWAKE_A, SUSPECT_A};
use crate::reading::quantity;
use crate::report::case::Case;
use crate::report::cause;
use crate::report::record_summary::RecordSummary;
use crate::report::stamp::Stamp;
use crate::report::waking::{self, WakesAfter};
use crate::session::mark::Did;

/// The first page is for what matters; a long hunt has a table.
const MOST_FINDS: usize = 6;

/// The sentences; what the table of both sides says is not said twice.
pub(super) fn answer(case: &Case, has_sides: bool) -> Vec<String> {
    let judgement = &case.judgement;
    let mut words = vec![headline(case)];
    let found_cause = cause::cause(judgement, |label| case.named(label));
    words.extend(found_cause.map(|it| format!("Cause: {it}.")));
    words.push(format!("How sure: {}.", judgement.verdict_why));
    if !has_sides {
        words.extend(judgement.settled.as_ref().map(a_day));
        let standing = judgement.standing.as_ref();
        words.extend(standing.map(|it| format!("With that draw the car {}.", it.in_words())));
    }
    let implied = judgement.implied.as_ref();
    words.extend(implied.map(|it| format!("The complaint: {it}.")));
    words.extend(judgement.cycles.iter().map(cycle));
    let finds = || {
        judgement
            .trials
            .iter()
            .filter_map(|trial| found(case, trial))
    };
    words.extend(finds().take(MOST_FINDS));
    if finds().count() > MOST_FINDS {
        words.push("The table of trials has the rest.".into());
    }
    words.extend(fitted::fitted(case, has_sides));
    let out = case.session.out_now();
    if !out.is_empty() {
        words.push(format!(
            "Still out at the end of the record: {}.",
            out.join(", ")
        ));
    }
    let whole = RecordSummary::new(&case.session).in_words();
    words.extend(whole.map(|whole| format!("Over the whole record: {whole}.")));
    words
}

fn headline(case: &Case) -> String {
    let judgement = &case.judgement;
    let limit = quantity::amount(judgement.limit.value);
    let draws = judgement
        .settled
        .as_ref()
        .map(|settled| draws(settled, judgement.slept))
        .unwrap_or_default();
    match judgement.verdict {
        Verdict::Above => format!("{draws} That is above the limit of {limit}."),
        Verdict::Below => format!(
            "{draws} That is below the limit of {limit}{}.",
            for_now(case)
        ),
        Verdict::CannotTell => {
            format!("{draws} Whether that is above the limit of {limit} cannot be told.")
        }
        Verdict::NotSettled => format!(
            "The current had not settled when the record ended, so nothing can be said against the limit of {limit}."
        ),
    }
}

/// What keeps a verdict of below from being the last word.
fn for_now(case: &Case) -> String {
    let stamp = Stamp::new(case);
    let so_far = if stamp.early { " so far" } else { "" };
    let out = match stamp.out.as_slice() {
        [] => String::new(),
        out => format!(" with {} out of the car", out.join(", ")),
    };
    format!("{so_far}{out}")
}

/// "Parked and asleep, the car draws 22.0 mA ± 3.5 mA."
fn draws(settled: &SettledNow, slept: bool) -> String {
    let level = settled.level.in_words();
    let average = settled.average_in_words();
    let how = if slept {
        "Parked and asleep"
    } else {
        "Left alone"
    };
    let wakes = if average == level {
        String::new()
    } else {
        format!(", and {average} on average with its wakes")
    };
    let up = if settled.level.a >= AWAKE_A {
        " It did not fall asleep."
    } else {
        ""
    };
    format!("{how}, the car draws {level}{wakes}.{up}")
}

fn a_day(settled: &SettledNow) -> String {
    let (a, u_a) = (
        settled.average.a.max(0.0) * 24.0,
        settled.average.u_a * 24.0,
    );
    format!(
        "In a day of standing that takes {} out of the battery.",
        quantity::charge(a, u_a)
    )
}

fn cycle(cycle: &Cycle) -> String {
    format!(
        "It woke about every {} for {}, {} more each time ({} seen at this beat).",
        quantity::span(cycle.period_s),
        quantity::span(cycle.width_s),
        quantity::current(cycle.extra_a),
        cycle.count,
    )
}

/// What a removal showed, when it showed something.
fn found(case: &Case, trial: &Trial) -> Option<String> {
    if !trial.did.removes() {
        return None;
    }
    let what = cause::taken_out(trial, |label| case.named(label));
    let deed = if trial.did == Did::Unplug {
        format!("With {what} unplugged")
    } else {
        format!("With {what} pulled")
    };
    match (waking::after(trial), fell(case, trial)) {
        (Some(WakesAfter::Stopped { watched_s, every_s }), _) => Some(format!(
            "{deed} no wake came in {} (before, every {}): that wakes the car.",
            quantity::span(watched_s),
            quantity::span(every_s)
        )),
        (Some(WakesAfter::WentOn), None) => Some(format!(
            "{deed} the wakes went on: it is not what wakes the car."
        )),
        (Some(WakesAfter::WentOn), Some(fell)) => {
            Some(format!("{deed} {fell}. The wakes went on."))
        }
        (None, fell) => Some(format!("{deed} {}.", fell?)),
    }
}

/// How the current fell, and what that means.
fn fell(case: &Case, trial: &Trial) -> Option<String> {
    let is_found = trial.finding.is_fall();
    let change = trial.change.filter(|_| is_found)?;
    let fall = quantity::level(-change.a, change.u_a);
    Some(match trial.manner {
        Some(Manner::AtOnce) if -change.a <= SUSPECT_A => {
            format!("the current fell at once, by {fall}: that is what it draws, and no more")
        }
        Some(Manner::AtOnce) => {
            let keeper = cause::kept_by(&case.judgement, &trial.what, |label| case.named(label));
            let kept = keeper.map(|keeper| format!(", kept awake by {keeper}"));
            let kept = kept.unwrap_or_default();
            format!("the current fell at once, by {fall}: what draws sits there{kept}")
        }
        Some(Manner::Late) => {
            format!("the current fell late, by {fall}: what sits there kept other parts awake")
        }
        Some(Manner::Both) => format!(
            "the current fell by {fall}, part at once and part late: what sits there draws, and kept other parts awake"
        ),
        None => format!("the current fell by {fall}"),
    })
}
