//! What the job's card holds and what is to be said of it: its fields in words, what waits to be
//! looked at, and the car's own time-out, which is offered and never taken by itself.

use super::{Ask, Effect, Model};
use crate::judge::limit::Origin;
use crate::judge::words;
use crate::reading::number::round_to_i64;
use crate::reading::quantity::counted;
use crate::session::card::{Card, FIELDS, Field};
use crate::session::caution;
use crate::session::tick::{self, Tick};
use crate::session::{Did, Fact};

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

    /// The rows of the card's page: limit and time-out, what is filled in, what follows from it, and
    /// what may be filled in yet.
    pub fn card_rows(&self) -> Vec<CardRow> {
        let card = self.session.card();
        let (judged, others): (Vec<_>, Vec<_>) = FIELDS.iter().partition(|field| is_judged(field));
        let mut rows: Vec<CardRow> = judged.iter().map(|field| self.judged_row(field)).collect();
        let (filled, empty): (Vec<_>, Vec<_>) = others
            .into_iter()
            .partition(|field| field.show(card).is_some());
        rows.extend(
            filled
                .into_iter()
                .filter_map(|field| Some(CardRow::of(field, field.show(card)?))),
        );
        rows.extend(self.follows());
        let silent = |field: &&'static Field| {
            let silent = field.silent.unwrap_or("not said");
            CardRow::of(field, format!("({silent})"))
        };
        rows.extend(
            empty
                .iter()
                .map(silent)
                .map(|row| CardRow { empty: true, ..row }),
        );
        rows
    }

    /// The figure in force, where it comes from, and what else it might be.
    fn judged_row(&self, field: &'static Field) -> CardRow {
        let judgement = &self.judgement;
        let (in_force, beside) = if field.key == "limit" {
            let others = words::draw::other_limits(judgement);
            (words::draw::limit(judgement.limit), others)
        } else {
            let learned = words::draw::learned(judgement);
            (words::draw::timeout(judgement.timeout), learned)
        };
        let mut row = CardRow::of(field, in_force);
        row.said.extend(beside);
        row
    }

    /// What follows from the card and the record, and does not fit together.
    fn follows(&self) -> Vec<CardRow> {
        let judgement = &self.judgement;
        let standing = judgement.standing.as_ref().map(words::draw::stands);
        let complaint = judgement.complaint.as_ref().map(words::draw::complaint);
        let by_eye = self.manual.then(|| words::by_eye::HOW_SURE.to_owned());
        let named = [
            ("standing", standing),
            ("complaint says", complaint),
            ("readings", by_eye),
            ("", words::left_out(judgement)),
        ];
        let contradictions = judgement.contradictions.iter();
        let contradictions = contradictions.map(|found| ("does not fit", Some(found.why())));
        let cautions = caution::of_job(&self.session).into_iter();
        let cautions = cautions.map(|caution| ("CAUTION", Some(caution.line())));
        let said = named.into_iter().chain(contradictions).chain(cautions);
        said.filter_map(|(name, said)| {
            Some(CardRow {
                field: None,
                name,
                said: vec![said?],
                empty: false,
            })
        })
        .collect()
    }

    /// What a note is offered for while hints lead on: what is to be looked at before the lock.
    pub(super) fn open_tick(&self, did: Did) -> Option<String> {
        let leads = did == Did::Note && self.options.hint.is_some() && self.view.hints;
        leads.then(|| tick::open(&self.session))?.map(Tick::text)
    }

    /// Asks what is to stand in the selected row of the card.
    pub(super) fn ask_field(&mut self) {
        let row = self.card_rows().into_iter().nth(self.view.row);
        let Some((field, row)) = row.and_then(|row| Some((row.field?, row))) else {
            return self.reply("That follows from the rest: change a field, and it changes.");
        };
        if self.may_record() {
            let own = self
                .offered_timeout_s()
                .filter(|_| field.key == "sleep_timeout");
            let offer = own.map(|own_s| format!("{}m", round_to_i64(own_s / 60.0)));
            let now = if row.empty {
                String::new()
            } else {
                row.said.join("; ")
            };
            self.ask(Ask::Field { field, now }, offer);
        }
    }

    /// Sets this on the card, unless two fields would say different things then.
    pub(super) fn set(&mut self, change: Card, effects: &mut Vec<Effect>) {
        let mut whole = self.session.card().clone();
        whole.merge(&change);
        if let Some((one, other)) = whole.clash() {
            return self.reply(format!(
                "The card has {} already, and {} would say the same anew: one of them only.",
                other.label, one.label
            ));
        }
        let is_of_link = |field: &&Field| FIXED.contains(&field.key);
        if FIELDS
            .iter()
            .filter(is_of_link)
            .any(|field| field.show(&change).is_some())
        {
            self.reply(
                "On the card; readings go by it once the session is opened with its meter again.",
            );
        }
        self.record(Fact::Set(Box::new(change)), effects);
    }
}

/// What the connection to the meter was begun with.
const FIXED: [&str; 3] = ["clamp", "shunt", "turns"];

/// Whether the figure in force is told with where it comes from, filled in or not.
fn is_judged(field: &Field) -> bool {
    ["limit", "sleep_timeout"].contains(&field.key)
}

/// A row of the card's page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CardRow {
    /// The field that Enter changes; `None` for what follows from the rest.
    pub field: Option<&'static Field>,
    /// Its name.
    pub name: &'static str,
    /// What stands there, a paragraph each.
    pub said: Vec<String>,
    /// Whether nobody filled it in.
    pub empty: bool,
}

impl CardRow {
    fn of(field: &'static Field, said: String) -> Self {
        Self {
            field: Some(field),
            name: field.label,
            said: vec![said],
            empty: false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::message::{Event, Key, Message};
    use crate::desk::{Options, Panel};
    use crate::journal::header;
    use crate::reading::Elapsed;

    fn desk(card: Card) -> Model {
        let mut header = header::unknown();
        header.card = card;
        Model::new(header, Options::default())
    }

    fn rows(desk: &Model) -> Vec<String> {
        let rows = desk.card_rows().into_iter();
        rows.map(|row| format!("{}: {}", row.name, row.said.join("; ")))
            .collect()
    }

    /// Changes a field as a technician does: its row, Enter, the text, Enter.
    fn change(desk: &mut Model, key: &str, text: &str) -> Vec<Effect> {
        let t = Elapsed::from_secs(1.0);
        let at = desk
            .card_rows()
            .iter()
            .position(|row| row.field.is_some_and(|field| field.key == key));
        desk.view.panel = Some(Panel::Card);
        desk.view.row = at.unwrap();
        let typed = text.chars().map(Key::Char);
        let keys = [Key::Enter].into_iter().chain(typed).chain([Key::Enter]);
        let mut all = Vec::new();
        for key in keys {
            let event = Event::Key(key);
            all.extend(desk.update(Message { t, event }));
        }
        for effect in &all {
            if let Effect::Record(entry) = effect {
                let event = Event::Appended(vec![entry.clone()]);
                let _ = desk.update(Message { t, event });
            }
        }
        all
    }

    #[test]
    fn every_field_has_its_row_and_what_is_filled_in_stands_first() {
        let desk = desk(Card {
            battery: Some("agm,70Ah,760A-EN".parse().unwrap()),
            drift_a_per_h: Some(0.005),
            asleep_at_start: Some(false),
            ..Card::default()
        });
        let rows = rows(&desk);
        assert_eq!(
            rows.get(..5).unwrap(),
            [
                "limit: 50 mA (usual figure)",
                "sleep time-out: 45 min (usual figure)",
                "battery: AGM, 70 Ah, 760 A (EN)",
                "clamp drift: 5 mA an hour",
                "at the start: awake",
            ]
        );
        let cautions = rows
            .iter()
            .filter(|row| row.starts_with("CAUTION: a battery with a sensor"));
        assert_eq!(cautions.count(), 1, "an AGM battery brings one");
        assert_eq!(rows.len(), FIELDS.len() + 1);
    }

    #[test]
    fn every_field_is_changed_in_the_session() {
        let mut desk = desk(Card::default());
        for (key, text) in [
            ("car", "job 7"),
            ("complaint", "flat on Monday"),
            ("flat_after", "12h"),
            ("standing", "21d"),
            ("limit", "30mA"),
            ("sleep_timeout", "30m"),
            ("accuracy", "1.0%+3"),
            ("clamp", "100mV/A"),
            ("turns", "5"),
            ("probe_accuracy", "1%"),
            ("drift", "5mA/h"),
            ("battery", "AGM 70Ah"),
            ("rest", "12.4V"),
            ("meter", "bench meter"),
            ("key_count", "2"),
            ("technician", "bay 3"),
            ("plate", "AB 12"),
            ("odometer", "84120 km"),
            ("battery_test", "good"),
            ("powertrain", "hybrid"),
            ("second_battery", "in the boot"),
            ("workshop", "the yard"),
            ("customer", "the owner"),
            ("vin", "as it stands"),
            ("work", "switch fitted"),
            ("hours", "1.5 h"),
            ("notes", "tow bar"),
            ("asleep_at_start", "true"),
        ] {
            let _ = change(&mut desk, key, text);
            let field = FIELDS.iter().find(|field| field.key == key).unwrap();
            let shown = field.show(desk.session().card());
            assert_eq!(shown, field.show(&field.read(text).unwrap()), "{key}");
            assert!(shown.is_some(), "{key}");
        }
        // Beside a clamp there is no shunt.
        let _ = change(&mut desk, "shunt", "0.75mohm");
        assert_eq!(desk.session().card().shunt_mohm, None);
        assert!(desk.notices.reply.as_deref().unwrap().contains("shunt"));
        // A map is a file, which the shell reads.
        let effects = change(&mut desk, "fuses", "map.csv");
        assert!(
            effects.contains(&Effect::ReadMap("map.csv".into())),
            "{effects:?}"
        );
        let fuses = crate::fuse::map::read(b"box,position,rating_a,style,feeds\nE,3,10,mini,\n");
        let event = Event::MapRead(Ok(fuses.unwrap()));
        let effects = desk.update(Message {
            t: Elapsed::from_secs(2.0),
            event,
        });
        assert!(
            matches!(effects.first(), Some(Effect::Record(_))),
            "{effects:?}"
        );
    }

    #[test]
    fn enter_alone_leaves_a_field_as_it_is() {
        let mut desk = desk(Card {
            car: Some("job 7".into()),
            ..Card::default()
        });
        let effects = change(&mut desk, "car", "");
        assert!(
            !effects
                .iter()
                .any(|effect| matches!(effect, Effect::Record(_)))
        );
        assert!(desk.prompt().is_none());
        assert_eq!(desk.session().card().car.as_deref(), Some("job 7"));
    }
}
