//! Before and after, side by side: two records, or one record before its repair and at its end.

use super::Table;
use crate::battery::standing;
use crate::judge::finding::{Level, SettledNow};
use crate::judge::words;
use crate::reading::quantity;
use crate::report::case::Case;
use crate::report::stamp::Stamp;

const NOTHING: &str = "nothing";
const NO_DAYS: &str = "-";

/// One side of the table.
struct RepairSide {
    settled: Option<Level>,
    average: Option<String>,
    day: String,
    verdict: String,
    watched_s: f64,
    wakes: usize,
    out: String,
    days: String,
    when: String,
}

/// The table, where there is anything to compare.
pub(super) fn sides(case: &Case, earlier: Option<&Case>) -> Option<Table> {
    let (before, after) = match (earlier, &case.before) {
        (Some(earlier), _) => (side(earlier.unrepaired()), side(case)),
        (None, Some(before)) => (side(before), side(case)),
        (None, None) => return None,
    };
    let row =
        |name: &str, of: &dyn Fn(&RepairSide) -> String| [name.to_owned(), of(&before), of(&after)];
    let level = |level: Option<Level>| level.map_or_else(|| "not settled".into(), Level::in_words);
    let has_wakes = [&before, &after].into_iter().any(|side| {
        side.average
            .as_ref()
            .is_some_and(|it| *it != level(side.settled))
    });
    let average = row("on average", &|side| {
        let average = side.average.clone();
        average.unwrap_or_else(|| level(None))
    });
    let rows = [row("settled current", &|side| level(side.settled))]
        .into_iter()
        .chain(has_wakes.then_some(average))
        .chain([
            row("in a day it draws", &|side| side.day.clone()),
            row("against the limit", &|side| side.verdict.clone()),
            row("watched while settled", &|side| {
                let watched = quantity::span(side.watched_s);
                format!("{} in {watched}", words::counted(side.wakes))
            }),
        ]);
    let days = row("stands", &|side| side.days.clone());
    let has_days = before.days != NO_DAYS || after.days != NO_DAYS;
    let out = row("out of the car then", &|side| side.out.clone());
    let is_whole = before.out == NOTHING && after.out == NOTHING;
    let rows = rows
        .chain(has_days.then_some(days))
        .chain((!is_whole).then_some(out));
    let head = [
        "",
        &format!("before ({})", before.when),
        &format!("after ({})", after.when),
    ];
    Some(Table::new(head).fill(rows, usize::MAX))
}

/// A record as it ended.
fn side(case: &Case) -> RepairSide {
    let settled = case.judgement.settled.as_ref();
    let out = case.session.out_now();
    RepairSide {
        settled: settled.map(|now| now.level),
        average: settled.map(SettledNow::average_in_words),
        day: case
            .judgement
            .day_ah
            .map_or_else(|| "-".into(), words::draw::day_alone),
        verdict: Stamp::new(case).cell,
        watched_s: case.watched_s(),
        wakes: case.judgement.average.map_or(0, |average| average.wakes),
        when: case.times.full(case.session.last_t()),
        days: case
            .judgement
            .standing
            .map_or_else(|| NO_DAYS.into(), |it| standing::in_words(it.average_days)),
        out: if out.is_empty() {
            NOTHING.into()
        } else {
            out.join(", ")
        },
    }
}
