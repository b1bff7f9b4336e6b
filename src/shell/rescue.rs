//! A program that is told to end and cannot, because its terminal takes no output: the session is
//! sealed all the same, and the program ends.

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use super::files::journal_writer::JournalWriter;
use super::outbox::Outbox;

/// Watches over the end of a recording.
#[derive(Debug)]
pub(super) struct Rescue {
    has_ended: Arc<AtomicBool>,
}

impl Rescue {
    /// The loop has ended by itself: there is nothing to rescue.
    pub(super) fn over(&self) {
        self.has_ended.store(true, Ordering::SeqCst);
    }
}

/// Starts to watch.
///
/// # Errors
/// When the system has no thread or handler to give.
#[cfg(unix)]
#[expect(
    clippy::disallowed_methods,
    reason = "main cannot return: it waits for a terminal that takes nothing"
)]
pub(super) fn watch(journal: &JournalWriter, outbox: &Outbox) -> io::Result<Rescue> {
    use std::time::Duration;

    use super::faces::terminal;
    use super::signals;
    use crossbeam_channel::after;

    /// The loop ends within this, unless it is held up; and a disk that takes nothing is not waited
    /// for longer than that.
    const LOOP: Duration = Duration::from_millis(700);
    const DISK: Duration = Duration::from_secs(10);

    let is_told = signals::end()?;
    let has_ended = Arc::new(AtomicBool::new(false));
    let (ended, stop) = (Arc::clone(&has_ended), journal.emergency_stop());
    super::threads::spawn("rescue", outbox, move || {
        if !is_told() {
            return;
        }
        // Whether it waited or not, the time is over.
        let _ = after(LOOP).recv();
        if !ended.load(Ordering::SeqCst) {
            stop(DISK);
            terminal::leave_unread();
            std::process::exit(0);
        }
    })?;
    Ok(Rescue { has_ended })
}

/// No signal ends the program here.
///
/// # Errors
/// Never.
#[cfg(not(unix))]
pub(super) fn watch(_journal: &JournalWriter, _outbox: &Outbox) -> io::Result<Rescue> {
    let has_ended = Arc::default();
    Ok(Rescue { has_ended })
}
