//! The answer in plain words: what the parked car draws, what was found, what was done.

use crate::judge::finding::{Cycle, Finding, Manner, SettledNow, Trial, Verdict};
use crate::reading::quantity;
use crate::report::case::Case;
use crate::session::mark::Did;

/// The first page is for what matters; a long hunt has a table.
const MOST_FINDS: usize = 6;

/// The sentences; what the table of both sides says is not said twice.
pub(super) fn answer(case: &Case, has_sides: bool) -> Vec<String> {
    let mut words = vec![
        headline(case),
        format!("How sure: {}.", case.judgement.verdict_why),
    ];
    if !has_sides {
        words.extend(case.judgement.settled.as_ref().map(a_day));
        words.extend(
            case.judgement
                .standing
                .as_ref()
                .map(|it| format!("With that draw the car {}.", it.in_words())),
        );
    }
    words.extend(
        case.judgement
            .implied
            .as_ref()
            .map(|it| format!("The complaint: {it}.")),
    );
    words.extend(case.judgement.cycles.iter().map(cycle));
    let finds = || {
        case.judgement
            .trials
            .iter()
            .filter_map(|trial| found(case, trial))
    };
    words.extend(finds().take(MOST_FINDS));
    if finds().count() > MOST_FINDS {
        words.push("The table of trials has the rest.".into());
    }
    words.extend(fitted(case));
    let out = case.session.out_now();
    if !out.is_empty() {
        words.push(format!(
            "Still out at the end of the record: {}.",
            out.join(", ")
        ));
    }
    words
}

fn headline(case: &Case) -> String {
    let judgement = &case.judgement;
    let limit = quantity::amount(judgement.limit.value);
    let draws = judgement.settled.as_ref().map(draws).unwrap_or_default();
    match judgement.verdict {
        Verdict::Above => format!("{draws} That is above the limit of {limit}."),
        Verdict::Below => format!("{draws} That is below the limit of {limit}."),
        Verdict::CannotTell => {
            format!("{draws} Whether that is above the limit of {limit} cannot be told.")
        }
        Verdict::NotSettled => format!(
            "The current had not settled when the record ended, so nothing can be said against the limit of {limit}."
        ),
    }
}

/// "Parked and asleep, the car draws 22.0 mA ± 3.5 mA."
fn draws(settled: &SettledNow) -> String {
    let level = quantity::level(settled.level.a, settled.level.u_a);
    let average = quantity::level(settled.average.a, settled.average.u_a);
    if average == level {
        format!("Parked and asleep, the car draws {level}.")
    } else {
        format!(
            "Parked and asleep, the car draws {level}, and {average} on average with its wakes."
        )
    }
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
    let is_found =
        matches!(trial.finding, Finding::Clears | Finding::Lowers) && trial.did.removes();
    let change = trial.change.filter(|_| is_found)?;
    let what = trial.what.iter().map(|label| case.named(label));
    let what = what.collect::<Vec<_>>().join(" and ");
    let fall = quantity::level(-change.a, change.u_a);
    let deed = match trial.did {
        Did::Unplug => format!("With {what} unplugged"),
        Did::Pull
        | Did::Lock
        | Did::Unlock
        | Did::Refit
        | Did::Plug
        | Did::Swap
        | Did::Zero
        | Did::Note => {
            format!("With {what} pulled")
        }
    };
    Some(match trial.manner {
        Some(Manner::AtOnce) => {
            format!("{deed} the current fell at once, by {fall}: what draws sits there.")
        }
        Some(Manner::Late) => format!(
            "{deed} the current fell late, by {fall}: what sits there kept other parts awake."
        ),
        Some(Manner::Both) => format!(
            "{deed} the current fell by {fall}, part at once and part late: what sits there draws, and kept other parts awake."
        ),
        None => format!("{deed} the current fell by {fall}."),
    })
}

/// New parts, in the order in which they were fitted.
fn fitted(case: &Case) -> impl Iterator<Item = String> {
    let swaps = case
        .session
        .marks()
        .filter(|placed| placed.mark.did == Did::Swap);
    swaps.map(|placed| {
        let what = placed.mark.what.join(" and ");
        format!("New part fitted: {what}, {}.", case.times.full(placed.at()))
    })
}
