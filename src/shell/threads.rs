//! Workers: a panic in one is a message to the board, never a torn screen.

use std::any::Any;
use std::io::{self, Error};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::thread::{Builder, JoinHandle};

use super::outbox::Outbox;
use crate::desk::Event;

/// Starts a named worker; should it panic, the desk is told.
///
/// # Errors
/// When the system has no thread to give, with the name of the worker.
pub fn spawn(
    name: &'static str,
    outbox: &Outbox,
    work: impl FnOnce() + Send + 'static,
) -> io::Result<JoinHandle<()>> {
    let outbox = outbox.clone();
    let spawned = Builder::new().name(name.into()).spawn(move || {
        if let Err(last_words) = catch_unwind(AssertUnwindSafe(work)) {
            outbox.say(Event::WorkerDied {
                name: name.into(),
                why: words(last_words.as_ref()),
            });
        }
    });
    spawned.map_err(|why| Error::new(why.kind(), format!("no thread for the {name} part ({why})")))
}

fn words(payload: &(dyn Any + Send)) -> String {
    payload
        .downcast_ref::<&str>()
        .map(ToString::to_string)
        .or_else(|| payload.downcast_ref::<String>().cloned())
        .unwrap_or_else(|| "no reason given".into())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::Elapsed;
    use crate::shell::clock::Clock;
    use crate::shell::outbox::channel;

    #[test]
    fn a_panic_reaches_the_desk_as_a_message() {
        let (desk, inbox) = channel(Clock::start(Elapsed::ZERO, 1.0));
        spawn("link", &desk, || panic!("cable on fire"))
            .unwrap()
            .join()
            .unwrap();
        let told = inbox.recv().unwrap().event;
        let expected = Event::WorkerDied {
            name: "link".into(),
            why: "cable on fire".into(),
        };
        assert_eq!(told, expected);
    }
}
