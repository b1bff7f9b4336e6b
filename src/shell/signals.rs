//! What the system asks of the program: to end.

use crossbeam_channel::Sender;

use super::clock::Clock;
use crate::desk::message::Message;

/// Turns SIGTERM, SIGHUP and SIGINT into `Event::Terminate`, so that the session is flushed and
/// the terminal put back before the program ends.
///
/// # Errors
/// When the handlers cannot be set.
#[cfg(unix)]
pub fn spawn(clock: Clock, desk: Sender<Message>) -> std::io::Result<()> {
    use crate::desk::message::Event;
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};

    let mut signals = signal_hook::iterator::Signals::new([SIGTERM, SIGHUP, SIGINT])?;
    let inbox = desk.clone();
    let stamp = clock.clone();
    super::threads::spawn("signals", clock, desk, move || {
        for _ in signals.forever() {
            let message = Message {
                t: stamp.now(),
                event: Event::Terminate,
            };
            if inbox.send(message).is_err() {
                return;
            }
        }
    })?;
    Ok(())
}

/// There are no such signals here.
///
/// # Errors
/// Never.
#[cfg(not(unix))]
pub fn spawn(_clock: Clock, _desk: Sender<Message>) -> std::io::Result<()> {
    Ok(())
}
