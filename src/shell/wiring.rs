//! What the loop is joined to: the journal, the outside, and what it asks of them.

use std::io;
use std::path::{Path, PathBuf};
use std::sync::mpsc;

use crossbeam_channel::Sender;

use super::files::export;
use super::files::journal_writer::Order;
use super::machine::Watch;
use super::outbox::Outbox;
use super::outside::Outside;
use super::run::Face;
use super::{card_file, clock, one_line};
use crate::desk::occasion::Occasion;
use crate::desk::{Event, Message, Model};
use crate::reading::Elapsed;
use crate::report::json::event::{self, Happening};
use crate::session::{Entry, Fact, Mark, MeterEvent};

/// What the loop is joined to.
#[derive(Debug)]
pub struct Wiring {
    /// Everything that happens comes here.
    pub inbox: mpsc::Receiver<Message>,
    /// The other end of the same, with session time.
    pub outbox: Outbox,
    /// To the journal; `None` when nothing is recorded.
    pub facts: Option<Sender<Entry>>,
    /// What to do about its file.
    pub orders: Option<Sender<Order>>,
    /// Where the journal stands on disk: what an export reads.
    pub file: PathBuf,
    /// Marks that the journal holds, for a car that obeys them.
    pub marks: Option<Sender<(Elapsed, Mark)>>,
    /// What is run when something happens.
    pub outside: Option<Outside>,
    /// What keeps the machine awake.
    pub machine: Option<Watch>,
    /// Whether the end of the meter's record ends the session.
    pub ends_with_source: bool,
}

impl Wiring {
    /// Of a session in `file` that is only read.
    pub fn reading(file: PathBuf, (outbox, inbox): (Outbox, mpsc::Receiver<Message>)) -> Self {
        Self {
            inbox,
            outbox,
            facts: None,
            orders: None,
            file,
            marks: None,
            outside: None,
            machine: None,
            ends_with_source: false,
        }
    }

    /// Lets go of everything but what nobody has taken in.
    pub(super) fn let_go(self) -> mpsc::Receiver<Message> {
        self.inbox
    }

    pub(super) fn record(&self, entry: Entry) {
        let lost = match &self.facts {
            Some(facts) => facts.send(entry).err().map(|unsent| unsent.0),
            None => Some(entry),
        };
        if let Some(entry) = lost {
            let why = "nothing is being recorded: the journal has stopped";
            self.outbox.say(Event::Unsaved(vec![entry], why.into()));
        }
    }

    pub(super) fn pass_on_marks(&self, entries: &[Entry]) {
        let Some(marks) = &self.marks else { return };
        for entry in entries {
            if let Fact::Mark(mark) = &entry.fact {
                // The car may have been driven away: its record is over.
                let _ = marks.send((entry.t, Mark::clone(mark)));
            }
        }
    }

    pub(super) fn tell(&self, occasion: Occasion, file: &Path, desk: &Model) {
        let Some(outside) = &self.outside else { return };
        outside.tell(occasion, || {
            let happening = Happening {
                name: occasion.name(),
                t: desk.now(),
                at: clock::wall(),
                mark: occasion.mark(),
                session: file,
            };
            let told = event::event(&happening, desk.session(), desk.judgement());
            format!("{told}\n")
        });
    }

    pub(super) fn go_on(&self, to: PathBuf) {
        let unsent = match &self.orders {
            Some(orders) => orders.send(Order::GoOn(to)).is_err(),
            None => true,
        };
        if unsent {
            let why = "nothing is being recorded: the journal has stopped";
            self.outbox.say(Event::Moved(Err(why.into())));
        }
    }

    /// Has the journal take no more from the meters and tell all that came; whether it will answer.
    pub(super) fn take_last(&self) -> bool {
        let sent = self
            .orders
            .as_ref()
            .map(|orders| orders.send(Order::TakeLast));
        sent.is_some_and(|sent| sent.is_ok())
    }

    pub(super) fn export(&self, file: &Path, to: PathBuf, replace: bool) {
        if let Err(why) = export::spawn(file.to_owned(), to, replace, &self.outbox) {
            self.outbox.say(Event::Exported(Err(why.to_string())));
        }
    }

    /// A map is small and read at once.
    pub(super) fn read_map(&self, path: &Path) {
        let read = card_file::fuses(path).map_err(|why| one_line(&why));
        self.outbox.say(Event::MapRead(read));
    }

    /// While the program is stopped no reading comes in: the record says so.
    pub(super) fn suspend(&self, face: &mut dyn Face) -> io::Result<()> {
        let before = self.outbox.clock.now();
        face.suspend()?;
        self.note(MeterEvent::Gap {
            why: "the program was stopped".into(),
            for_s: self.outbox.clock.now().secs_since(before),
        });
        Ok(())
    }

    /// Keeps what happened to the evidence, when there is a record to keep it in.
    pub(super) fn note(&self, event: MeterEvent) {
        if self.facts.is_some() {
            let t = self.outbox.clock.now();
            let fact = Fact::Meter(event);
            self.record(Entry { t, fact });
        }
    }
}
