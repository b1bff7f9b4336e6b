//! What the battery's voltage says beside the current: whether something charges it, and whether it
//! falls faster than the current explains. It changes no level and no phase.

mod charger;
mod fall;

pub use charger::Charging;
pub use fall::{Explained, VoltsLoss};

pub(super) use charger::ruling;

use super::contradiction::Contradiction;
use super::stay::Basis;
use crate::reading::{Elapsed, Volts};
use crate::session::Session;

/// All that is said of the battery's voltage.
#[derive(Clone, Debug, PartialEq)]
pub struct VoltsTold {
    /// How many readings.
    pub samples: u64,
    /// The first.
    pub first: (Elapsed, Volts),
    /// The newest.
    pub last: (Elapsed, Volts),
    /// The lowest.
    pub lowest: (Elapsed, Volts),
    /// When something charged it, in order.
    pub charging: Vec<Charging>,
    /// The charge lost, by both meters.
    pub loss: Option<VoltsLoss>,
    /// Whether the current explains the fall, or why nobody can tell.
    pub explained: Explained,
}

/// What is read, before there is any current to hold it against; `None` without volts.
pub fn read(session: &Session) -> Option<VoltsTold> {
    let volts = session.volts();
    Some(VoltsTold {
        samples: volts.samples(),
        first: volts.first()?,
        last: volts.last()?,
        lowest: volts.lowest()?,
        charging: charger::charging(session),
        loss: None,
        explained: Explained::NotAtRest,
    })
}

/// The same held against the current.
pub(super) fn told(basis: &Basis<'_>) -> Option<VoltsTold> {
    let read = read(basis.session)?;
    let (loss, explained) = fall::fall(basis, &read.charging);
    Some(VoltsTold {
        loss,
        explained,
        ..read
    })
}

impl VoltsTold {
    /// What in it does not fit the current.
    pub fn contradictions(&self) -> Vec<Contradiction> {
        let charged = self.charging.last().map(|last| Contradiction::Charged {
            from_s: last.from.secs(),
            to_s: last.to.secs(),
            peak_v: last.peak_v,
        });
        let against = self
            .loss
            .as_ref()
            .and_then(|loss| loss.against(self.explained));
        charged.into_iter().chain(against).collect()
    }
}

#[cfg(test)]
mod tests;
