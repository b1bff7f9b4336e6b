//! What the job's card holds and what is to be said of it: its fields in words, what waits to be
//! looked at, and the car's own time-out, which is offered and never taken by itself.

use super::{Ask, Model};
use crate::judge::limit::Origin;
use crate::judge::words;
use crate::reading::quantity::counted;
use crate::session::card::{Card, FIELDS};

/// Two time-outs that differ by less are one, in seconds: the screen shows no finer.
const SAME_TIMEOUT_S: f64 = 1.0;

impl Model {
    /// The time-out that this car itself showed, when it is not in force already, in seconds.
    pub fn offered_timeout_s(&self) -> Option<f64> {
        let in_force_s = self.judgement.timeout.value;
        self.judgement
            .learned_timeout_s
            .filter(|learned_s| (learned_s - in_force_s).abs() >= SAME_TIMEOUT_S)
    }

    /// What on the card's page is worth a look, in a few words; empty when nothing is.
    pub fn worth_a_look(&self) -> String {
        let judgement = &self.judgement;
        let mut said = Vec::new();
        if !judgement.contradictions.is_empty() {
            said.push(counted(judgement.contradictions.len(), "contradiction"));
        }
        if judgement.left_out > 0 {
            said.push(format!(
                "{} left out",
                counted(judgement.left_out, "reading")
            ));
        }
        let is_usual = judgement.timeout.from == Origin::Usual;
        if is_usual && self.offered_timeout_s().is_some() {
            said.extend(words::draw::own_timeout(judgement));
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

/// Every field of the card that somebody filled in: its name and what stands there. Limit and
/// time-out are told with where they come from, filled in or not.
pub fn fields(card: &Card) -> impl Iterator<Item = (&'static str, String)> {
    FIELDS
        .iter()
        .filter(|field| !["limit", "sleep_timeout"].contains(&field.key))
        .filter_map(|field| Some((field.label, field.show(card)?)))
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
            .map(|(name, text)| format!("{name}: {text}"))
            .collect();
        assert_eq!(
            said,
            [
                "battery: AGM, 70 Ah, 760 A (EN)",
                "rest voltage: 12.4 V after 4 h at 10 C",
                "meter accuracy: \u{b1} (1 % + 3 counts)",
                "clamp drift: 5 mA an hour",
                "at the start: awake",
            ]
        );
        assert_eq!(fields(&Card::default()).count(), 0);
    }
}
