//! What keys do on the start card.

use super::field::FIELDS;
use super::place::Hearing;
use super::{Asking, Beginning, Outcome, Row, Slot, Start};
use crate::desk::message::Key;

/// Longer texts than this are no answer to anything here.
const MAX_CHARS: usize = 200;

impl Start {
    /// Takes one key.
    #[must_use]
    pub fn key(&mut self, key: Key) -> Outcome {
        self.reply = None;
        match self.asking.take() {
            Some(Asking::Text { slot, text, .. }) => self.type_on(slot, text, key),
            Some(Asking::Eyes { place }) => self.look(place, key),
            None => return self.choose(key),
        }
        Outcome::Stays
    }

    /// Takes pasted text, where text is asked for.
    pub fn paste(&mut self, pasted: &str) {
        if let Some(Asking::Text { text, .. }) = &mut self.asking {
            text.extend(pasted.chars().filter(|c| !c.is_control()));
            *text = text.chars().take(MAX_CHARS).collect();
        }
    }

    fn choose(&mut self, key: Key) -> Outcome {
        match key {
            Key::Up | Key::BackTab | Key::Char('k') => self.step(true),
            Key::Down | Key::Tab | Key::Char('j') => self.step(false),
            Key::Home | Key::PageUp => self.at = self.rows().next().unwrap_or(Row::Begin),
            Key::End | Key::PageDown => self.at = Row::Begin,
            Key::Enter | Key::Char(' ') => return self.act(),
            Key::Backspace | Key::Delete => self.clear(),
            Key::Esc | Key::Char('q') | Key::Ctrl('c') => return Outcome::Quit,
            Key::Char(_) | Key::Ctrl(_) | Key::Left | Key::Right => {}
        }
        Outcome::Stays
    }

    fn step(&mut self, back: bool) {
        let rows: Vec<Row> = self.rows().collect();
        let here = rows.iter().position(|row| *row == self.at).unwrap_or(0);
        let there = if back {
            here.checked_sub(1)
        } else {
            here.checked_add(1)
        };
        if let Some(row) = there.and_then(|there| rows.get(there)) {
            self.at = *row;
        }
    }

    fn act(&mut self) -> Outcome {
        match self.at {
            Row::Meter(n) => self.choose_meter(n),
            Row::Other => {
                let text = self.other.clone().unwrap_or_else(|| "serial:".into());
                self.ask(Slot::Meter, text);
            }
            Row::Earlier(n) => {
                if let Some(earlier) = self.earlier.get(n) {
                    return Outcome::Review(earlier.path.clone());
                }
            }
            Row::Field(n) => {
                if let Some((field, text)) = FIELDS.get(n).zip(self.typed.get(n).cloned()) {
                    self.ask(Slot::Field(field), text);
                }
            }
            Row::Caution(n) => {
                if let Some(caution) = self.cautions.get_mut(n) {
                    caution.confirmed = !caution.confirmed;
                    if caution.confirmed {
                        self.step(false);
                    }
                }
            }
            Row::Begin => return self.begin(),
        }
        Outcome::Stays
    }

    fn ask(&mut self, slot: Slot, text: String) {
        let wrong = None;
        self.asking = Some(Asking::Text { slot, text, wrong });
    }

    fn choose_meter(&mut self, n: usize) {
        let Some(place) = self.places.get(n) else {
            return;
        };
        match &place.hearing {
            Hearing::Heard { .. } => self.asking = Some(Asking::Eyes { place: n }),
            Hearing::Ready { .. } => self.take(Row::Meter(n)),
            // Nothing was understood there: what speaks has to be said by hand.
            Hearing::Listening(_) | Hearing::Unclear { .. } => {
                self.ask(Slot::Meter, place.offer.clone());
            }
        }
    }

    /// A chosen meter leads on to the card.
    fn take(&mut self, row: Row) {
        self.chosen = Some(row);
        self.at = Row::Field(0);
    }

    fn look(&mut self, place: usize, key: Key) {
        match key {
            Key::Char('y' | 'Y') => self.take(Row::Meter(place)),
            Key::Char('n' | 'N') => {
                let offer = self.places.get(place).map(|place| place.offer.clone());
                self.reply = Some(
                    "Then it is read in the wrong way: say by hand what it is, or set the meter \
                     to DC current"
                        .into(),
                );
                self.ask(Slot::Meter, offer.unwrap_or_default());
            }
            Key::Esc => {}
            Key::Char(_)
            | Key::Ctrl(_)
            | Key::Enter
            | Key::Backspace
            | Key::Delete
            | Key::Tab
            | Key::BackTab
            | Key::Left
            | Key::Right
            | Key::Up
            | Key::Down
            | Key::PageUp
            | Key::PageDown
            | Key::Home
            | Key::End => self.asking = Some(Asking::Eyes { place }),
        }
    }

    fn type_on(&mut self, slot: Slot, mut text: String, key: Key) {
        if key == Key::Esc {
            return;
        }
        if key == Key::Enter {
            return self.commit(slot, text.trim());
        }
        if key == Key::Backspace {
            text.pop();
        } else if key == Key::Ctrl('u') {
            text.clear();
        } else if let Key::Char(c) = key
            && !c.is_control()
            && text.chars().count() < MAX_CHARS
        {
            text.push(c);
        }
        self.ask(slot, text);
    }

    fn commit(&mut self, slot: Slot, text: &str) {
        let checked = if text.is_empty() && slot != Slot::Meter {
            Ok(())
        } else {
            (self.check)(slot, text)
        };
        if let Err(wrong) = checked {
            self.asking = Some(Asking::Text {
                slot,
                text: text.to_owned(),
                wrong: Some(wrong),
            });
            return;
        }
        match slot {
            Slot::Meter => {
                self.other = Some(text.to_owned());
                self.take(Row::Other);
            }
            Slot::Field(field) => {
                let at = FIELDS.iter().position(|one| one.key == field.key);
                if let Some(typed) = at.and_then(|at| self.typed.get_mut(at)) {
                    text.clone_into(typed);
                }
                self.step(false);
            }
        }
    }

    /// Takes back what stands in the row.
    fn clear(&mut self) {
        match self.at {
            Row::Field(n) => {
                if let Some(typed) = self.typed.get_mut(n) {
                    typed.clear();
                }
            }
            Row::Meter(_) | Row::Other => {
                if self.chosen == Some(self.at) {
                    self.chosen = None;
                }
            }
            Row::Earlier(_) | Row::Caution(_) | Row::Begin => {}
        }
    }

    fn begin(&mut self) -> Outcome {
        let Some(uri) = self.uri() else {
            self.reply = Some("Choose a meter first: Enter on one of the first rows".into());
            self.at = self.rows().next().unwrap_or(Row::Other);
            return Outcome::Stays;
        };
        if let Some(n) = self.cautions.iter().position(|caution| !caution.confirmed) {
            self.reply = Some("Read the cautions and confirm each with Enter".into());
            self.at = Row::Caution(n);
            return Outcome::Stays;
        }
        let typed = self
            .fields()
            .filter(|(_, text)| !text.is_empty())
            .map(|(field, text)| (field, text.to_owned()))
            .collect();
        Outcome::Begin(Beginning { uri, typed })
    }

    fn uri(&self) -> Option<String> {
        match self.chosen? {
            Row::Meter(n) => self.places.get(n)?.uri().map(str::to_owned),
            Row::Other => self.other.clone(),
            Row::Earlier(_) | Row::Field(_) | Row::Caution(_) | Row::Begin => None,
        }
    }
}
