//! A wake: how it is kept open, and what it drew once it is over.

use super::Settling;
use super::descent::Stirred;
use crate::judge::finding::Wake;
use crate::reading::Elapsed;
use crate::session::Session;

/// A wake that has not ended yet.
#[derive(Clone, Copy, Debug)]
pub(super) struct OpenWake {
    /// When the current rose.
    pub(super) from: Elapsed,
    /// The settled stretch that it rose out of.
    pub(super) base: Settling,
    /// Since when the time-out was running: a wake that ends by itself does not restart it.
    pub(super) clock_from: Option<Elapsed>,
    /// What the car was coming down from, likewise.
    pub(super) stirred: Option<Stirred>,
    /// When the old level came back, if it has.
    pub(super) back: Option<Elapsed>,
}

impl OpenWake {
    /// The wake as it was, now that it ended at `to`.
    pub(super) fn measured(&self, session: &Session, to: Elapsed) -> Wake {
        let track = session.signal().track();
        let base_a = self.base.level_a;
        let peak_a = track
            .extent(self.from, to)
            .map_or(base_a, |e| e.max_a.into());
        let charge_as = track.charge_above_as(self.from, to, base_a);
        Wake {
            from: self.from,
            to,
            peak_a,
            charge_as,
        }
    }
}
