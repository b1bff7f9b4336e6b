//! The ways out of the link: entries to the scribe, everything else to the desk.

use std::time::Duration;

use crossbeam_channel::{SendTimeoutError, Sender};

use super::stop::Stop;
use super::watch::Told;
use crate::desk::message::{Event, LinkState, Message};
use crate::reading::Elapsed;
use crate::session::entry::Entry;
use crate::shell::clock::Clock;

/// How often the stop flag is looked at while the scribe is behind.
const SCRIBE_PATIENCE: Duration = Duration::from_millis(100);

/// The link is to end: it was asked to, or the scribe or the desk is gone.
pub(super) struct Quit;

/// The ways out of the link.
pub(super) struct Outlet {
    pub(super) clock: Clock,
    pub(super) scribe: Sender<Entry>,
    pub(super) desk: Sender<Message>,
    pub(super) stop: Stop,
}

impl Outlet {
    /// A clock as fast as life, whatever the session's: a meter answers no sooner in a rehearsal.
    pub(super) fn life(&self) -> Elapsed {
        Elapsed::from_secs(self.clock.now().secs() / self.clock.speed())
    }

    pub(super) fn entry(&self, mut entry: Entry) -> Result<(), Quit> {
        loop {
            match self.scribe.send_timeout(entry, SCRIBE_PATIENCE) {
                Ok(()) => return Ok(()),
                Err(SendTimeoutError::Disconnected(_)) => return Err(Quit),
                Err(SendTimeoutError::Timeout(_)) if self.stop.is_set() => return Err(Quit),
                Err(SendTimeoutError::Timeout(unsent)) => entry = unsent,
            }
        }
    }

    pub(super) fn state(&self, state: LinkState) -> Result<(), Quit> {
        self.event(Event::Link(state))
    }

    fn event(&self, event: Event) -> Result<(), Quit> {
        let t = self.clock.now();
        self.desk.send(Message { t, event }).map_err(|_| Quit)
    }

    pub(super) fn all(&self, told: impl IntoIterator<Item = Told>) -> Result<(), Quit> {
        told.into_iter().try_for_each(|told| match told {
            Told::Entry(entry) => self.entry(entry),
            Told::State(state) => self.state(state),
            Told::NotUnderstood(count) => self.event(Event::NotUnderstood(count)),
        })
    }
}
