//! The machine that a record is made on: kept awake as long as it lasts, and asked once a minute what
//! would spoil it.

mod awake;
mod power;

use std::io;
use std::path::PathBuf;
use std::time::Duration;

use crossbeam_channel::{RecvTimeoutError, Sender, unbounded};

use super::{Outbox, threads};
use crate::desk::Event;
use crate::desk::left_alone::Machine;
use awake::Awake;

/// A battery lasts longer than this.
const EVERY: Duration = Duration::from_secs(60);

/// Keeps the machine awake until it is dropped.
#[derive(Debug)]
pub struct Watch(Sender<PathBuf>);

impl Watch {
    /// Keeps the machine awake, and tells the desk what it says of itself, again when that changes.
    ///
    /// # Errors
    /// When the system has no thread to give.
    pub fn spawn(mut file: PathBuf, outbox: &Outbox) -> io::Result<Self> {
        let (moved, files) = unbounded();
        let desk = outbox.clone();
        threads::spawn("machine", outbox, move || {
            let awake = Awake::hold();
            let mut told = None;
            loop {
                let machine = Machine {
                    on_battery: power::on_battery(),
                    awake: awake.is_held(),
                    free_bytes: power::free_bytes(&file),
                };
                if told.as_ref() != Some(&machine) {
                    told = Some(machine.clone());
                    desk.say(Event::Machine(machine));
                }
                match files.recv_timeout(EVERY) {
                    Ok(to) => file = to,
                    Err(RecvTimeoutError::Timeout) => {}
                    Err(RecvTimeoutError::Disconnected) => return,
                }
            }
        })?;
        Ok(Self(moved))
    }

    /// The session goes on in this file.
    pub fn moved(&self, to: PathBuf) {
        // Without its thread nothing is watched any more, and the desk has been told so.
        let _ = self.0.send(to);
    }
}
