//! The way to the desk: each event with the moment of the session at which it was sent.

use std::sync::mpsc::{self, Receiver, Sender};

use super::clock::Clock;
use crate::desk::{Event, Message};

/// Sends to the desk. Clones send to the same one.
#[derive(Clone, Debug)]
pub struct Outbox {
    /// Session time.
    pub clock: Clock,
    /// The desk's inbox.
    pub desk: Sender<Message>,
}

/// The desk's inbox and the way there, with the clock that all go by.
pub fn channel(clock: Clock) -> (Outbox, Receiver<Message>) {
    let (desk, inbox) = mpsc::channel();
    (Outbox { clock, desk }, inbox)
}

/// The desk has closed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the board has closed")]
pub struct Closed;

impl Outbox {
    /// Tells the desk, if it is still there: whoever has nothing else to do about it.
    pub fn say(&self, event: Event) {
        let _ = self.try_say(event);
    }

    /// Tells the desk.
    ///
    /// # Errors
    /// [`Closed`] when nobody listens any more.
    pub fn try_say(&self, event: Event) -> Result<(), Closed> {
        let t = self.clock.now();
        self.desk.send(Message { t, event }).map_err(|_| Closed)
    }
}
