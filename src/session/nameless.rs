//! A record that is handed to somebody who is not to know whose car it was.

use super::tick::Tick;
use super::{Did, Session};

impl Session {
    /// Forgets the customer, the plate, the vehicle's number, the odometer and every note; what was
    /// ticked before the lock stays, in its fixed words.
    pub fn forget_names(&mut self) {
        for card in [&mut self.card, &mut self.header.card] {
            card.customer = None;
            card.plate = None;
            card.vin = None;
            card.odometer = None;
            card.notes = None;
        }
        self.marks
            .retain(|placed| placed.mark.did != Did::Note || Tick::of(&placed.mark).is_some());
    }
}
