//! What a link measures: the car's current, or beside it the battery's volts. The second meter's
//! readings and faults are facts of their own, so that its loss never touches the current.

use crate::desk::{Event, LinkState};
use crate::reading::{Measured, Volts};
use crate::session::{Entry, Fact, MeterEvent};

/// What a link measures.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Measures {
    /// The car's current.
    #[default]
    Current,
    /// The battery's voltage.
    Volts,
}

impl Measures {
    /// The name of the link's thread, and of the part of the program when it dies.
    pub(super) const fn thread(self) -> &'static str {
        match self {
            Self::Current => "link",
            Self::Volts => "volts meter",
        }
    }

    /// The connection's state, as this meter's.
    pub(super) const fn state(self, state: LinkState) -> Event {
        match self {
            Self::Current => Event::Link(state),
            Self::Volts => Event::VoltsLink(state),
        }
    }

    /// What the watch of the connection made of a message, as this meter's; `None` for what says
    /// nothing of it.
    pub(super) fn own(self, entry: Entry) -> Option<Entry> {
        if self == Self::Current {
            return Some(entry);
        }
        let fact = match entry.fact {
            Fact::Reading(Measured::Amps(decimal)) => Fact::Volts(Volts::heard(decimal)),
            // The probe makes none of it, and what is doubted is a current.
            Fact::Reading(Measured::Over) | Fact::Meter(MeterEvent::Doubt { .. }) => return None,
            Fact::Meter(event) => Fact::VoltsMeter(event),
            other @ (Fact::Mark(_)
            | Fact::Strike(_)
            | Fact::Drop(_)
            | Fact::Set(_)
            | Fact::Volts(_)
            | Fact::VoltsMeter(_)
            | Fact::Resumed(_)
            | Fact::Judged(_)
            | Fact::Seal(_)
            | Fact::Unknown) => other,
        };
        Some(Entry { fact, ..entry })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::{Amps, Elapsed};
    use crate::session::Doubt;

    #[test]
    fn the_second_meters_facts_are_never_the_firsts() {
        let own = |fact| {
            let t = Elapsed::ZERO;
            Measures::Volts.own(Entry { t, fact }).map(|it| it.fact)
        };
        let decimal = Amps::parse("12.41").unwrap();
        let read = Fact::Reading(Measured::Amps(decimal));
        assert_eq!(own(read.clone()), Some(Fact::Volts(Volts::heard(decimal))));
        let lost = MeterEvent::Lost("cable".into());
        assert_eq!(own(Fact::Meter(lost.clone())), Some(Fact::VoltsMeter(lost)));
        let (doubt, on) = (Doubt::Frozen, true);
        assert_eq!(own(Fact::Meter(MeterEvent::Doubt { doubt, on })), None);
        let t = Elapsed::ZERO;
        let first = Entry { t, fact: read };
        assert_eq!(Measures::Current.own(first.clone()), Some(first));
    }
}
