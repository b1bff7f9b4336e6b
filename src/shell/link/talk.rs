//! Says over a connection what a talker wants said.

use std::io;
use std::time::Duration;

use crate::meter::{Heard, Talker, Turn};
use crate::reading::Elapsed;
use crate::shell::ports::{READ_TIMEOUT, Stream};

/// A question that is due sooner than this is as good as due.
const SHORTEST_READ: Duration = Duration::from_millis(1);

/// Sends what is due at `now`, and lets the next read end when more will be.
///
/// # Errors
/// Every error means that the connection is gone.
pub(crate) fn say(
    stream: &mut dyn Stream,
    talker: &mut dyn Talker,
    now: Elapsed,
    heard: &mut Vec<Heard>,
) -> io::Result<()> {
    loop {
        match talker.turn(now, heard) {
            Turn::Send(bytes) => stream.send(&bytes)?,
            Turn::ListenUntil(until) => {
                let span = Duration::try_from_secs_f64(until.secs_since(now));
                let span = span.unwrap_or(SHORTEST_READ);
                stream.wait_at_most(span.clamp(SHORTEST_READ, READ_TIMEOUT));
                return Ok(());
            }
            Turn::Listen => return Ok(()),
        }
    }
}
