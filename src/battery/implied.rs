//! The implied draw: the average current that would explain the complaint.

use super::standing::{Given, Store};
use crate::reading::band::Band;
use crate::session::card::Battery;

/// What a parked battery may have been charged to, before it went flat: full at best, and 70 % in
/// a real case of the trade press (flat in three days, read).
const CHARGE_BEFORE: Band = Band::new(0.70, 1.0, 1.0);

/// The average current that would explain a complaint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Implied {
    /// How long the car stood, in seconds.
    pub flat_after_s: f64,
    /// The current, in ampere.
    pub draw_a: Band,
}

/// How the measured current stands to the implied one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Explains {
    /// It is far too small.
    TooLittle,
    /// It explains the complaint.
    Yes,
    /// The battery would have been flat sooner.
    TooMuch,
}

impl Implied {
    /// The implied draw; `None` when the capacity is not known, or when self-discharge alone
    /// would have done it.
    pub fn new(battery: &Battery, flat_after_s: f64) -> Option<Self> {
        let store = Store::new(&Given {
            charge: Some(CHARGE_BEFORE),
            ..Given::printed(*battery)
        })?;
        let draw_a = store.draw_for(flat_after_s)?;
        Some(Self {
            flat_after_s,
            draw_a,
        })
    }

    /// Whether a measured average explains the complaint.
    pub fn explained_by(&self, measured_a: f64) -> Explains {
        if measured_a < self.draw_a.low {
            Explains::TooLittle
        } else if measured_a > self.draw_a.high {
            Explains::TooMuch
        } else {
            Explains::Yes
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn implied(battery: &str, flat_after_h: f64) -> Implied {
        Implied::new(&battery.parse().unwrap(), flat_after_h * 3600.0).unwrap()
    }

    /// Computed by hand: 40 % of 70 Ah in 14 h is 2.0 A; self-discharge is 2 mA beside it.
    #[test]
    fn a_night_takes_amperes() {
        let implied = implied("agm,70Ah", 14.0);
        assert!((implied.draw_a.best - 1.998).abs() < 0.001, "{implied:?}");
        assert!(
            implied.draw_a.low < 1.0 && implied.draw_a.high > 2.3,
            "{implied:?}"
        );
        assert_eq!(implied.explained_by(0.18), Explains::TooLittle);
        assert_eq!(implied.explained_by(1.8), Explains::Yes);
        assert_eq!(implied.explained_by(8.0), Explains::TooMuch);
    }

    #[test]
    fn without_a_capacity_nothing_is_implied() {
        assert_eq!(Implied::new(&"agm,760A-EN".parse().unwrap(), 3600.0), None);
    }
}
