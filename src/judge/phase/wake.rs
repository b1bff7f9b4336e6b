//! A wake: how it is kept open, and what it drew once it is over.

use super::Settling;
use super::descent::Stirred;
use super::walker::Walker;
use crate::judge::finding::{Phase, Wake};
use crate::judge::hold;
use crate::reading::Elapsed;
use crate::session::Session;
use crate::signal::Tick;

/// A wake is over when the old level has stood again for this long.
const BACK_S: f64 = 30.0;
/// A wake longer than this is no wake any more: the car is awake.
const WAKE_MAX_S: f64 = 1200.0;

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

impl Walker<'_> {
    /// In a wake: over when the old level stands again, given up when it lasts too long.
    pub(super) fn on_tick_awoken(&mut self, tick: Tick, wake: OpenWake) {
        let back = wake
            .back
            .filter(|_| hold::near(tick.level_a, wake.base.level_a));
        if let Some(back) = back.filter(|back| tick.t.secs_since(*back) >= BACK_S) {
            self.walk.wakes.push(wake.measured(self.session, back));
            (self.walk.clock_from, self.stirred) = (wake.clock_from, wake.stirred);
            self.open = Some(Settling {
                data_from: back,
                proven: back,
                to: tick.t,
                ..wake.base
            });
            self.wake = None;
            self.walk.enter(Phase::Settled, back);
        } else if tick.t.secs_since(wake.from) > WAKE_MAX_S {
            // The outermost counts: what stirs meanwhile belongs to it.
            self.lapsed = self.lapsed.or(self.wake.take());
        }
    }

    /// What rose out of a settled level for longer than any wake, and is back at it, stirred.
    pub(super) fn come_back(&mut self, settling: &Settling) {
        let lapsed = self.lapsed;
        let Some(wake) = lapsed.filter(|wake| hold::near(settling.level_a, wake.base.level_a))
        else {
            return;
        };
        self.walk.wakes.retain(|within| within.from < wake.from);
        let back = self.walk.boundary;
        self.walk.wakes.push(wake.measured(self.session, back));
        self.lapsed = None;
    }
}
