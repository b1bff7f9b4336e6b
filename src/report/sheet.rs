//! What stands in a report, as plain words and tables: the answer first, the numbers behind it.
//! How it is set on paper or as Markdown is not known here, and nothing here is escaped.

mod answer;
mod cautions;
mod numbers;
mod sides;
mod unproved;

use super::case::Case;
use super::plot::Plot;
use crate::judge::finding::Verdict;
use crate::reading::quantity;
use crate::session::card::{Accuracy, Battery, BatteryKind, Card, Rest};

/// Rows under a heading.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Table {
    /// The heading of each column.
    pub head: Vec<String>,
    /// The rows, as wide as the heading.
    pub rows: Vec<Vec<String>>,
    /// How many further rows were left out.
    pub left_out: usize,
}

impl Table {
    fn new<const N: usize>(head: [&str; N]) -> Self {
        Self {
            head: head.map(str::to_owned).to_vec(),
            ..Self::default()
        }
    }

    /// Adds rows up to `most`, and counts the rest.
    fn fill<const N: usize>(
        mut self,
        rows: impl Iterator<Item = [String; N]>,
        most: usize,
    ) -> Self {
        for row in rows {
            if self.rows.len() < most {
                self.rows.push(row.to_vec());
            } else {
                self.left_out += 1;
            }
        }
        self
    }
}

/// One of the parts behind the first page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Its heading.
    pub title: &'static str,
    /// Sentences, one paragraph each.
    pub words: Vec<String>,
    /// The table, where there is one.
    pub table: Option<Table>,
}

/// A whole report.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Which car, in the workshop's words.
    pub car: String,
    /// The verdict.
    pub verdict: Verdict,
    /// The job card: names and values; an empty value is a line to write on.
    pub card: Vec<(&'static str, String)>,
    /// The answer in plain words, the verdict first.
    pub answer: Vec<String>,
    /// Before and after, where there is something to set side by side.
    pub sides: Option<Table>,
    /// The picture.
    pub plot: Plot,
    /// What was not proved.
    pub unproved: Vec<String>,
    /// The numbers.
    pub parts: Vec<Part>,
    /// What can hurt.
    pub cautions: &'static [&'static str],
    /// What made the report.
    pub maker: String,
}

impl Sheet {
    /// The report of a record; with an earlier one, of both.
    #[must_use]
    pub fn new(case: &Case, earlier: Option<&Case>) -> Self {
        let car = case.session.card().car.clone();
        let sides = sides::sides(case, earlier);
        Self {
            car: car.unwrap_or_else(|| "Car not named".into()),
            verdict: case.judgement.verdict,
            card: card(case),
            answer: answer::answer(case, sides.is_some()),
            sides,
            plot: Plot::new(case, earlier),
            unproved: unproved::unproved(case),
            parts: numbers::parts(case, earlier),
            cautions: cautions::CAUTIONS,
            maker: format!(
                "lullboard {}, rules {}, from {}",
                env!("CARGO_PKG_VERSION"),
                case.judgement.rules,
                case.source.file
            ),
        }
    }

    /// The verdict as a heading: `ABOVE THE LIMIT`.
    #[must_use]
    pub const fn stamp(&self) -> &'static str {
        match self.verdict {
            Verdict::Above => "ABOVE THE LIMIT",
            Verdict::Below => "BELOW THE LIMIT",
            Verdict::CannotTell => "CANNOT TELL",
            Verdict::NotSettled => "NOT SETTLED",
        }
    }
}

fn card(case: &Case) -> Vec<(&'static str, String)> {
    let (card, judgement) = (case.session.card(), &case.judgement);
    let (from, to) = case.stretch();
    let mut fields = vec![
        ("Complaint", card.complaint.clone().unwrap_or_default()),
        (
            "Battery",
            card.battery.as_ref().map(battery).unwrap_or_default(),
        ),
        (
            "Limit",
            format!(
                "{}, {}",
                quantity::amount(judgement.limit.value),
                judgement.limit.from.word()
            ),
        ),
        (
            "Sleep time-out",
            format!(
                "{}, {}",
                quantity::span(judgement.timeout.value),
                judgement.timeout.from.word()
            ),
        ),
        ("Meter", meter(case)),
        (
            "Meter accuracy",
            card.accuracy
                .as_ref()
                .map_or_else(|| "not given".into(), accuracy),
        ),
        (
            "Recorded",
            format!(
                "{}, for {}",
                recorded(case),
                quantity::span(to.secs_since(from))
            ),
        ),
        ("File", case.source.file.clone()),
    ];
    fields.extend(said(card));
    fields.extend([
        ("Technician", String::new()),
        ("Plate, odometer, job no.", String::new()),
    ]);
    fields
}

fn recorded(case: &Case) -> String {
    match case.source.started {
        Some(_) => format!("from {}", case.times.full(case.stretch().0)),
        None => "on a day that the log does not tell".into(),
    }
}

fn meter(case: &Case) -> String {
    let meter = &case.session.header().meter;
    let line = match &meter.format {
        Some(format) if !meter.uri.is_empty() => format!("{} ({format})", meter.uri),
        Some(format) => format.clone(),
        None => meter.uri.clone(),
    };
    match &case.session.card().meter {
        Some(name) if line.is_empty() => name.clone(),
        Some(name) => format!("{name}, on {line}"),
        None if line.is_empty() => "not named".into(),
        None => line,
    }
}

/// What stands on the sheet only when somebody said it.
fn said(card: &Card) -> impl Iterator<Item = (&'static str, String)> {
    [
        ("Rest voltage", card.rest.as_ref().map(rest)),
        ("Has to stand", card.required_standing_s.map(quantity::span)),
        ("Keys", card.key_count.map(|keys| keys.to_string())),
        ("Notes", card.notes.clone()),
    ]
    .into_iter()
    .filter_map(|(name, value)| Some((name, value?)))
}

fn rest(rest: &Rest) -> String {
    let rested = rest
        .rested_s
        .map(|s| format!(" after {}", quantity::span(s)))
        .unwrap_or_default();
    format!("{} V{rested}", rest.volts)
}

fn battery(battery: &Battery) -> String {
    let kind = match battery.kind {
        BatteryKind::Flooded => "flooded",
        BatteryKind::Efb => "EFB",
        BatteryKind::Agm => "AGM",
        BatteryKind::Gel => "gel",
    };
    let size = battery
        .c20_ah
        .map(|ah| format!(", {ah} Ah"))
        .unwrap_or_default();
    let reserve = battery
        .reserve_min
        .map(|min| format!(", reserve {min} min"))
        .unwrap_or_default();
    format!("{kind}{size}{reserve}")
}

/// As the meter's manual prints it: `± (1 % + 3 counts)`.
fn accuracy(accuracy: &Accuracy) -> String {
    let terms = [
        (accuracy.percent, format!("{} %", accuracy.percent)),
        (accuracy.counts, format!("{} counts", accuracy.counts)),
        (accuracy.amount_a, quantity::amount(accuracy.amount_a)),
    ];
    let named: Vec<String> = terms
        .into_iter()
        .filter(|term| term.0 > 0.0)
        .map(|term| term.1)
        .collect();
    format!("\u{b1} ({})", named.join(" + "))
}

/// A clamp's drift, when the card names one.
fn drift(card: &Card) -> Option<String> {
    let drift_a = card.drift_a_per_h?;
    Some(format!(
        "zero of the clamp: {} an hour",
        quantity::amount(drift_a)
    ))
}
