//! The start card: what is chosen before a session begins. Keys in, an outcome out; what a text
//! has to look like is asked of whoever reads it later, so that nothing is checked in two ways.

mod act;
pub mod place;

use std::path::PathBuf;

use super::text_field::TextField;
use crate::session::card::{FIELDS, Field};
use place::{Hearing, Place};

/// Says what is wrong with the text of a field, or of a meter's URI.
pub type Check = Box<dyn Fn(Slot, &str) -> Result<(), String>>;

/// What a typed text is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Slot {
    /// The URI of a meter that is not in the list.
    Meter,
    /// A field of the card.
    Field(&'static Field),
}

/// A session that was recorded earlier.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Earlier {
    /// Its file.
    pub path: PathBuf,
    /// Its name and age, in words.
    pub words: String,
}

/// Cautions of one kind, to be read and confirmed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToConfirm {
    /// What they are about.
    pub about: &'static str,
    /// The cautions.
    pub said: Vec<String>,
    /// Whether they have been confirmed.
    pub confirmed: bool,
}

/// A row that the cursor can stand on, in the order of the screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Row {
    /// A place where a meter may be.
    Meter(usize),
    /// A meter whose URI is typed.
    Other,
    /// A session of earlier.
    Earlier(usize),
    /// A field of the card.
    Field(usize),
    /// A caution to confirm.
    Caution(usize),
    /// Begin to record.
    Begin,
}

/// What is being asked over the card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Asking {
    /// A text.
    Text {
        /// What for.
        slot: Slot,
        /// What is typed so far.
        field: TextField,
        /// Why it could not be taken.
        wrong: Option<String>,
    },
    /// Whether the meter shows what was read, by the eyes of the technician.
    Eyes {
        /// Which place.
        place: usize,
    },
}

/// What is to be done after a key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Chosen {
    /// Nothing: the card stays.
    Stays,
    /// Begin a session.
    Begin(Beginning),
    /// Show this session.
    Review(PathBuf),
    /// End the program.
    Quit,
}

/// A session to begin.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Beginning {
    /// The meter.
    pub uri: String,
    /// What was typed, field by field; silent fields are left out.
    pub typed: Vec<(&'static Field, String)>,
}

/// The start card as it stands.
pub struct Start {
    /// Where a meter may be.
    pub places: Vec<Place>,
    /// The URI that was typed.
    pub other: Option<String>,
    /// Sessions of earlier.
    pub earlier: Vec<Earlier>,
    typed: Vec<String>,
    /// The cautions.
    pub cautions: Vec<ToConfirm>,
    /// The meter that is chosen.
    pub chosen: Option<Row>,
    /// Where the cursor stands.
    pub at: Row,
    /// The open question.
    pub asking: Option<Asking>,
    /// The answer to the last key.
    pub reply: Option<String>,
    check: Check,
}

/// The fields that the start card asks for.
fn asked() -> impl Iterator<Item = &'static Field> {
    FIELDS.iter().filter(|field| field.silent.is_some())
}

impl Start {
    /// A card on which nothing is chosen yet.
    pub fn new(
        places: Vec<Place>,
        earlier: Vec<Earlier>,
        cautions: Vec<ToConfirm>,
        check: Check,
    ) -> Self {
        let at = if places.is_empty() {
            Row::Other
        } else {
            Row::Meter(0)
        };
        Self {
            places,
            other: None,
            earlier,
            typed: asked().map(|_| String::new()).collect(),
            cautions,
            chosen: None,
            at,
            asking: None,
            reply: None,
            check,
        }
    }

    /// The fields with what was typed into them.
    pub fn fields(&self) -> impl Iterator<Item = (&'static Field, &str)> {
        asked().zip(self.typed.iter().map(String::as_str))
    }

    /// Every row, from the top.
    pub fn rows(&self) -> impl Iterator<Item = Row> + use<> {
        let meters = (0..self.places.len()).map(Row::Meter);
        let earlier = (0..self.earlier.len()).map(Row::Earlier);
        let fields = (0..self.typed.len()).map(Row::Field);
        let cautions = (0..self.cautions.len()).map(Row::Caution);
        meters
            .chain([Row::Other])
            .chain(earlier)
            .chain(fields)
            .chain(cautions)
            .chain([Row::Begin])
    }

    /// What was chosen could not be used.
    pub fn refuse(&mut self, why: String) {
        self.reply = Some(why);
    }

    /// Something was heard at a place, or listening there went on.
    pub fn heard(&mut self, place: usize, hearing: Hearing) {
        if let Some(place) = self.places.get_mut(place) {
            place.hearing = hearing;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::message::Key;

    fn start() -> Start {
        let heard = Hearing::Heard {
            shown: "-12.34 mA".into(),
            uri: "serial:/dev/ttyUSB0?baud=2400&format=lcd14".into(),
        };
        let places = vec![
            Place {
                name: "/dev/ttyUSB0".into(),
                offer: "serial:/dev/ttyUSB0".into(),
                hearing: heard,
            },
            Place::ready("read by eye", "manual:"),
        ];
        let check: Check = Box::new(|slot, text| match slot {
            Slot::Meter if !text.contains(':') => Err("expected KIND:PLACE".into()),
            Slot::Field(field) if field.key == "limit" && !text.ends_with("mA") => {
                Err("expected a current, as in 50mA".into())
            }
            Slot::Meter | Slot::Field(_) => Ok(()),
        });
        Start::new(
            places,
            Vec::new(),
            vec![ToConfirm {
                about: "cranking",
                said: vec!["never crank".into()],
                confirmed: false,
            }],
            check,
        )
    }

    fn press(start: &mut Start, keys: &str) {
        for c in keys.chars() {
            let key = if c == '\n' { Key::Enter } else { Key::Char(c) };
            assert_eq!(start.key(key), Chosen::Stays, "{c:?}");
        }
    }

    fn go_to(start: &mut Start, wanted: Row) {
        let _ = start.key(Key::Home);
        while start.at != wanted {
            let before = start.at;
            let _ = start.key(Key::Down);
            assert_ne!(start.at, before, "{wanted:?} is no row");
        }
    }

    #[test]
    fn what_was_read_is_confirmed_by_eye_before_it_is_believed() {
        let mut start = start();
        press(&mut start, "\n");
        assert_eq!(start.asking.as_ref(), Some(&Asking::Eyes { place: 0 }));
        press(&mut start, "x");
        assert_eq!(start.chosen, None);
        press(&mut start, "y");
        assert_eq!(start.chosen, Some(Row::Meter(0)));
    }

    #[test]
    fn a_meter_that_shows_something_else_is_said_by_hand() {
        let mut start = start();
        press(&mut start, "\nn");
        assert!(matches!(
            start.asking.as_ref(),
            Some(Asking::Text { slot: Slot::Meter, field, .. })
                if field.text() == "serial:/dev/ttyUSB0"
        ));
        press(&mut start, "?format=es11\n");
        assert_eq!(start.chosen, Some(Row::Other));
        assert_eq!(
            start.other.as_deref(),
            Some("serial:/dev/ttyUSB0?format=es11")
        );
    }

    #[test]
    fn nothing_begins_without_a_meter_and_confirmed_cautions() {
        let mut start = start();
        let _ = start.key(Key::End);
        press(&mut start, "\n");
        assert!(start.reply.as_deref().unwrap().contains("meter"));
        go_to(&mut start, Row::Meter(1));
        press(&mut start, "\n");
        let _ = start.key(Key::End);
        press(&mut start, "\n");
        assert_eq!(start.at, Row::Caution(0));
        press(&mut start, "\n");
        assert_eq!(start.at, Row::Begin);
        let outcome = start.key(Key::Enter);
        let Chosen::Begin(beginning) = outcome else {
            panic!("{outcome:?}")
        };
        assert_eq!(
            (beginning.uri.as_str(), beginning.typed.len()),
            ("manual:", 0)
        );
    }

    #[test]
    fn a_field_is_checked_where_it_is_typed_and_may_stay_empty() {
        let mut start = start();
        let limit = asked().position(|field| field.key == "limit").unwrap();
        go_to(&mut start, Row::Field(limit));
        press(&mut start, "\n50\n");
        assert!(matches!(
            start.asking.as_ref(),
            Some(Asking::Text { wrong: Some(wrong), .. }) if wrong.contains("50mA")
        ));
        press(&mut start, "mA\n");
        assert_eq!(start.fields().nth(limit).unwrap().1, "50mA");
        assert_eq!(start.at, Row::Field(limit + 1), "on to the next");
        go_to(&mut start, Row::Field(limit));
        let _ = start.key(Key::Backspace);
        assert_eq!(start.fields().nth(limit).unwrap().1, "");
    }

    #[test]
    fn a_session_of_earlier_is_one_key_away() {
        let mut start = start();
        start.earlier.push(Earlier {
            path: "night.lull".into(),
            words: "night.lull".into(),
        });
        go_to(&mut start, Row::Earlier(0));
        assert_eq!(start.key(Key::Enter), Chosen::Review("night.lull".into()));
    }
}
