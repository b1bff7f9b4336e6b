//! `follow`: a second screen of a session that another program records, perhaps over SSH. It only
//! reads the file.

use std::path::Path;
use std::sync::mpsc::Receiver;
use std::time::Duration;

use anyhow::{Result, bail};

use crate::desk::{Event, LinkState, Message, Model};
use crate::reading::Elapsed;
use crate::session::{Entry, Fact};
use crate::shell::faces::stage::TakenTerminal;
use crate::shell::files::tail::Tail;
use crate::shell::outbox::{self, Outbox};
use crate::shell::stop::{self, Stop};
use crate::shell::wiring::Wiring;
use crate::shell::{Clock, Settings, recording, threads};

/// How often the file is looked at: an entry shows well within a third of a second after its write.
const LOOK_EVERY: Duration = Duration::from_millis(150);

pub(super) fn run(file: &Path, settings: &Settings) -> Result<()> {
    recording::expect_terminal("lullboard follow", "lullboard judge")?;
    let mut tail = Tail::open(file)?;
    let mut desk = recording::read_only(tail.header.clone(), file, true, settings);
    let (outbox, inbox) = outbox::channel(Clock::start(Elapsed::ZERO, 1.0));
    let mut stage = TakenTerminal::enter(settings, &outbox)?;
    let place = file.display().to_string();
    let Some(sealed) = catch_up(&mut desk, &mut tail, &mut stage, &place, &inbox, &outbox)? else {
        return Ok(());
    };
    // The time of a session goes on while it is recorded, and so it does after a crash. By the age
    // of the file and not by the wall clock in its header: a rehearsal runs faster than that.
    let idle_s = if sealed { 0.0 } else { tail.idle_s()? };
    outbox.clock.set(desk.session().last_t().plus_secs(idle_s));
    let (halt, halted) = stop::pair();
    let look = Look {
        tail,
        place: format!("{place}, read-only"),
        state: None,
        desk: outbox.clone(),
    };
    let looking = threads::spawn("follow", &outbox, move || look.on(sealed, &halted))?;
    let wiring = Wiring::reading(file.to_owned(), (outbox, inbox));
    let shown = stage.run(&mut desk, &wiring);
    drop(halt);
    // It told the desk itself, had it panicked.
    let _ = looking.join();
    shown?;
    Ok(())
}

/// Reads what is there already. Says whether it ends in a seal; `None` when the user had enough.
fn catch_up(
    desk: &mut Model,
    tail: &mut Tail,
    stage: &mut TakenTerminal,
    place: &str,
    inbox: &Receiver<Message>,
    outbox: &Outbox,
) -> Result<Option<bool>> {
    let total = tail.length()?;
    let mut patience = stage.patience(format!("reading {place}"), inbox);
    let mut sealed = false;
    let mut entries = Vec::new();
    while tail.more(&mut entries)? {
        for entry in entries.drain(..) {
            sealed = matches!(entry.fact, Fact::Seal(_));
            desk.recall(&entry);
        }
        if !patience.goes_on(tail.read, total)? {
            return Ok(None);
        }
    }
    desk.recalled();
    for message in patience.end() {
        outbox.desk.send(message)?;
    }
    Ok(Some(sealed))
}

/// What the looking thread keeps in mind.
struct Look {
    tail: Tail,
    place: String,
    state: Option<LinkState>,
    desk: Outbox,
}

impl Look {
    fn on(mut self, sealed: bool, halted: &Stop) {
        let first = if sealed {
            LinkState::Ended
        } else {
            LinkState::Receiving(self.place.clone())
        };
        self.turn(first);
        while !halted.wait(LOOK_EVERY) {
            if let Err(why) = self.look() {
                self.turn(LinkState::Lost(why.to_string()));
            }
        }
    }

    fn look(&mut self) -> Result<()> {
        let length = self.tail.length()?;
        if length < self.tail.read {
            bail!("the file is shorter than it was: follow it anew");
        }
        if length == self.tail.read {
            return Ok(());
        }
        let mut entries: Vec<Entry> = Vec::new();
        while self.tail.more(&mut entries)? {}
        let Some(last) = entries.last() else {
            return Ok(());
        };
        self.desk.clock.set(last.t);
        let ended = matches!(last.fact, Fact::Seal(_));
        self.turn(LinkState::Receiving(self.place.clone()));
        self.desk.say(Event::Appended(entries));
        if ended {
            self.turn(LinkState::Ended);
        }
        Ok(())
    }

    fn turn(&mut self, state: LinkState) {
        if self.state.as_ref() != Some(&state) {
            self.state = Some(state.clone());
            self.desk.say(Event::Link(state));
        }
    }
}
