//! What would spoil a record that nobody watches: the machine it is made on, and the meter.

use super::Model;
use crate::reading::number::f64_from_u64;
use crate::session::{MeterEvent, Session};

/// A line of the session file with one reading takes about so many bytes.
const READING_BYTES: f64 = 28.0;
/// From Friday's closing hour to Monday's opening. Common practice, no source.
const WEEKEND_S: f64 = 64.0 * 3600.0;
/// Less than this is nearly full, however slow the meter. Common practice, no source.
const LEAST_BYTES: f64 = 50e6;

/// What the machine says of itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Machine {
    /// Whether it runs on its own battery; `None` where nobody can say.
    pub on_battery: Option<bool>,
    /// Whether it is kept awake; why not.
    pub awake: Result<(), String>,
    /// The room on the disk of the session.
    pub free_bytes: Option<u64>,
}

impl Model {
    /// Keeps what the machine says; told at once when nothing else is being said.
    pub(super) fn machine(&mut self, machine: Machine) {
        let is_first = self.machine.is_none();
        self.machine = Some(machine);
        if is_first && self.notices.reply.is_none() {
            self.notices.reply = self.how_left();
        }
    }

    /// How it would be left: kept awake, or what would spoil the record; `None` where nothing real is
    /// recorded.
    pub fn how_left(&self) -> Option<String> {
        let _ = self.machine.as_ref()?;
        let spoils = self.would_spoil();
        Some(if spoils.is_empty() {
            "This machine is kept awake until the record ends.".into()
        } else {
            format!("Before it is left alone: {}.", spoils.join("; "))
        })
    }

    /// What to put right before the record is left alone; nothing where nothing real is recorded.
    pub fn would_spoil(&self) -> Vec<String> {
        let Some(machine) = &self.machine else {
            return Vec::new();
        };
        let mut said = Vec::new();
        if machine.on_battery == Some(true) {
            said.push("this machine runs on its own battery: plug it in".into());
        }
        if let Err(why) = &machine.awake {
            said.push(format!(
                "this machine may fall asleep ({why}): set it to stay awake, lid closed too"
            ));
        }
        said.extend(machine.free_bytes.and_then(|free| self.is_short(free)));
        if switches_itself_off(&self.session) {
            said.push("the meter switches itself off: disable that, its manual says how".into());
        }
        said
    }

    fn is_short(&self, free: u64) -> Option<String> {
        let session = self.session();
        let over_s = self.now.secs().max(1.0);
        let per_s = f64_from_u64(session.readings()) / over_s * READING_BYTES;
        let needs = per_s * WEEKEND_S;
        let free = f64_from_u64(free);
        (free < needs.max(LEAST_BYTES)).then(|| {
            format!(
                "{:.0} MB are left on the disk of this session, and a weekend of its readings takes \
                 {:.0} MB: make room",
                free / 1e6,
                (needs / 1e6).max(1.0)
            )
        })
    }
}

/// Whether the meter said so, and nobody has switched it since.
pub fn switches_itself_off(session: &Session) -> bool {
    let events = session.meter_events().iter().rev();
    let mut said = events.filter_map(|(_, event)| {
        if let MeterEvent::AutoOff(on) = event {
            Some(*on)
        } else {
            matches!(event, MeterEvent::Back(_)).then_some(false)
        }
    });
    said.next().unwrap_or(false)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::{Event, Message, Options};
    use crate::reading::{Amps, Elapsed, Measured};
    use crate::session::{Entry, Fact, Header};

    fn told(desk: &mut Model, at_s: f64, event: Event) {
        let t = Elapsed::from_secs(at_s);
        let _ = desk.update(Message { t, event });
    }

    fn machine(on_battery: bool, free_bytes: u64) -> Event {
        Event::Machine(Machine {
            on_battery: Some(on_battery),
            awake: Ok(()),
            free_bytes: Some(free_bytes),
        })
    }

    #[test]
    fn nothing_real_is_recorded_and_nothing_is_said() {
        let desk = Model::new(Header::default(), Options::default());
        assert_eq!((desk.how_left(), desk.would_spoil()), (None, Vec::new()));
    }

    #[test]
    fn each_thing_that_would_spoil_the_night_is_named_and_gone_when_it_is_mended() {
        let mut desk = Model::new(Header::default(), Options::default());
        told(&mut desk, 1.0, machine(true, 400_000_000));
        let battery = "this machine runs on its own battery: plug it in";
        assert_eq!(desk.would_spoil(), [battery]);
        let reply = desk.notices().reply.as_deref().unwrap();
        assert!(reply.contains(battery), "told at once: {reply}");
        let off = |on| {
            let fact = Fact::Meter(MeterEvent::AutoOff(on));
            let t = Elapsed::from_secs(2.0);
            Event::Appended(vec![Entry { t, fact }])
        };
        told(&mut desk, 2.0, machine(false, 400_000_000));
        told(&mut desk, 2.0, off(true));
        assert_eq!(desk.would_spoil().len(), 1);
        told(&mut desk, 2.0, off(false));
        assert!(desk.would_spoil().is_empty());
        let kept = "This machine is kept awake until the record ends.";
        assert_eq!(desk.how_left().unwrap(), kept);
        let asleep = Machine {
            on_battery: None,
            awake: Err("Access denied".into()),
            free_bytes: None,
        };
        told(&mut desk, 3.0, Event::Machine(asleep));
        assert!(desk.would_spoil()[0].starts_with("this machine may fall asleep (Access denied)"));
    }

    #[test]
    fn a_disk_is_nearly_full_when_a_weekend_of_these_readings_does_not_fit() {
        let mut desk = Model::new(Header::default(), Options::default());
        let value = Measured::Amps(Amps::new(23, 3).unwrap());
        let readings = (0..1000).map(|i| Entry {
            t: Elapsed::from_ms(i * 100),
            fact: Fact::Reading(value),
        });
        told(&mut desk, 100.0, Event::Appended(readings.collect()));
        // Ten a second for 64 hours: 2.304 million lines of 28 bytes are 64.5 MB.
        told(&mut desk, 100.0, machine(false, 60_000_000));
        let said = "60 MB are left on the disk of this session, and a weekend of its readings takes \
                    65 MB: make room";
        assert_eq!(desk.would_spoil(), [said]);
        told(&mut desk, 100.0, machine(false, 70_000_000));
        assert!(desk.would_spoil().is_empty());
    }
}
