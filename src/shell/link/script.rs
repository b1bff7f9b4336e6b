//! Plays recorded entries again at their own pace: the link of a replay.

use std::io;
use std::thread::JoinHandle;

use super::{Outlet, Quit};
use crate::desk::message::LinkState;
use crate::session::entry::Entry;
use crate::shell::threads;

/// What a replay needs.
pub struct Script<E> {
    /// The entries in the order of their time.
    pub entries: E,
    /// What is played, as the board shows it.
    pub place: String,
    /// Where entries go, when its clock has come to their time: its speed is the replay's.
    pub outlet: Outlet,
}

/// Starts a thread that sends each entry when the clock reaches its moment, then says `Ended`.
///
/// # Errors
/// When the system has no thread to give.
pub fn spawn_script<E>(script: Script<E>) -> io::Result<JoinHandle<()>>
where
    E: IntoIterator<Item = Entry> + Send + 'static,
{
    let desk = script.outlet.desk.clone();
    threads::spawn("link", &desk, move || {
        // The end is the same whether it was asked for or nobody is left to listen.
        let _ = play(script);
    })
}

fn play<E: IntoIterator<Item = Entry>>(script: Script<E>) -> Result<(), Quit> {
    let outlet = script.outlet;
    outlet.state(LinkState::Receiving(script.place))?;
    for entry in script.entries {
        if outlet.stop.wait_until(&outlet.desk.clock, entry.t) {
            return Err(Quit);
        }
        outlet.entry(entry)?;
    }
    outlet.state(LinkState::Ended)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::message::Event;
    use crate::reading::{Elapsed, Measured, Reading};
    use crate::shell::clock::Clock;
    use crate::shell::outbox::channel;

    fn entries(times_s: &[f64]) -> Vec<Entry> {
        let over = |&t_s: &f64| {
            Entry::reading(Reading {
                t: Elapsed::from_secs(t_s),
                value: Measured::Over,
            })
        };
        times_s.iter().map(over).collect()
    }

    #[test]
    fn entries_come_at_their_time_and_then_the_end() {
        let (readings, written) = crossbeam_channel::bounded(1);
        let clock = Clock::start(Elapsed::ZERO, 100.0);
        let (desk, inbox) = channel(clock.clone());
        let (_halt, stop) = super::super::stop::pair();
        let script = entries(&[0.0, 1.0, 2.0]);
        let worker = spawn_script(Script {
            entries: script.clone(),
            place: "night.lull".into(),
            outlet: Outlet {
                readings,
                desk,
                stop,
            },
        })
        .unwrap();
        let mut got = Vec::new();
        for entry in &written {
            assert!(clock.now() >= entry.t, "never before its time");
            got.push(entry);
        }
        worker.join().unwrap();
        assert_eq!(got, script);
        let states: Vec<Event> = inbox.iter().map(|message| message.event).collect();
        assert_eq!(
            states,
            [
                Event::Link(LinkState::Receiving("night.lull".into())),
                Event::Link(LinkState::Ended)
            ]
        );
    }

    #[test]
    fn a_replay_of_a_week_stops_when_asked() {
        let (readings, _written) = crossbeam_channel::bounded(1);
        let (desk, _inbox) = channel(Clock::start(Elapsed::ZERO, 1.0));
        let (halt, stop) = super::super::stop::pair();
        let worker = spawn_script(Script {
            entries: entries(&[604_800.0]),
            place: String::new(),
            outlet: Outlet {
                readings,
                desk,
                stop,
            },
        })
        .unwrap();
        drop(halt);
        worker.join().unwrap();
    }
}
