//! What the system asks of the program: to end.

use super::outbox::Outbox;

/// Turns SIGTERM, SIGHUP and SIGINT into `Event::Terminate`, so that the session is flushed and
/// the terminal put back before the program ends.
///
/// # Errors
/// When the handlers cannot be set.
#[cfg(unix)]
pub fn spawn(outbox: &Outbox) -> std::io::Result<()> {
    use crate::desk::message::Event;
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};

    let mut signals = signal_hook::iterator::Signals::new([SIGTERM, SIGHUP, SIGINT])?;
    let desk = outbox.clone();
    super::threads::spawn("signals", outbox, move || {
        for _ in signals.forever() {
            if desk.try_say(Event::Terminate).is_err() {
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
pub fn spawn(_outbox: &Outbox) -> std::io::Result<()> {
    Ok(())
}
