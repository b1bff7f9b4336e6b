//! The job card on the sheet: names and values, an empty value where there is a line to write on.

use crate::reading::quantity;
use crate::report::case::Case;
use crate::session::card::{Accuracy, Battery, BatteryKind, Card, Rest};

pub(super) fn card(case: &Case) -> Vec<(&'static str, String)> {
    let (card, judgement) = (case.session.card(), &case.judgement);
    let (from, to) = case.stretch();
    let mut fields = vec![
        ("Plate", text(card.plate.as_ref())),
        ("Odometer", text(card.odometer.as_ref())),
        ("Technician", text(card.technician.as_ref())),
        ("Complaint", text(card.complaint.as_ref())),
        (
            "Battery",
            card.battery.as_ref().map(battery).unwrap_or_default(),
        ),
        ("Battery test", text(card.battery_test.as_ref())),
        (
            "Rest voltage",
            card.rest.as_ref().map(rest).unwrap_or_default(),
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
    ];
    fields.extend(said(card));
    fields
}

/// What nobody said is a line to write on.
fn text(said: Option<&String>) -> String {
    said.cloned().unwrap_or_default()
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
pub(super) fn drift(card: &Card) -> Option<String> {
    let drift_a = card.drift_a_per_h?;
    Some(format!(
        "zero of the clamp: {} an hour",
        quantity::amount(drift_a)
    ))
}
