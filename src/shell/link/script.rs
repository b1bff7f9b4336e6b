//! Plays recorded entries again at their own pace: the link of a replay.

use std::io;
use std::thread::JoinHandle;

use super::{Outlet, Quit};
use crate::desk::LinkState;
use crate::session::Entry;
use crate::shell::threads;

/// Starts a thread that sends each entry, in the order of their time, when the outlet's clock
/// reaches its moment, then says `Ended`. `place` is what is played, as the board shows it.
///
/// # Errors
/// When the system has no thread to give.
pub fn spawn_script<E>(entries: E, place: String, outlet: Outlet) -> io::Result<JoinHandle<()>>
where
    E: IntoIterator<Item = Entry> + Send + 'static,
{
    let desk = outlet.desk.clone();
    threads::spawn(outlet.measures.thread(), &desk, move || {
        // The end is the same whether it was asked for or nobody is left to listen.
        let _ = play(entries, place, &outlet);
    })
}

fn play(
    entries: impl IntoIterator<Item = Entry>,
    place: String,
    outlet: &Outlet,
) -> Result<(), Quit> {
    outlet.state(LinkState::Receiving(place))?;
    for entry in entries {
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
    use crate::shell::link::Measures;
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
        let (_halt, stop) = crate::shell::stop::pair();
        let script = entries(&[0.0, 1.0, 2.0]);
        let outlet = Outlet {
            readings,
            desk,
            stop,
            measures: Measures::Current,
        };
        let worker = spawn_script(script.clone(), "night.lull".into(), outlet).unwrap();
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
        let (halt, stop) = crate::shell::stop::pair();
        let outlet = Outlet {
            readings,
            desk,
            stop,
            measures: Measures::Current,
        };
        let worker = spawn_script(entries(&[604_800.0]), String::new(), outlet).unwrap();
        drop(halt);
        worker.join().unwrap();
    }
}
