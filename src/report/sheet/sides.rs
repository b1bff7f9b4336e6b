//! Before and after, side by side: two records, or one record on both sides of its last new part.

use super::Table;
use super::answer::ampere_hours;
use crate::judge::finding::Level;
use crate::reading::{Elapsed, quantity};
use crate::report::case::Case;
use crate::session::mark::Did;

/// One side of the table.
struct Side {
    settled: Option<Level>,
    average: Option<Level>,
    verdict: Option<&'static str>,
    watched_s: f64,
    wakes: usize,
}

/// The table, where there is anything to compare.
pub(super) fn sides(case: &Case, earlier: Option<&Case>) -> Option<Table> {
    let (before, after) = match earlier {
        Some(earlier) => (whole(earlier), whole(case)),
        None => around_the_repair(case)?,
    };
    let row = |name: &str, of: &dyn Fn(&Side) -> String| [name.to_owned(), of(&before), of(&after)];
    let level = |level: Option<Level>| {
        level.map_or_else(|| "not settled".into(), |it| quantity::level(it.a, it.u_a))
    };
    let a_day = |average: Option<Level>| {
        average.map_or_else(|| "-".into(), |it| ampere_hours(it.a * 24.0, it.u_a * 24.0))
    };
    let rows = [
        row("settled current", &|side| level(side.settled)),
        row("average with its wakes", &|side| {
            side.average
                .map_or_else(|| "-".into(), |it| level(Some(it)))
        }),
        row("taken in a day", &|side| {
            a_day(side.average.or(side.settled))
        }),
        row("against the limit", &|side| {
            side.verdict.unwrap_or("-").to_owned()
        }),
        row("watched while settled", &|side| {
            quantity::span(side.watched_s)
        }),
        row("wakes seen", &|side| side.wakes.to_string()),
    ];
    Some(Table::new(["", "before", "after"]).fill(rows.into_iter(), usize::MAX))
}

fn whole(case: &Case) -> Side {
    let settled = case.judgement.settled.as_ref();
    Side {
        settled: settled.map(|now| now.level),
        average: settled.map(|now| now.average),
        verdict: Some(case.judgement.verdict.word()),
        watched_s: case.asleep_s(),
        wakes: case.judgement.wakes.len(),
    }
}

/// The settled level with everything in before the last new part, against the one at the end.
fn around_the_repair(case: &Case) -> Option<(Side, Side)> {
    let swap = case
        .session
        .marks()
        .rev()
        .find(|placed| placed.mark.did == Did::Swap)?;
    let t = swap.at();
    let whole_car = |from: Elapsed| case.out_before(from.plus_secs(1.0)).is_empty();
    let before = case
        .settled()
        .rev()
        .find(|span| span.to <= t && whole_car(span.from));
    let side = |settled: Option<Level>, earlier: bool| Side {
        settled,
        average: None,
        verdict: None,
        watched_s: watched_s(case, t, earlier),
        wakes: case
            .judgement
            .wakes
            .iter()
            .filter(|wake| (wake.from < t) == earlier)
            .count(),
    };
    let now = case.judgement.settled.as_ref();
    let now = now.filter(|now| now.since >= t || whole_car(now.since));
    let after = Side {
        average: now.map(|now| now.average),
        verdict: Some(case.judgement.verdict.word()),
        ..side(now.map(|now| now.level), false)
    };
    Some((side(before.and_then(|span| span.level), true), after))
}

fn watched_s(case: &Case, t: Elapsed, earlier: bool) -> f64 {
    case.settled()
        .map(|span| {
            let (from, to) = if earlier {
                (span.from, span.to.min(t))
            } else {
                (span.from.max(t), span.to)
            };
            to.secs_since(from).max(0.0)
        })
        .sum()
}
