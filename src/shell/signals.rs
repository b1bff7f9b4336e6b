//! What the system asks of the program: to end, to stop, to go on.

use std::io;

use super::outbox::Outbox;

/// Turns what would kill the program into `Event::Terminate`, so that the session is flushed and the
/// terminal put back before it ends, and a stop and a going on into events of their own. A file that
/// reached the size that the system allows is a full disk, and no death.
///
/// # Errors
/// When the handlers cannot be set.
#[cfg(unix)]
pub fn spawn(outbox: &Outbox) -> io::Result<()> {
    use std::sync::Arc;
    use std::sync::atomic::AtomicBool;

    use crate::desk::message::Event;
    use signal_hook::consts::{
        SIGABRT, SIGCONT, SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGTSTP, SIGXFSZ,
    };

    signal_hook::flag::register(SIGXFSZ, Arc::new(AtomicBool::new(false)))?;
    let heard = [SIGTERM, SIGHUP, SIGINT, SIGQUIT, SIGABRT, SIGTSTP, SIGCONT];
    let mut signals = signal_hook::iterator::Signals::new(heard)?;
    let desk = outbox.clone();
    super::threads::spawn("signals", outbox, move || {
        for signal in signals.forever() {
            let event = match signal {
                SIGTSTP => Event::Suspend,
                SIGCONT => Event::Continued,
                _ => Event::Terminate,
            };
            if desk.try_say(event).is_err() {
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
pub fn spawn(_outbox: &Outbox) -> io::Result<()> {
    Ok(())
}

/// What waits until the program is told to end; whether it was.
///
/// # Errors
/// When the handlers cannot be set.
#[cfg(unix)]
pub fn end() -> io::Result<impl FnOnce() -> bool> {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGQUIT, SIGTERM};

    let mut signals = signal_hook::iterator::Signals::new([SIGTERM, SIGHUP, SIGINT, SIGQUIT])?;
    Ok(move || signals.forever().next().is_some())
}

/// Stops the program as the system would; returns when it goes on.
///
/// # Errors
/// When the system refuses.
#[cfg(unix)]
pub fn stop_self() -> io::Result<()> {
    signal_hook::low_level::emulate_default_handler(signal_hook::consts::SIGTSTP)
}

/// There is no such stop here.
///
/// # Errors
/// Never.
#[cfg(not(unix))]
pub fn stop_self() -> io::Result<()> {
    Ok(())
}
