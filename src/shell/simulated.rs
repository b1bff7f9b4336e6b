//! The simulated car in place of a meter: its readings come when session time reaches them, and
//! it obeys the marks that the journal holds.

use std::thread::JoinHandle;

use crossbeam_channel::{Receiver, RecvTimeoutError, Sender, unbounded};

use super::link::Outlet;
use super::{Clock, threads};
use crate::desk::{Event, LinkState};
use crate::reading::Elapsed;
use crate::rehearsal::Car;
use crate::session::{Entry, Mark};

/// Marks for the car, each with its time.
pub type Marks = Sender<(Elapsed, Mark)>;

/// Starts the car. It stops when nobody can mark it any more, or the journal is gone.
///
/// # Errors
/// When the system has no thread to give.
pub fn spawn(car: Car, place: String, outlet: Outlet) -> std::io::Result<(Marks, JoinHandle<()>)> {
    let (marks, heard) = unbounded();
    let desk = outlet.desk.clone();
    let thread = threads::spawn("simulated car", &desk, move || {
        // The desk may be closed already: the car then stops by itself.
        outlet.desk.say(Event::Link(LinkState::Receiving(place)));
        live(car, &outlet.desk.clock, &outlet.readings, &heard);
    })?;
    Ok((marks, thread))
}

fn live(mut car: Car, clock: &Clock, readings: &Sender<Entry>, marks: &Receiver<(Elapsed, Mark)>) {
    loop {
        match marks.recv_timeout(clock.until(car.next_t())) {
            Ok((t, mark)) => car.mark(t, &mark),
            Err(RecvTimeoutError::Timeout) => {
                if readings.send(Entry::reading(car.next_reading())).is_err() {
                    return;
                }
            }
            Err(RecvTimeoutError::Disconnected) => return,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::Measured;
    use crate::rehearsal::stories;
    use crate::session::entry::Fact;
    use crate::session::mark::{MarkId, parse_mark};
    use crate::shell::link::Measures;
    use crate::shell::outbox::channel;

    #[test]
    fn readings_keep_coming_and_a_lock_changes_them() {
        let clock = Clock::start(Elapsed::ZERO, 500.0);
        let (readings, journal) = unbounded();
        let (desk, _inbox) = channel(clock.clone());
        let car = Car::new(&stories::FALSE_FLOOR, 1);
        let (_halt, stop) = crate::shell::stop::pair();
        let outlet = Outlet {
            readings,
            desk,
            stop,
            measures: Measures::Current,
        };
        let (marks, _thread) = spawn(car, "a car".into(), outlet).unwrap();
        let lock = parse_mark(MarkId(1), "lock").unwrap();
        marks.send((clock.now(), lock)).unwrap();
        let asleep = journal.iter().find(|entry: &Entry| {
            matches!(entry.fact, Fact::Reading(Measured::Amps(amps)) if amps.value_a() < 0.1)
        });
        assert!(asleep.unwrap().t > Elapsed::from_secs(60.0));
    }
}
