//! The first look: the change within seconds of a mark, from the mark's own step where the signal
//! shows one. Neighbouring marks and steps never get into it, so that pulls in quick succession
//! each have their own.

use super::Tried;
use crate::judge::finding::{Level, Step};
use crate::judge::glance::Glance;
use crate::judge::hand;
use crate::reading::Elapsed;
use crate::session::mark::Did;
use crate::session::{Placed, Session};

/// Readings from this long after the deed, up to this long after it ...
const FROM_S: f64 = 2.0;
const TO_S: f64 = 8.0;
/// ... against as much of the time just before it.
const BACK_S: f64 = 20.0;
/// The hand needs a moment: without a step, readings this close before a mark may be of after it.
const HAND_MARGIN_S: f64 = 3.0;
/// The block that holds a step is left out, on either side.
const STEP_MARGIN_S: f64 = 1.0;

/// What first looks are taken from.
#[derive(Clone, Copy)]
pub(super) struct Look<'a> {
    pub(super) session: &'a Session,
    pub(super) steps: &'a [Step],
}

/// When the thing was done: a fuse that bounces in its socket makes more than one step.
#[derive(Clone, Copy)]
struct Deed {
    from: Elapsed,
    to: Elapsed,
    margin_s: f64,
}

impl Look<'_> {
    /// The change that the mark itself shows; `gain_u` is the meter's.
    pub(super) fn at(&self, tried: &Tried<'_>, gain_u: f64) -> Option<Level> {
        let deed = self.deed(tried);
        let (earliest, latest) = self.neighbours(tried, &deed);
        let before_to = deed.from.plus_secs(-deed.margin_s);
        let before_from = before_to.plus_secs(-BACK_S).max(earliest);
        let after_to = deed.to.plus_secs(TO_S).min(latest);
        let after = Glance::of(self.session, deed.to.plus_secs(FROM_S), after_to)?;
        let before = Glance::of(self.session, before_from, before_to)?;
        Some(before.to(&after, self.session, gain_u))
    }

    fn deed(&self, tried: &Tried<'_>) -> Deed {
        let at = tried.placed.at();
        let id = Some(tried.placed.mark.id);
        let mut own = self.steps.iter().filter(|step| step.mark == id);
        let Some(first) = own.next() else {
            return Deed {
                from: at,
                to: at,
                margin_s: HAND_MARGIN_S,
            };
        };
        Deed {
            from: first.t,
            to: own.next_back().map_or(first.t, |last| last.t),
            margin_s: STEP_MARGIN_S,
        }
    }

    /// Where the nearest other deed before and after leaves the signal to this one.
    fn neighbours(&self, tried: &Tried<'_>, deed: &Deed) -> (Elapsed, Elapsed) {
        let at = tried.placed.at();
        let (mut earliest, mut latest) = (Elapsed::from_ms(i64::MIN), Elapsed::from_ms(i64::MAX));
        // A slope close to a mark without a step is the mark's own doing.
        let own = |t: Elapsed| {
            let within = deed.from <= t && t <= deed.to;
            within || deed.from == at && deed.to == at && hand::apart_s(t, at).is_some()
        };
        let changes = self
            .session
            .signal()
            .changes()
            .iter()
            .map(|change| change.t);
        let marks = self.session.marks();
        let marks = marks.filter(|p| p.mark.id != tried.placed.mark.id && p.mark.did != Did::Note);
        for t in changes.filter(|t| !own(*t)).chain(marks.map(Placed::at)) {
            if t <= deed.from {
                earliest = earliest.max(t.plus_secs(STEP_MARGIN_S));
            } else {
                latest = latest.min(t.plus_secs(-STEP_MARGIN_S));
            }
        }
        (earliest, latest)
    }
}
