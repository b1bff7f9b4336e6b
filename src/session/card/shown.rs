//! The card's compound figures in words: accuracy, battery, voltage at rest.

use std::fmt;

use super::{Accuracy, Battery, Rest};
use crate::reading::quantity;

impl fmt::Display for Accuracy {
    /// As the meter's manual prints it: `± (1 % + 3 counts)`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let terms = [
            (self.percent, format!("{} %", self.percent)),
            (self.counts, format!("{} counts", self.counts)),
            (self.amount_a, quantity::amount(self.amount_a)),
        ];
        let named = terms.into_iter().filter(|term| term.0 > 0.0);
        let named: Vec<String> = named.map(|term| term.1).collect();
        write!(f, "\u{b1} ({})", named.join(" + "))
    }
}

impl fmt::Display for Battery {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.kind)?;
        if let Some(ah) = self.c20_ah {
            write!(f, ", {ah} Ah")?;
        }
        if let Some(minutes) = self.reserve_min {
            write!(f, ", reserve {minutes} min")?;
        }
        let Some(cranking) = self.cranking else {
            return Ok(());
        };
        write!(f, ", {} A ({})", cranking.a, cranking.standard)
    }
}

impl fmt::Display for Rest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} V", self.volts)?;
        if let Some(rested_s) = self.rested_s {
            write!(f, " after {}", quantity::span(rested_s))?;
        }
        if let Some(celsius) = self.temperature_c {
            write!(f, " at {celsius} C")?;
        }
        Ok(())
    }
}
