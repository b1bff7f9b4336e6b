//! What the board has to say besides numbers: banners that stay until the cause is gone, cautions
//! that stay until read, and the answer to the last key.

use std::collections::VecDeque;

use crate::judge::words;
use crate::reading::Elapsed;
use crate::session::caution::{self, Caution, When};
use crate::session::{Card, Entry, Fact, MeterEvent};

/// A caution, or a question about the meter, that stays until it is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Said {
    /// What to do, or leave.
    pub text: &'static str,
    /// What goes before it; nothing with a question.
    pub deferral: Option<&'static str>,
}

impl From<&Caution> for Said {
    fn from(caution: &Caution) -> Self {
        Self {
            text: caution.text,
            deferral: Some(caution.deferral),
        }
    }
}

/// Entries that the journal could not write.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unsaved {
    /// Since when.
    pub since: Elapsed,
    /// How many.
    pub count: usize,
    /// How many of them are marks.
    pub marks: usize,
    /// Why.
    pub why: String,
    /// Whether the file is no longer where it was: another one can take its place at once.
    pub is_astray: bool,
}

impl Unsaved {
    /// What is in memory alone: `584 entries, 1 mark among them`.
    pub fn in_words(&self) -> String {
        let entries = match self.count {
            1 => "1 entry".to_owned(),
            n => format!("{n} entries"),
        };
        match self.marks {
            0 => entries,
            1 => format!("{entries}, 1 mark among them"),
            n => format!("{entries}, {n} marks among them"),
        }
    }

    /// What quitting now does to it; nothing is lost where only the file is: its place is taken.
    pub fn at_quit(&self) -> Option<String> {
        if self.is_astray {
            return Some("What was recorded is written to a new file.".into());
        }
        (self.count > 0).then(|| {
            let lost = self.in_words();
            format!("Not on disk, and lost then: {lost}. Esc and G save them elsewhere.")
        })
    }
}

/// A worker that stopped.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Dead {
    /// When it was noticed.
    pub at: Elapsed,
    /// Which.
    pub name: String,
    /// Its last words.
    pub why: String,
}

/// All that is to be said.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Notices {
    /// What is not on disk.
    pub unsaved: Option<Unsaved>,
    /// What has stopped.
    pub dead: Vec<Dead>,
    /// The cautions that nobody has read yet; the first is on screen.
    pub unread: VecDeque<Said>,
    /// The answer to the last key.
    pub reply: Option<String>,
    /// All that was told once, in order.
    pub told: Vec<String>,
    /// Whether the caution about unlocking was shown already.
    pub unlock_told: bool,
    /// Whether the one about the meter's other jack was.
    pub jack_told: bool,
}

impl Notices {
    /// What is said when the work begins: how to connect, what never to do through a meter, and
    /// what the card itself calls for. The rest stands on the page of cautions.
    pub fn at_start(card: &Card, by_eye: bool) -> Self {
        let first = [When::Connect, When::Unlock].map(|when| caution::at(when).next());
        // What is to be known of a new battery can wait until there is one.
        let of_card = caution::of_card(card).into_iter();
        let of_card = of_card.filter(|caution| caution.when != When::BatterySwap);
        let said = first.into_iter().flatten().chain(of_card);
        let sure = by_eye.then_some(Said {
            text: words::by_eye::HOW_SURE,
            deferral: None,
        });
        Self {
            unread: said.map(Said::from).chain(sure).collect(),
            ..Self::default()
        }
    }

    /// Shows the caution about unlocking, the first time only.
    pub fn before_unlock(&mut self) {
        if !self.unlock_told {
            self.unlock_told = true;
            self.unread = caution::at(When::Unlock).map(Said::from).collect();
        }
    }

    /// Shows what to know about the meter's jacks, the first time that the verdict advises another.
    pub fn before_jack(&mut self) {
        if !self.jack_told {
            self.jack_told = true;
            let said = caution::at(When::MeterJack).map(Said::from);
            self.unread.extend(said);
        }
    }

    /// Asks about the meter what is asked once; a caution that is still unread goes first.
    pub fn doubt(&mut self, fact: &Fact) {
        if let Fact::Meter(MeterEvent::Doubt { doubt, on: true }) = fact
            && doubt.is_asked_once()
        {
            let said = Said {
                text: doubt.question(),
                deferral: None,
            };
            if !self.unread.contains(&said) {
                self.unread.push_back(said);
            }
        }
    }

    /// Says this once: until the next key on the board, as a line where there are no keys.
    pub fn tell(&mut self, said: String) {
        self.reply = Some(said.clone());
        self.told.push(said);
    }

    /// Counts entries that could not be written.
    pub fn unsaved(&mut self, at: Elapsed, entries: &[Entry], why: String) {
        let unsaved = self.unsaved.get_or_insert(Unsaved {
            since: at,
            count: 0,
            marks: 0,
            why: String::new(),
            is_astray: false,
        });
        let marks = entries
            .iter()
            .filter(|entry| matches!(entry.fact, Fact::Mark(_)));
        unsaved.count = unsaved.count.saturating_add(entries.len());
        unsaved.marks = unsaved.marks.saturating_add(marks.count());
        unsaved.why = why;
    }
}
