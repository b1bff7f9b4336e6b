//! The phases as a table that a page has room for: what follows one another on the way down is one
//! row, with where the current came from and where it went; a mean of that would mean nothing.

use super::{Part, Table};
use crate::judge::finding::{Level, Phase, PhaseSpan};
use crate::reading::{Elapsed, quantity};
use crate::report::case::Case;
use crate::signal::track::{self, Block};

/// A page is for reading; all of them stand in the JSON.
const MOST_ROWS: usize = 12;

/// The way down begins in these first seconds: the door, the lock, the pull.
const BEGINNING_S: f64 = 5.0;

/// A wake and what it takes to be flat again: common practice, no source.
const SHORT_S: f64 = 300.0;

/// From here on a change of the current is worth two numbers.
const CHANGED: f64 = 0.10;

/// Phases that a reader sees as one.
struct PhaseRow {
    words: Vec<&'static str>,
    spans: Vec<PhaseSpan>,
}

impl PhaseRow {
    fn of(span: PhaseSpan) -> Self {
        Self {
            words: vec![span.phase.word()],
            spans: vec![span],
        }
    }

    fn take(&mut self, span: PhaseSpan) {
        let word = span.phase.word();
        if !self.words.contains(&word) {
            self.words.push(word);
        }
        self.spans.push(span);
    }

    fn is_restless(&self) -> bool {
        self.spans.iter().all(|span| is_restless(span.phase))
    }

    fn is_settled(&self) -> bool {
        self.spans
            .first()
            .is_some_and(|span| span.phase == Phase::Settled)
    }

    /// Of its longest settled stretch.
    fn level(&self) -> Option<Level> {
        let settled = self
            .spans
            .iter()
            .filter(|span| span.phase == Phase::Settled);
        let longest = settled.max_by_key(|span| span.to.ms() - span.from.ms());
        longest.and_then(|span| span.level)
    }

    /// `settled, 3 wakes`.
    fn name(&self) -> String {
        let wakes = self
            .spans
            .iter()
            .filter(|span| span.phase == Phase::Stirring)
            .count();
        match wakes {
            0 => self.words.join(", "),
            _ if !self.is_settled() => self.words.join(", "),
            1 => format!("{}, 1 wake", self.words.join(", ")),
            n => format!("{}, {n} wakes", self.words.join(", ")),
        }
    }

    fn from(&self) -> Elapsed {
        self.spans.first().map_or(Elapsed::ZERO, |span| span.from)
    }

    fn to(&self) -> Elapsed {
        self.spans.last().map_or(Elapsed::ZERO, |span| span.to)
    }

    fn long_s(&self) -> f64 {
        self.to().secs_since(self.from())
    }
}

const fn is_restless(phase: Phase) -> bool {
    match phase {
        Phase::Awake | Phase::Falling | Phase::Plateau => true,
        Phase::Settled | Phase::Stirring | Phase::Blind => false,
    }
}

pub(super) fn phases(case: &Case) -> Option<Part> {
    let all = rows(&case.judgement.phases);
    let many = all.len();
    let rows = longest(all);
    let left_out = many - rows.len();
    let cells = rows.iter().map(|row| {
        [
            case.times.stamp(row.from()),
            row.name(),
            quantity::span(row.long_s()),
            current(case, row),
        ]
    });
    let heading = case.times.heading();
    let mut table = Table::new([&heading, "phase", "for", "current"]).fill(cells, MOST_ROWS);
    table.left_out = left_out;
    (!table.rows.is_empty()).then(|| Part {
        title: "Phases",
        words: Vec::new(),
        table: Some(table),
    })
}

/// The rows that a page has room for, in order: every settled level says more than the way to it.
fn longest(rows: Vec<PhaseRow>) -> Vec<PhaseRow> {
    let mut ranked: Vec<(usize, PhaseRow)> = rows.into_iter().enumerate().collect();
    ranked.sort_by(|(_, a), (_, b)| {
        let settled = b.is_settled().cmp(&a.is_settled());
        settled.then(b.long_s().total_cmp(&a.long_s()))
    });
    ranked.truncate(MOST_ROWS);
    ranked.sort_by_key(|(at, _)| *at);
    ranked.into_iter().map(|(_, row)| row).collect()
}

fn rows(phases: &[PhaseSpan]) -> Vec<PhaseRow> {
    let mut rows: Vec<PhaseRow> = Vec::new();
    // Cuts of less than a second between phases say nothing to a reader.
    let whole = phases.iter().filter(|span| span.lasts_s() >= 1.0);
    for span in whole {
        match rows.last_mut() {
            Some(row) if row.is_restless() && is_restless(span.phase) => row.take(*span),
            Some(_) | None => rows.push(PhaseRow::of(*span)),
        }
    }
    joined(rows)
}

/// What comes between two settled stretches of one level, a pull that changed nothing or a short
/// wake, interrupts them only in the judge's eyes.
fn joined(rows: Vec<PhaseRow>) -> Vec<PhaseRow> {
    let mut joined: Vec<PhaseRow> = Vec::new();
    for row in rows {
        let at = joined.iter().rposition(PhaseRow::is_settled);
        let between = at.and_then(|at| Some((joined.get(at)?, joined.get(at + 1..)?)));
        let goes_on = between.is_some_and(|(before, between)| goes_on(before, between, &row));
        match (at, goes_on) {
            (Some(at), true) => {
                let tail = joined.split_off(at + 1);
                if let Some(before) = joined.last_mut() {
                    let spans = tail.into_iter().chain([row]).flat_map(|row| row.spans);
                    before.spans.extend(spans);
                }
            }
            (Some(_) | None, _) => joined.push(row),
        }
    }
    joined
}

/// Whether `row` only goes on with the settled level of `before`.
fn goes_on(before: &PhaseRow, between: &[PhaseRow], row: &PhaseRow) -> bool {
    let Some((old, new)) = before.level().zip(row.level()) else {
        return false;
    };
    let lasted_s: f64 = between.iter().map(PhaseRow::long_s).sum();
    let is_near = |level: Level| (level.a - old.a).abs() <= old.u_a.min(level.u_a);
    let mut spans = between.iter().flat_map(|row| &row.spans);
    // A fall elsewhere in between is a story of its own, however short.
    let is_quiet = spans.all(|span| {
        let stayed = span.phase == Phase::Plateau && span.level.is_some_and(is_near);
        stayed || (span.phase != Phase::Blind && lasted_s <= SHORT_S && has_wake(between))
    });
    row.is_settled() && is_near(new) && is_quiet
}

fn has_wake(rows: &[PhaseRow]) -> bool {
    let mut spans = rows.iter().flat_map(|row| &row.spans);
    spans.any(|span| span.phase == Phase::Stirring)
}

fn current(case: &Case, row: &PhaseRow) -> String {
    let nothing = || "-".to_owned();
    if row.is_settled() {
        let level = row.level();
        return level.map_or_else(nothing, Level::in_words);
    }
    if row.is_restless() {
        return way(case, row).unwrap_or_else(nothing);
    }
    let extent = case.session.signal().track().extent(row.from(), row.to());
    let top_a = extent
        .map(|extent| f64::from(extent.max_a))
        .filter(|a| a.is_finite());
    top_a.map_or_else(nothing, |a| format!("up to {}", quantity::current(a)))
}

/// "from 2.81 A to 395 mA", or one number where it stayed.
fn way(case: &Case, row: &PhaseRow) -> Option<String> {
    let track = case.session.signal().track();
    let (from, to) = (row.from(), row.to());
    // The fall may lie between the last block before and the first one after the mark.
    let beginning = track.between(from.plus_secs(-1.5), from.plus_secs(BEGINNING_S).min(to));
    let from_a = track::read(beginning).map(Block::a).reduce(f64::max)?;
    let to_a = track::read(track.between(from, to)).next_back()?.a();
    Some(if (to_a - from_a).abs() <= CHANGED * from_a.abs() {
        quantity::current(to_a)
    } else {
        format!(
            "from {} to {}",
            quantity::current(from_a),
            quantity::current(to_a)
        )
    })
}
