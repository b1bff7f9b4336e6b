//! Steps that the signal shows and nobody marked, and the moments to which the cursor jumps.

use super::Model;
use crate::judge::Judgement;
use crate::judge::finding::{Phase, Step};
use crate::reading::Elapsed;
use crate::session::Placed;

/// A step may come this long after the end of the settled stretch that it ends (the phase is cut
/// at whole seconds; common practice, no source).
const EDGE_S: f64 = 3.0;

/// Steps out of settled without a mark, oldest first. What lies in a wake is the car's own doing.
#[must_use]
pub fn unclaimed(judgement: &Judgement) -> Vec<Step> {
    let out_of_settled = |t: Elapsed| {
        judgement.phases.iter().any(|span| {
            span.phase == Phase::Settled && span.from < t && t <= span.to.plus_secs(EDGE_S)
        })
    };
    let in_wake = |t: Elapsed| {
        judgement
            .wakes
            .iter()
            .any(|wake| (wake.from.plus_secs(-EDGE_S)..=wake.to.plus_secs(EDGE_S)).contains(&t))
    };
    judgement
        .steps
        .iter()
        .filter(|step| step.mark.is_none() && out_of_settled(step.t) && !in_wake(step.t))
        .copied()
        .collect()
}

impl Model {
    /// Steps out of settled that nobody marked, oldest first.
    #[must_use]
    pub fn unclaimed(&self) -> Vec<Step> {
        unclaimed(&self.judgement)
    }

    /// The nearest step, mark or wake before or after `t`.
    pub(super) fn event_beside(&self, t: Elapsed, after: bool) -> Option<Elapsed> {
        let steps = self.judgement.steps.iter().map(|step| step.t);
        let marks = self.session.marks().map(Placed::at);
        let wakes = self.judgement.wakes.iter().map(|wake| wake.from);
        let all = steps.chain(marks).chain(wakes);
        if after {
            all.filter(|at| *at > t).min()
        } else {
            all.filter(|at| *at < t).max()
        }
    }
}
