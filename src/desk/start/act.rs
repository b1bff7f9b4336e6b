//! What keys do on the start card.

use super::place::Hearing;
use super::{Asking, Beginning, Chosen, Row, Slot, Start};
use crate::desk::{Key, TextField};

impl Start {
    /// Takes one key.
    pub fn key(&mut self, key: Key) -> Chosen {
        self.reply = None;
        match self.asking.take() {
            Some(Asking::Text { slot, field, .. }) => self.type_on(slot, field, key),
            Some(Asking::Eyes { place }) => self.look(place, key),
            None => return self.choose(key),
        }
        Chosen::Stays
    }

    /// Takes pasted text, where text is asked for.
    pub fn paste(&mut self, pasted: &str) {
        if let Some(Asking::Text { field, .. }) = &mut self.asking {
            field.insert(pasted);
        }
    }

    fn choose(&mut self, key: Key) -> Chosen {
        match key {
            Key::Up | Key::BackTab | Key::Char('k') => self.step(true),
            Key::Down | Key::Tab | Key::Char('j') => self.step(false),
            Key::Home | Key::PageUp => self.at = self.rows().next().unwrap_or(Row::Begin),
            Key::End | Key::PageDown => self.at = Row::Begin,
            Key::Enter | Key::Char(' ') => return self.act(),
            Key::Backspace | Key::Delete => self.clear(),
            Key::Esc | Key::Char('q') | Key::Ctrl('c') => return Chosen::Quit,
            Key::Char(_) | Key::Ctrl(_) | Key::Left | Key::Right => {}
        }
        Chosen::Stays
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

    fn act(&mut self) -> Chosen {
        match self.at {
            Row::Meter(n) => self.choose_meter(n),
            Row::Other => {
                let field = TextField::new(self.other.as_deref().unwrap_or("serial:"));
                self.ask(Slot::Meter, field);
            }
            Row::Earlier(n) => {
                if let Some(earlier) = self.earlier.get(n) {
                    return Chosen::Review(earlier.path.clone());
                }
            }
            Row::Field(n) => {
                let asked = self.fields().nth(n);
                if let Some((field, text)) = asked.map(|(of, text)| (of, TextField::new(text))) {
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
        Chosen::Stays
    }

    fn ask(&mut self, slot: Slot, field: TextField) {
        let wrong = None;
        self.asking = Some(Asking::Text { slot, field, wrong });
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
                self.ask(Slot::Meter, TextField::new(&place.offer));
            }
        }
    }

    /// A chosen meter leads on to the card.
    fn take(&mut self, row: Row) {
        self.chosen = Some(row);
        self.at = Row::Field(0);
    }

    fn look(&mut self, place: usize, key: Key) {
        if matches!(key, Key::Char('y' | 'Y')) {
            self.take(Row::Meter(place));
        } else if matches!(key, Key::Char('n' | 'N')) {
            let offer = self.places.get(place).map(|place| place.offer.as_str());
            let field = TextField::new(offer.unwrap_or_default());
            self.reply = Some(
                "Then it is read in the wrong way: say by hand what it is, or set the meter to \
                 DC current"
                    .into(),
            );
            self.ask(Slot::Meter, field);
        } else if !matches!(key, Key::Esc | Key::Enter) {
            self.asking = Some(Asking::Eyes { place });
        }
    }

    fn type_on(&mut self, slot: Slot, mut field: TextField, key: Key) {
        if key == Key::Enter {
            self.commit(slot, field);
        } else if key != Key::Esc {
            field.key(key);
            self.ask(slot, field);
        }
    }

    fn commit(&mut self, slot: Slot, field: TextField) {
        let text = field.text();
        let text = text.trim();
        let checked = if text.is_empty() && slot != Slot::Meter {
            Ok(())
        } else {
            (self.check)(slot, text)
        };
        if let Err(wrong) = checked {
            self.asking = Some(Asking::Text {
                slot,
                field,
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
                let at = self.fields().position(|(one, _)| one == field);
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

    fn begin(&mut self) -> Chosen {
        let Some(uri) = self.uri() else {
            self.reply = Some("Choose a meter first: Enter on one of the first rows".into());
            self.at = self.rows().next().unwrap_or(Row::Other);
            return Chosen::Stays;
        };
        if let Some(n) = self.cautions.iter().position(|caution| !caution.confirmed) {
            self.reply = Some("Read the cautions and confirm each with Enter".into());
            self.at = Row::Caution(n);
            return Chosen::Stays;
        }
        let typed = self
            .fields()
            .filter(|(_, text)| !text.is_empty())
            .map(|(field, text)| (field, text.to_owned()))
            .collect();
        Chosen::Begin(Beginning { uri, typed })
    }

    fn uri(&self) -> Option<String> {
        match self.chosen? {
            Row::Meter(n) => self.places.get(n)?.uri().map(str::to_owned),
            Row::Other => self.other.clone(),
            Row::Earlier(_) | Row::Field(_) | Row::Caution(_) | Row::Begin => None,
        }
    }
}
