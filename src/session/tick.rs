//! What is looked at before a car is locked: each a tick, kept as a note so that every session file
//! holds it as it holds what was done.

use super::{Did, Mark, Session};
use crate::reading::named;

/// How the note of a tick begins.
const BEFORE: &str = "before the lock: ";

/// One thing to look at, in the order of the work: the key goes last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Tick {
    /// A bad battery looks like a drain.
    Battery,
    /// What a charger puts in hides what the car draws.
    Charger,
    /// What hangs on a socket draws by itself.
    PlugIns,
    /// An open latch keeps the car awake.
    Latches,
    /// A key in reach does too.
    Key,
}

named!(Tick::word {
    Battery = "battery tested",
    Charger = "charger off",
    PlugIns = "plug-in devices off",
    Latches = "latches and bonnet switch closed",
    Key = "key out of range",
});

impl Tick {
    /// The words of its note.
    pub fn text(self) -> String {
        format!("{BEFORE}{self}")
    }

    /// The tick that a mark is.
    pub fn of(mark: &Mark) -> Option<Self> {
        let word = mark.text.strip_prefix(BEFORE)?;
        (mark.did == Did::Note).then(|| Self::spelled(word))?
    }

    /// Whether it was looked at; a battery test that stands on the card is one.
    pub fn is_done(self, session: &Session) -> bool {
        let on_card = self == Self::Battery && session.card().battery_test.is_some();
        on_card
            || session
                .marks()
                .any(|placed| Self::of(&placed.mark) == Some(self))
    }
}

/// What is to be looked at next; nothing once the car was locked, or was asleep from the start.
pub fn open(session: &Session) -> Option<Tick> {
    let too_late =
        session.done(Did::Lock).next().is_some() || session.card().asleep_at_start == Some(true);
    let mut ticks = Tick::ALL.into_iter().filter(|_| !too_late);
    ticks.find(|tick| !tick.is_done(session))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::Elapsed;
    use crate::session::mark::parse_mark;
    use crate::session::{Card, Entry, Fact, Header, MarkId};

    fn session(card: Card, marks: &[&str]) -> Session {
        let mut session = Session::new(Header {
            card,
            ..Header::default()
        });
        for (n, text) in (1u32..).zip(marks) {
            let fact = Fact::Mark(Box::new(parse_mark(MarkId(n), text).unwrap()));
            session.apply(&Entry {
                t: Elapsed::from_secs(f64::from(n)),
                fact,
            });
        }
        session
    }

    #[test]
    fn ticks_are_notes_asked_one_by_one_until_the_lock() {
        let open = |card: &Card, marks: &[&str]| open(&session(card.clone(), marks));
        let none = Card::default();
        assert_eq!(open(&none, &[]), Some(Tick::Battery));
        let tested = "note before the lock: battery tested";
        assert_eq!(open(&none, &[tested]), Some(Tick::Charger));
        assert_eq!(
            open(&none, &["note the battery is tested"]),
            Some(Tick::Battery)
        );
        assert_eq!(open(&none, &["lock"]), None);
        let all: Vec<String> = Tick::ALL
            .map(|tick| format!("note {}", tick.text()))
            .to_vec();
        let all: Vec<&str> = all.iter().map(String::as_str).collect();
        assert_eq!(open(&none, &all), None);
        let card = Card {
            battery_test: Some("good".into()),
            ..Card::default()
        };
        assert_eq!(open(&card, &[]), Some(Tick::Charger));
        let asleep = Card {
            asleep_at_start: Some(true),
            ..Card::default()
        };
        assert_eq!(open(&asleep, &[]), None);
    }
}
