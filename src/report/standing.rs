//! What `standing` says of a battery: how long it stands, which draw it could bear, which draw a
//! complaint implies. As lines and as JSON.

use std::io::{self, Write};

use serde_json::{Value, json};

use super::json::figures::{band, rounded};
use super::written::{write_document, write_lines};
use crate::battery::implied::Implied;
use crate::battery::standing::{self, Arithmetic, Given, Store};
use crate::battery::{capacity, temperature, voltage};
use crate::judge::words;
use crate::reading::band::Band;
use crate::reading::quantity;

/// Below this a cold engine is worth a word; common practice, no source.
const COLD_C: f64 = 10.0;

/// What is asked of a battery.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asked {
    /// The battery.
    pub given: Given,
    /// The average draw, in ampere.
    pub draw_a: Option<f64>,
    /// After standing how long it was flat, in seconds.
    pub flat_after_s: Option<f64>,
    /// How long the owner needs it to stand, in seconds.
    pub required_standing_s: Option<f64>,
}

/// The answer to [`Asked`].
#[derive(Clone, Debug, PartialEq)]
pub struct StandingAnswer {
    asked: Asked,
    store: Store,
    days: Option<Band>,
    bears_a: Option<Band>,
    implied: Option<Implied>,
}

impl StandingAnswer {
    /// Computes the answer; `None` when nothing printed on the battery tells its capacity.
    pub fn new(asked: Asked) -> Option<Self> {
        let store = Store::new(&asked.given)?;
        let battery = &asked.given.battery;
        Some(Self {
            asked,
            store,
            days: asked.draw_a.map(|draw_a| store.days(Band::exact(draw_a))),
            bears_a: asked
                .required_standing_s
                .and_then(|standing_s| store.draw_for(standing_s)),
            implied: asked
                .flat_after_s
                .and_then(|flat_after_s| Implied::new(battery, flat_after_s)),
        })
    }

    /// As one JSON document and a line feed.
    ///
    /// # Errors
    /// Whatever `out` reports.
    pub fn write_json(&self, out: impl Write) -> io::Result<()> {
        write_document(out, &self.document())
    }

    /// As lines to read, the answer first.
    ///
    /// # Errors
    /// Whatever `out` reports.
    pub fn write_text(&self, out: impl Write) -> io::Result<()> {
        write_lines(out, &self.lines())
    }

    fn document(&self) -> Value {
        let (store, given) = (&self.store, &self.asked.given);
        let optional = |of: Option<Band>, decimals| of.map(|of| band(of, decimals));
        json!({
            "rule": store.rule.word(),
            "battery": given.battery,
            "capacity_ah": band(store.capacity.ah, 3),
            "capacity_from": store.capacity.from.word(),
            "charge": band(store.charge, 4),
            "no_start": band(store.no_start, 4),
            "usable_ah": band(store.usable_ah(), 3),
            "self_discharge_a": band(store.self_a(), 7),
            "draw_a": self.asked.draw_a.map(|a| rounded(a, 7)),
            "standing_days": optional(self.days, 3),
            "bears_a": optional(self.bears_a, 7),
            "implied_a": optional(self.implied.map(|implied| implied.draw_a), 7),
            "exponent": self.exponent().map(|n| rounded(n, 4)),
            "freezing_c": band(temperature::freezing_c(store.charge.best), 1),
            "notes": self.notes(),
        })
    }

    fn lines(&self) -> Vec<String> {
        let store = &self.store;
        let mut lines = Vec::new();
        if let (Some(days), Some(draw_a)) = (self.days, self.asked.draw_a) {
            let draw = quantity::current(draw_a);
            lines.push(format!("at {draw} it stands {}", standing::in_words(days)));
        }
        if let Some(standing_s) = self.asked.required_standing_s {
            let span = quantity::span(standing_s);
            lines.push(match self.bears_a {
                Some(a) => format!("to stand {span} it bears {}", currents(a)),
                None => format!("it cannot stand {span}: its own self-discharge is too much"),
            });
        }
        if self.asked.flat_after_s.is_some() {
            lines.push(match self.implied {
                Some(implied) => words::draw::implied(&implied, self.asked.draw_a),
                None => "its own self-discharge would have flattened it".into(),
            });
        }
        lines.push(format!(
            "  {} {}, {} charged, no start below {}: {} to use",
            with_ends(store.capacity.ah, "Ah", 1.0),
            store.capacity.from.word(),
            with_ends(store.charge, "%", 100.0),
            with_ends(store.no_start, "%", 100.0),
            with_ends(store.usable_ah(), "Ah", 1.0),
        ));
        lines.push(format!("  self-discharge {}", currents(store.self_a())));
        lines.extend(self.notes().iter().map(|note| format!("  {note}")));
        lines
    }

    fn exponent(&self) -> Option<f64> {
        let battery = &self.asked.given.battery;
        capacity::exponent(battery.reserve_min?, battery.c20_ah?).ok()
    }

    /// What the figures rest on, and what to look out for.
    fn notes(&self) -> Vec<String> {
        let (store, given) = (&self.store, &self.asked.given);
        let mut notes = Vec::new();
        if store.rule == Arithmetic::Bulletin {
            notes.push(
                "by a maker's bulletin: 0.6 Ah a minute of reserve capacity, 40 % of it may go, \
                 self-discharge only in the band"
                    .into(),
            );
        }
        if given.charge.is_none() {
            notes.push(
                "from a full charge: nobody said how full it is (--charge or --volts)".into(),
            );
        }
        let exponent = self.exponent();
        notes.extend(exponent.map(|n| format!("Peukert exponent {n:.2} from its two sizes")));
        notes.extend(voltage::sulphation(store.charge).map(str::to_owned));
        if let Some(celsius) = given.temperature_c {
            if celsius < COLD_C {
                notes.push(format!(
                "at {celsius:.0} C it has {:.0} % of its cranking power, while a cold engine asks \
                 for more",
                temperature::cranking(celsius) * 100.0
                ));
            }
            let freezing = temperature::freezing_c(store.charge.low).high;
            if celsius <= freezing {
                notes.push(format!(
                    "it may be frozen (from {freezing:.0} C at this charge): do not charge or \
                     load it"
                ));
            }
        }
        notes.push("when new and sound: an old battery stands shorter; test it first".into());
        notes
    }
}

fn currents(a: Band) -> String {
    let best = quantity::current(a.best);
    if spans(a) {
        let (low, high) = (quantity::current(a.low), quantity::current(a.high));
        format!("{best} ({low} to {high})")
    } else {
        best
    }
}

fn with_ends(band: Band, unit: &str, times: f64) -> String {
    let figure = |x: f64| format!("{:.0}", x * times);
    if spans(band) {
        let (best, low, high) = (figure(band.best), figure(band.low), figure(band.high));
        format!("{best} {unit} ({low} to {high})")
    } else {
        format!("{} {unit}", figure(band.best))
    }
}

fn spans(band: Band) -> bool {
    band.low < band.best || band.best < band.high
}

#[cfg(test)]
mod tests {
    use super::*;

    fn answer(battery: &str, draw_a: f64) -> StandingAnswer {
        StandingAnswer::new(Asked {
            given: Given::printed(battery.parse().unwrap()),
            draw_a: Some(draw_a),
            flat_after_s: None,
            required_standing_s: None,
        })
        .unwrap()
    }

    #[test]
    fn the_answer_stands_first_and_every_doubt_behind_it() {
        let lines = answer("flooded,rc:90", 0.03).lines();
        assert!(
            lines[0].starts_with("at 30.0 mA it stands 30 days ("),
            "{lines:?}"
        );
        let all = lines.join("\n");
        for words in [
            "by a maker's bulletin",
            "from a full charge",
            "test it first",
        ] {
            assert!(all.contains(words), "{all}");
        }
    }

    #[test]
    fn what_has_no_end_is_null() {
        let document = answer("flooded,rc:90", 0.0).document();
        assert_eq!(document["standing_days"]["best"], Value::Null);
        assert_eq!(document["implied_a"], Value::Null);
        assert!(document["standing_days"]["low"].as_f64().unwrap() > 100.0);
    }

    #[test]
    fn a_battery_below_no_start_is_said_to_be_there() {
        let mut asked = answer("flooded,60Ah", 0.03).asked;
        asked.given.charge = Some(Band::new(0.3, 0.45, 0.65));
        let lines = StandingAnswer::new(asked).unwrap().lines();
        assert!(
            lines[0].starts_with("at 30.0 mA it stands no day: it is already below no-start"),
            "{lines:?}"
        );
        assert!(!lines[0].contains("0.0 days"), "{lines:?}");
    }
}
