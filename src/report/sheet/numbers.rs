//! The numbers behind the first page: how it was measured, trials, shares, wakes, marks.

use super::{Part, Table, fitted, ledger, phases};
use crate::judge::finding::{Level, Manner, Trial};
use crate::judge::words;
use crate::reading::{capitalised, quantity};
use crate::report::case::{self, Case};
use crate::report::{drop, text};
use crate::session::entry::MeterEvent;

/// A table on paper ends somewhere; the rest stands in the JSON.
const MOST_ROWS: usize = 60;

/// Regular wakes are all alike, and a week may hold thousands.
const MOST_WAKES: usize = 12;

pub(super) fn parts(case: &Case, earlier: Option<&Case>) -> Vec<Part> {
    let mut parts = vec![method(case)];
    parts.extend(trials(case, "Trials"));
    parts.extend(earlier.and_then(|earlier| trials(earlier, "Trials before")));
    parts.extend(shares(case));
    parts.extend(sweep(case));
    parts.extend(plan(case));
    parts.extend(wakes(case));
    parts.extend(marks(case));
    parts.extend(phases::phases(case));
    parts.extend(events(case));
    parts
}

fn part(title: &'static str, words: Vec<String>, table: Table) -> Option<Part> {
    (!table.rows.is_empty()).then_some(Part {
        title,
        words,
        table: Some(table),
    })
}

fn method(case: &Case) -> Part {
    let judgement = &case.judgement;
    let readings = format!(
        "{} readings over {}; {} drawn in that time. Judged by rules {} of the program, from the file {}.",
        judgement.readings,
        quantity::span(judgement.span_s),
        quantity::charge(judgement.charge_ah, 0.0),
        judgement.rules,
        case.source.file,
    );
    let drift = case.session.card().drift_a_per_h.map(quantity::amount);
    let drift = drift.map(|a| format!("Counted in U: zero of the clamp: {a} an hour."));
    let others = judgement.other_limits_words.as_ref();
    let others = others.map(|others| format!("The limit by other rules: {others}."));
    let slept = judgement.sleep_took_s.map(quantity::span);
    let slept = slept.map(|took| format!("This car was seen to need {took} to fall asleep."));
    let rules = words::other_rules(judgement);
    let rules = rules.map(|said| format!("{}.", capitalised(&said)));
    let first = [Some(readings), rules, drift, others, slept];
    let mut words = vec![first.into_iter().flatten().collect::<Vec<_>>().join(" ")];
    words.push(
        "Settled means flat, and sleep proven from outside the signal: by the time-out, by the limit, or by a level \
         already known with these fuses. A pull is judged from one settled level to the next."
            .into(),
    );
    words.push(
        "Behind \u{b1} stands U, the expanded uncertainty with k = 2 (JCGM 100:2008): the true value lies within it about 19 \
         times in 20. Above or below is said only where U leaves less than 5 % risk of being wrong (JCGM 106:2012); \
         else the sheet says that it cannot be told."
            .into(),
    );
    Part {
        title: "How it was measured",
        words,
        table: None,
    }
}

fn level(level: Option<Level>) -> String {
    level.map_or_else(|| "-".into(), Level::in_words)
}

fn trials(case: &Case, title: &'static str) -> Option<Part> {
    let table = Table {
        head: [
            "#",
            &case.times.heading(),
            "done",
            "before",
            "after",
            "change",
            "finding",
            "because",
        ]
        .map(str::to_owned)
        .to_vec(),
        ..Table::default()
    };
    let rows = case.judgement.trials.iter().map(|trial| {
        let told = fitted::told(case, trial).unwrap_or_else(|| told(trial));
        let done = format!("{} {}", trial.did, trial.what.join("+"));
        let [before, after, change, finding, because] = told;
        let (number, when) = (trial.mark.0.to_string(), case.times.stamp(trial.t));
        [number, when, done, before, after, change, finding, because]
    });
    part(title, Vec::new(), table.fill(rows, MOST_ROWS))
}

/// What a trial showed: before, after, change, finding, reason.
fn told(trial: &Trial) -> [String; 5] {
    let change = trial.change.or(trial.first_look);
    let change = change.map_or_else(|| "-".into(), |it| quantity::change(it.a, it.u_a));
    let is_first_look = trial.change.is_none() && trial.first_look.is_some();
    let manner = trial
        .manner
        .map(Manner::word)
        .map(|word| format!(", {word}"));
    [
        level(trial.before),
        level(trial.after),
        if is_first_look {
            format!("{change} (first look)")
        } else {
            change
        },
        format!("{}{}", trial.finding.word(), manner.unwrap_or_default()),
        trial.why.clone(),
    ]
}

fn shares(case: &Case) -> Option<Part> {
    let judgement = &case.judgement;
    let shares = judgement.ledger.iter().map(|share| {
        [
            match share.what.as_slice() {
                [one] => one.clone(),
                many => format!("{}, together: not told apart", many.join(" with ")),
            },
            share.level.in_words(),
        ]
    });
    let rest = judgement
        .rest_a
        .map(|rest_a| [ledger::rest(rest_a, judgement), quantity::current(rest_a)]);
    let table = Table::new(["circuit", "draws"]).fill(shares.chain(rest), MOST_ROWS);
    part("Who draws what", ledger::words(case), table)
}

/// Millivolts read across fuses, as currents.
fn sweep(case: &Case) -> Option<Part> {
    let words = case.judgement.sweep.as_ref().map(drop::sweep_lines)?;
    Some(Part {
        title: "Across the fuses",
        words: words
            .into_iter()
            .map(|line| line.trim().to_owned())
            .collect(),
        table: None,
    })
}

/// What is left to try, when the car is not yet mended.
fn plan(case: &Case) -> Option<Part> {
    let words = case.judgement.plan.as_ref().map(text::plan)?;
    Some(Part {
        title: "What to try next",
        words: words
            .into_iter()
            .map(|line| line.trim().to_owned())
            .collect(),
        table: None,
    })
}

fn wakes(case: &Case) -> Option<Part> {
    let judgement = &case.judgement;
    let heading = case.times.heading();
    let rows = judgement.wakes.iter().map(|wake| {
        [
            case.times.stamp(wake.from),
            quantity::span(wake.lasts_s()),
            quantity::current(wake.peak_a),
            format!("{:.1} As", wake.charge_as),
        ]
    });
    let table = Table::new([&heading, "for", "up to", "charge above the settled level"])
        .fill(rows, MOST_WAKES);
    part("Wakes out of settled", Vec::new(), table)
}

fn marks(case: &Case) -> Option<Part> {
    let heading = case.times.heading();
    let rows = case.session.marks().map(|placed| {
        let late = if placed.mark.at.is_some() {
            "placed late"
        } else {
            ""
        };
        [
            placed.mark.id.0.to_string(),
            case.times.stamp(placed.at()),
            case::deed(&placed.mark),
            late.to_owned(),
        ]
    });
    let table = Table::new(["#", &heading, "done", ""]).fill(rows, MOST_ROWS * 2);
    let struck = case
        .session
        .all_marks()
        .iter()
        .filter(|placed| placed.struck)
        .count();
    let words = match struck {
        0 => None,
        1 => Some("One mark was struck as a mistake; the session file keeps it.".to_owned()),
        n => Some(format!(
            "{n} marks were struck as mistakes; the session file keeps them."
        )),
    };
    part("What was done", words.into_iter().collect(), table)
}

fn events(case: &Case) -> Option<Part> {
    let heading = case.times.heading();
    let rows = case
        .session
        .meter_events()
        .iter()
        .map(|(t, event)| [case.times.stamp(*t), said(event)]);
    let table = Table::new([&heading, "what happened to the meter"]).fill(rows, MOST_ROWS);
    part("The meter", Vec::new(), table)
}

fn said(event: &MeterEvent) -> String {
    let ended = |is_on: bool| if is_on { "" } else { ", ended" };
    match event {
        MeterEvent::Lost(why) => format!("lost: {why}"),
        MeterEvent::Back(place) => format!("back: {place}"),
        MeterEvent::Range(range) => format!("range: {range}"),
        MeterEvent::Held(is_on) => format!("display held{}", ended(*is_on)),
        MeterEvent::Ac(is_on) => format!("not measuring direct current{}", ended(*is_on)),
        MeterEvent::AutoOff(is_on) => format!("set to switch itself off{}", ended(*is_on)),
        MeterEvent::LowCell => "its own cell was low".into(),
        MeterEvent::Doubt { doubt, on: true } => doubt.question().into(),
        MeterEvent::Doubt { doubt, on: false } => doubt.gone().into(),
        MeterEvent::Gap { why, for_s } => {
            format!("no readings for {}: {why}", quantity::span(*for_s))
        }
    }
}
