//! The figures: how it was measured, trials, shares, wakes, marks; and the plan.

use super::{Part, Table, phases, sentence};
use crate::judge::finding::{Level, Trial};
use crate::judge::plan::Plan;
use crate::judge::words;
use crate::reading::quantity;
use crate::report::case::{self, Case};
use crate::report::record_summary::RecordSummary;

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
    parts.extend(volts(case));
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
    let charge = quantity::charge(judgement.charge_ah, 0.0);
    let file = &case.source.file;
    let drift = case.session.card().drift_a_per_h.map(quantity::amount);
    let whole = RecordSummary::new(&case.session).in_words();
    let said = [
        Some(words::record(judgement)),
        Some(format!("from the file {file}; {charge} drawn in that time")),
        whole.map(|whole| format!("over the whole record: {whole}")),
        words::ticks::before_the_lock(&case.session),
        words::other_rules(judgement),
        drift.map(|a| format!("counted in U: zero of the clamp: {a} an hour")),
        words::draw::other_limits(judgement),
        words::draw::learned(judgement),
    ];
    let said = said.iter().flatten().map(|it| sentence(it));
    let mut words = vec![said.collect::<Vec<_>>().join(" ")];
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
        ends_in_words: true,
        ..Table::default()
    };
    let rows = case.judgement.trials.iter().map(|trial| {
        let done = trial.deed();
        let [before, after, change, finding, mut because] = told(trial);
        for note in case.session.notes_on(trial.mark) {
            because.push_str("; noted: ");
            because.push_str(note);
        }
        let (number, when) = (trial.mark.0.to_string(), case.times.stamp(trial.t));
        [number, when, done, before, after, change, finding, because]
    });
    part(title, Vec::new(), table.fill(rows, MOST_ROWS))
}

/// What a trial showed: before, after, change, finding, reason.
fn told(trial: &Trial) -> [String; 5] {
    let manner = trial.manner.map(|manner| format!(", {}", manner.word()));
    [
        level(trial.before),
        level(trial.after),
        trial.change_in_words().unwrap_or_else(|| "-".into()),
        format!("{}{}", trial.finding.word(), manner.unwrap_or_default()),
        trial.why(),
    ]
}

fn shares(case: &Case) -> Option<Part> {
    let judgement = &case.judgement;
    let shares = words::ledger::shares(judgement).into_iter();
    let table = Table::new(["circuit", "draws"]).fill(shares, MOST_ROWS);
    let said = [
        words::ledger::ledger(judgement),
        words::ledger::kept_others(judgement),
    ];
    let said = said.iter().flatten().map(|it| sentence(it)).collect();
    part("Who draws what", said, table)
}

/// Millivolts read across fuses, as currents.
fn sweep(case: &Case) -> Option<Part> {
    Some(Part {
        title: "Across the fuses",
        words: words::sweep::sweep(case.judgement.sweep.as_ref()?),
        table: None,
    })
}

/// What the battery's voltage says beside the current.
fn volts(case: &Case) -> Option<Part> {
    let lines = words::volts::lines(case.judgement.volts.as_ref()?);
    Some(Part {
        title: "The battery's voltage",
        words: lines.iter().map(|line| sentence(line)).collect(),
        table: None,
    })
}

/// What is left to try, when the car is not yet mended.
pub(super) fn plan(case: &Case) -> Option<Part> {
    let judgement = &case.judgement;
    let plan = judgement.plan.as_ref();
    let stop = judgement.stop.as_ref();
    let stop = stop.map(|stop| sentence(&words::stop::stop(stop)));
    let lines = plan.map(Plan::in_lines).into_iter().flatten();
    let words: Vec<String> = lines.chain(stop).collect();
    (!words.is_empty()).then_some(Part {
        title: "What to try next",
        words,
        table: None,
    })
}

fn wakes(case: &Case) -> Option<Part> {
    let judgement = &case.judgement;
    let heading = case.times.heading();
    let rows = judgement.wakes.iter().rev().map(|wake| {
        let [lasts, peak, charge, share] = words::pattern::row(judgement, wake);
        [case.times.stamp(wake.from), lasts, peak, charge, share]
    });
    let [lasts, peak, charge, share] = words::pattern::HEADINGS;
    let table = Table::new([&heading, lasts, peak, charge, share]).fill(rows, MOST_WAKES);
    let lines = words::pattern::lines(judgement);
    let said = lines.iter().map(|line| sentence(line)).collect();
    part("Wakes out of settled, the newest first", said, table)
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
        .map(|(t, event)| [case.times.stamp(*t), words::meter::event_in_words(event)]);
    let second = case.session.volts().events().iter();
    let second = second.map(|(t, event)| [case.times.stamp(*t), words::meter::second(event)]);
    let table = Table::new([&heading, "what happened to the meter"]);
    let table = table.fill(rows.chain(second), MOST_ROWS);
    part("The meter", Vec::new(), table)
}
