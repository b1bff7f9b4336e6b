//! The ways out of the link: entries to the journal writer, everything else to the desk.

use std::time::Duration;

use crossbeam_channel::{SendTimeoutError, Sender};

use super::link_watch::News;
use super::measures::Measures;
use crate::desk::{Event, LinkState};
use crate::reading::Elapsed;
use crate::session::Entry;
use crate::shell::{Outbox, Stop};

/// How often the stop flag is looked at while the journal writer is behind.
const WRITER_PATIENCE: Duration = Duration::from_millis(100);

/// The link is to end: it was asked to, or the journal writer or the desk is gone.
pub(super) struct Quit;

/// The ways out of the link.
pub struct Outlet {
    /// Where entries go; bounded, so that a slow disk holds the link up and not the memory.
    pub readings: Sender<Entry>,
    /// Where the connection's state goes; its clock stamps the readings.
    pub desk: Outbox,
    /// When to end.
    pub stop: Stop,
    /// Which of the two meters this is.
    pub measures: Measures,
}

impl Outlet {
    /// The present moment of the session.
    pub(super) fn now(&self) -> Elapsed {
        self.desk.clock.now()
    }

    /// This moment on a clock as fast as life, whatever the session's: a meter answers no sooner in a
    /// rehearsal.
    pub(super) fn in_life(&self, now: Elapsed) -> Elapsed {
        Elapsed::from_secs(now.secs() / self.desk.clock.speed())
    }

    pub(super) fn entry(&self, mut entry: Entry) -> Result<(), Quit> {
        loop {
            match self.readings.send_timeout(entry, WRITER_PATIENCE) {
                Ok(()) => return Ok(()),
                Err(SendTimeoutError::Disconnected(_)) => return Err(Quit),
                Err(SendTimeoutError::Timeout(_)) if self.stop.is_set() => return Err(Quit),
                Err(SendTimeoutError::Timeout(unsent)) => entry = unsent,
            }
        }
    }

    pub(super) fn state(&self, state: LinkState) -> Result<(), Quit> {
        self.event(self.measures.state(state))
    }

    fn event(&self, event: Event) -> Result<(), Quit> {
        self.desk.try_say(event).map_err(|_| Quit)
    }

    pub(super) fn all(&self, told: impl IntoIterator<Item = News>) -> Result<(), Quit> {
        told.into_iter().try_for_each(|told| match told {
            News::Entry(entry) => match self.measures.own(entry) {
                Some(entry) => self.entry(entry),
                None => Ok(()),
            },
            News::State(state) => self.state(state),
            // The board counts the first meter's.
            News::NotUnderstood(_) if self.measures == Measures::Volts => Ok(()),
            News::NotUnderstood(count) => self.event(Event::NotUnderstood(count)),
        })
    }
}
