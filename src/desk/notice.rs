//! What the board has to say besides numbers: banners that stay until the cause is gone, cautions
//! that stay until read, and the answer to the last key.

use crate::reading::Elapsed;
use crate::session::entry::{Fact, MeterEvent};

/// Shown at the start. Trade practice: closing the circuit through a meter fails at its fuse when
/// anything large switches on.
pub const START_CAUTION: &str = "CAUTION: connect without powering the car down. With a meter in \
    series never crank, switch on or open a door. The maker's data go before anything shown here.";

/// Shown once, when the first unlock is marked.
pub const UNLOCK_CAUTION: &str = "CAUTION: unlocking or a door draws a surge that can blow the \
    meter's fuse. Bridge a meter in series first, every time.";

/// Entries that the journal could not write.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unsaved {
    /// Since when.
    pub since: Elapsed,
    /// How many.
    pub count: usize,
    /// Why.
    pub why: String,
}

/// A worker that stopped.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Dead {
    /// When it was noticed.
    pub at: Elapsed,
    /// Which.
    pub name: String,
    /// Its last words.
    pub why: String,
}

/// All that is to be said.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Notices {
    /// What is not on disk.
    pub unsaved: Option<Unsaved>,
    /// What has stopped.
    pub dead: Vec<Dead>,
    /// The caution on screen.
    pub caution: Option<&'static str>,
    /// The answer to the last key.
    pub reply: Option<String>,
    /// Whether the caution about unlocking was shown already.
    pub unlock_told: bool,
}

impl Notices {
    /// Shows the caution about unlocking, the first time only.
    pub const fn before_unlock(&mut self) {
        if !self.unlock_told {
            self.unlock_told = true;
            self.caution = Some(UNLOCK_CAUTION);
        }
    }

    /// Asks about the meter what is asked once; a caution that is still unread goes first.
    pub fn doubt(&mut self, fact: &Fact) {
        if let Fact::Meter(MeterEvent::Doubt { doubt, on: true }) = fact
            && doubt.is_asked_once()
        {
            self.caution.get_or_insert(doubt.question());
        }
    }

    /// Counts entries that could not be written.
    pub fn unsaved(&mut self, at: Elapsed, count: usize, why: String) {
        let unsaved = self.unsaved.get_or_insert(Unsaved {
            since: at,
            count: 0,
            why: String::new(),
        });
        unsaved.count = unsaved.count.saturating_add(count);
        unsaved.why = why;
    }
}
