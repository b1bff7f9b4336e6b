//! Port listeners: the threads that listen on every port while the start card is open.

use std::cell::Cell;
use std::thread::JoinHandle;

use anyhow::Result;
use crossbeam_channel::{Receiver, Sender, unbounded};

use super::heard;
use super::known_meters::KnownMeters;
use super::list::Port;
use super::listen::{self, PortHeard};
use crate::desk::start::place::Hearing;
use crate::meter::MeterUri;
use crate::meter::detect::{Detection as Heard, EACH_S, Setting};
use crate::reading::{Elapsed, number};
use crate::shell::stop::{self, Halt, Stop};
use crate::shell::{Clock, Outbox, threads};

/// The threads that listen, one a port.
pub struct Listeners {
    /// What was heard, by port.
    pub heard: Receiver<(usize, Hearing)>,
    halt: Halt,
    threads: Vec<JoinHandle<()>>,
}

impl Listeners {
    /// Listens on every port whose meter speaks by itself; a known one first at its own speed.
    ///
    /// # Errors
    /// When the system has no thread to give.
    pub fn open(ports: &[Port], known: &KnownMeters, outbox: &Outbox) -> Result<Self> {
        let (say, heard) = unbounded();
        let (halt, stop) = stop::pair();
        let mut running = Vec::new();
        for (n, port) in ports.iter().cloned().enumerate() {
            let known = known.of(&port);
            if known.as_ref().is_some_and(|uri| !uri.speaks()) {
                continue;
            }
            let baud = known.as_ref().and_then(MeterUri::baud);
            let (say, stop) = (say.clone(), stop.clone());
            running.push(threads::spawn("listen", outbox, move || {
                let tried = baud.map(|baud| listen::plan(&port.path, Some(baud.get())));
                let plan = listen::plan(&port.path, None);
                for plan in tried.into_iter().chain([plan]) {
                    if listen(n, &port, &plan, &say, &stop) {
                        break;
                    }
                }
            })?);
        }
        Ok(Self {
            heard,
            halt,
            threads: running,
        })
    }

    /// Lets go of every port.
    pub fn close(self) {
        drop(self.halt);
        for thread in self.threads {
            // Its panic, if any, has been told by `threads` already.
            let _ = thread.join();
        }
    }
}

/// Listens on one port with one plan; whether the meter was recognised.
fn listen(
    n: usize,
    port: &Port,
    plan: &[Setting],
    say: &Sender<(usize, Hearing)>,
    stop: &Stop,
) -> bool {
    let clock = Clock::start(Elapsed::ZERO, 1.0);
    let span_s = listen::span_s(plan, EACH_S);
    let told = Cell::new(None);
    let keep_on = || {
        let left_s = number::round_to_usize((span_s - clock.now().secs()).max(0.0).ceil());
        if told.replace(Some(left_s)) != Some(left_s) {
            let words = format!("for about {left_s} s more; nothing is sent");
            // The card may be gone already.
            let _ = say.send((n, Hearing::Listening(words)));
        }
        !stop.is_set()
    };
    let verdict = listen::listen(&port.path, plan, EACH_S, &clock, keep_on);
    let heard = as_shown(port, &verdict);
    let sure = matches!(heard, Hearing::Heard { .. });
    if !stop.is_set() {
        let _ = say.send((n, heard));
    }
    sure
}

fn as_shown(port: &Port, verdict: &PortHeard) -> Hearing {
    match verdict {
        PortHeard::Heard(Heard::Recognised(heard)) => Hearing::Heard {
            shown: heard::last_in_words(heard.last),
            uri: heard::uri_of(port.stable(), heard).to_string(),
        },
        PortHeard::Heard(Heard::Unrecognised(_) | Heard::Silent)
        | PortHeard::NotOpened(_)
        | PortHeard::Lost(_) => Hearing::Unclear {
            words: heard::in_words(port.stable(), verdict),
        },
    }
}
