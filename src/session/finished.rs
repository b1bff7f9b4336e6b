//! Work that was said to be finished: a session as it stood then.

use super::{Did, Placed, Session};
use crate::reading::Elapsed;

impl Session {
    /// When the work was last said to be finished: what follows is no evidence.
    pub fn finished(&self) -> Option<Elapsed> {
        self.done(Did::Finish).next_back().map(Placed::at)
    }

    /// The same session as it stood at `t`: for asking, not for taking in more.
    #[must_use]
    pub fn until(&self, t: Elapsed) -> Self {
        let events = self.meter_events.iter().filter(|(at, _)| *at <= t);
        Self {
            header: self.header.clone(),
            card: self.card.clone(),
            marks: self.marks_until(t).cloned().collect(),
            drops: self.drops.clone(),
            meter_events: events.cloned().collect(),
            signal: self.signal.until(t),
            volts: self.volts.until(t),
            last_t: self.last_t.min(t),
            zeroed: self.zeroed.iter().copied().filter(|at| *at <= t).collect(),
            judged: self.judged.clone(),
            out_of_bounds: self.out_of_bounds.clone(),
            names: self.names.clone(),
            left_out: self.left_out.clone(),
            ..*self
        }
    }

    /// The marks of what was done until `t`, struck ones included.
    fn marks_until(&self, t: Elapsed) -> impl Iterator<Item = &Placed> {
        self.marks.iter().take_while(move |placed| placed.at() <= t)
    }
}
