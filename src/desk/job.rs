//! What the job's card holds and what is to be said of it: its fields in words, what waits to be
//! looked at, and the car's own time-out, which is offered and never taken by itself.

use super::Model;
use super::prompt::Ask;
use crate::judge::limit::{Origin, Sourced};
use crate::reading::quantity;
use crate::session::card::{Accuracy, Battery, BatteryKind, Card, CrankingStandard, Rest};

/// Two time-outs that differ by less are one, in seconds: the screen shows no finer.
const SAME_TIMEOUT_S: f64 = 1.0;

impl Model {
    /// The time-out that this car itself showed, when it is not in force already, in seconds.
    #[must_use]
    pub fn offered_timeout_s(&self) -> Option<f64> {
        let in_force_s = self.judgement.timeout.value;
        self.judgement
            .learned_timeout_s
            .filter(|learned_s| (learned_s - in_force_s).abs() >= SAME_TIMEOUT_S)
    }

    /// What on the card's page is worth a look, in a few words; empty when nothing is.
    #[must_use]
    pub fn worth_a_look(&self) -> String {
        let judgement = &self.judgement;
        let mut said = Vec::new();
        match judgement.contradictions.len() {
            0 => {}
            1 => said.push("1 contradiction".to_owned()),
            count => said.push(format!("{count} contradictions")),
        }
        match judgement.left_out {
            0 => {}
            1 => said.push("1 reading left out".to_owned()),
            count => said.push(format!("{count} readings left out")),
        }
        let is_usual = judgement.timeout.from == Origin::Usual;
        if let Some(learned_s) = self.offered_timeout_s().filter(|_| is_usual) {
            let learned = quantity::span(learned_s);
            said.push(format!("this car's own time-out would be {learned}"));
        }
        said.join("; ")
    }

    /// Asks whether the car's own time-out is to be taken.
    pub(super) fn ask_timeout(&mut self) {
        let Some(to_s) = self.offered_timeout_s() else {
            return self.reply(
                "This car has shown no time-out of its own yet: it does once it falls asleep \
                 after a lock.",
            );
        };
        if self.may_record() {
            let took_s = self.judgement.sleep_took_s;
            let ask = Ask::Timeout { to_s, took_s };
            self.ask(ask, None);
        }
    }
}

/// Every field of the card that somebody filled in: its name and what stands there.
#[must_use]
pub fn fields(card: &Card) -> Vec<(&'static str, String)> {
    let span = |secs: f64| quantity::span(secs);
    let all = [
        ("car", card.car.clone()),
        ("complaint", card.complaint.clone()),
        ("flat after", card.flat_after_s.map(span)),
        ("must stand", card.required_standing_s.map(span)),
        ("battery", card.battery.map(battery)),
        ("at rest", card.rest.map(rest)),
        ("meter", card.meter.clone()),
        ("accuracy", card.accuracy.map(accuracy)),
        ("clamp", card.clamp_mv_per_a.map(|mv| format!("{mv} mV/A"))),
        ("shunt", card.shunt_mohm.map(|mohm| format!("{mohm} mOhm"))),
        ("turns", card.turns.map(|turns| turns.to_string())),
        (
            "probe",
            card.probe_accuracy
                .map(|percent| format!("{percent} % of the reading")),
        ),
        (
            "zero drift",
            card.drift_a_per_h
                .map(|a| format!("{} an hour", quantity::amount(a))),
        ),
        ("keys", card.key_count.map(|count| count.to_string())),
        (
            "at the start",
            card.asleep_at_start
                .map(|asleep| if asleep { "asleep" } else { "awake" }.to_owned()),
        ),
        (
            "fuse map",
            card.fuses
                .as_ref()
                .map(|fuses| format!("{} fuses", fuses.len())),
        ),
        ("notes", card.notes.clone()),
    ];
    all.into_iter()
        .filter_map(|(name, text)| Some((name, text?)))
        .collect()
}

/// A limit or a time-out with where it came from.
#[must_use]
pub fn sourced(value: &str, from: Sourced) -> String {
    format!("{value} ({})", from.from.word())
}

fn accuracy(accuracy: Accuracy) -> String {
    let mut parts = Vec::new();
    if accuracy.percent > 0.0 {
        parts.push(format!("{} %", accuracy.percent));
    }
    if accuracy.counts > 0.0 {
        parts.push(format!("{} counts", accuracy.counts));
    }
    if accuracy.amount_a > 0.0 {
        parts.push(quantity::amount(accuracy.amount_a));
    }
    if parts.is_empty() {
        return "exact".into();
    }
    format!("\u{b1}({})", parts.join(" + "))
}

fn battery(battery: Battery) -> String {
    let kind = match battery.kind {
        BatteryKind::Flooded => "flooded",
        BatteryKind::Efb => "EFB",
        BatteryKind::Agm => "AGM",
        BatteryKind::Gel => "gel",
    };
    let mut said = kind.to_owned();
    if let Some(ah) = battery.c20_ah {
        said = format!("{said}, {ah} Ah");
    }
    if let Some(minutes) = battery.reserve_min {
        said = format!("{said}, reserve {minutes} min");
    }
    if let Some(cranking) = battery.cranking {
        let standard = match cranking.standard {
            CrankingStandard::En => "EN",
            CrankingStandard::Sae => "SAE",
            CrankingStandard::Iec => "IEC",
            CrankingStandard::Din => "DIN",
        };
        said = format!("{said}, {} A ({standard})", cranking.a);
    }
    said
}

fn rest(rest: Rest) -> String {
    let mut said = format!("{} V", rest.volts);
    if let Some(rested_s) = rest.rested_s {
        said = format!("{said} after {}", quantity::span(rested_s));
    }
    if let Some(celsius) = rest.temperature_c {
        said = format!("{said} at {celsius} C");
    }
    said
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_card_shows_what_was_filled_in_and_nothing_else() {
        let card = Card {
            battery: Some("agm,70Ah,760A-EN".parse().unwrap()),
            rest: Some("12.4V,4h,10C".parse().unwrap()),
            accuracy: Some("1.0%+3".parse().unwrap()),
            drift_a_per_h: Some(0.005),
            asleep_at_start: Some(false),
            ..Card::default()
        };
        let said: Vec<String> = fields(&card)
            .into_iter()
            .map(|(name, text)| format!("{name}: {text}"))
            .collect();
        assert_eq!(
            said,
            [
                "battery: AGM, 70 Ah, 760 A (EN)",
                "at rest: 12.4 V after 4 h at 10 C",
                "accuracy: \u{b1}(1 % + 3 counts)",
                "zero drift: 5 mA an hour",
                "at the start: awake",
            ]
        );
        assert_eq!(fields(&Card::default()), []);
    }
}
