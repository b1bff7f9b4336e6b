//! What there is to judge a removal or refit by: the settled level before it, the first one after.

use super::{CHANGE_MIN_A, REFERENCE_S};
use crate::judge::finding::Phase;
use crate::judge::hand::HAND_S;
use crate::judge::phase::{Settling, Walk};
use crate::judge::uncertainty::{self, Estimate};
use crate::reading::{Elapsed, quantity};
use crate::session::mark::Did;
use crate::session::{Placed, Session};

/// The hand needs a moment: readings this close before a mark may be of after it.
const MARGIN_S: f64 = 3.0;

/// A removal or refit with what there is to judge it by.
pub(super) struct Tried<'a> {
    pub(super) placed: &'a Placed,
    /// How many removals and refits came before it.
    pub(super) fuse_state: usize,
    /// What was off its supply before it.
    pub(super) out_before: Vec<String>,
    /// The removal or refit after it.
    pub(super) next: Option<&'a Placed>,
    /// The first level that settled after it and before the next one.
    pub(super) after: Option<(Settling, Estimate)>,
    /// Since when the car had been left alone: not opened, locked or given anything back.
    pub(super) left_alone: Option<Elapsed>,
}

impl Tried<'_> {
    /// Everything removed or refitted in the session, in order.
    pub(super) fn all<'a>(session: &'a Session, walk: &Walk) -> Vec<Tried<'a>> {
        let marks = session.marks();
        let placed: Vec<&Placed> = marks.filter(|p| p.mark.did.is_tried()).collect();
        let nexts = placed.iter().skip(1).map(|next| Some(*next));
        placed
            .iter()
            .zip(nexts.chain([None]))
            .enumerate()
            .map(|(fuse_state, (placed, next))| Tried {
                placed,
                fuse_state,
                out_before: walk.states.get(fuse_state).cloned().unwrap_or_default(),
                next,
                after: after(session, walk, placed.at(), next.map(Placed::at)),
                left_alone: walk.left_alone.get(fuse_state).copied().flatten(),
            })
            .collect()
    }

    pub(super) const fn removes(&self) -> bool {
        self.placed.mark.did.removes()
    }

    pub(super) fn labels(&self) -> String {
        self.placed.mark.what.join("+")
    }

    /// What the technician was doing, as a sentence begins with it.
    pub(super) const fn doing(&self) -> &'static str {
        if matches!(self.placed.mark.did, Did::Pull) {
            "pulling"
        } else {
            "unplugging"
        }
    }

    /// The settled level that the car had when the mark was made.
    pub(super) fn reference(&self, session: &Session, walk: &Walk) -> Option<Estimate> {
        let at = self.placed.at();
        let mut before = walk.settlings.iter().rev();
        let found = before.find(|settling| settling.proven < at)?;
        let stands =
            at.secs_since(found.to) <= HAND_S || is_unsettled_by_itself(walk, found.to, at);
        if !stands || found.fuse_state != self.fuse_state {
            return None;
        }
        let to = found.to.min(at.plus_secs(-MARGIN_S));
        // A fresh zero moves every later reading.
        let mut zeroed = session.marks().rev();
        let zeroed = zeroed.find(|p| p.mark.did == Did::Zero && p.at() < to);
        let zeroed = zeroed.map_or(found.data_from, |p| p.at().plus_secs(MARGIN_S));
        let from = found.data_from.max(zeroed).max(to.plus_secs(-REFERENCE_S));
        uncertainty::estimate(session, from, to)
    }

    /// For a new part: the last settled level with the old one in and the same things out; `None`
    /// when it never settled so.
    pub(super) fn with_old_part(&self, session: &Session, walk: &Walk) -> Option<Estimate> {
        if self.placed.mark.did != Did::Swap {
            return None;
        }
        let out = walk.states.get(self.fuse_state + 1)?;
        let repaired = first_state(session, self.fuse_state);
        let mut earlier = walk.settlings.iter().rev();
        let earlier = earlier.find(|settling| {
            (repaired..=self.fuse_state).contains(&settling.fuse_state)
                && walk.states.get(settling.fuse_state) == Some(out)
        })?;
        uncertainty::estimate(session, earlier.data_from, earlier.to)
    }

    /// Whether what was put back brought the earlier level back; `None` when there is no earlier
    /// level with the same things out, or a new part has come in since.
    pub(super) fn came_back(
        &self,
        session: &Session,
        walk: &Walk,
        after: &Estimate,
    ) -> Option<String> {
        let did = self.placed.mark.did;
        let out = walk.states.get(self.fuse_state + 1)?;
        let mut earlier = walk.settlings.iter().rev();
        let earlier = earlier.find(|settling| {
            settling.fuse_state < self.fuse_state
                && walk.states.get(settling.fuse_state) == Some(out)
        })?;
        let swapped = session
            .marks()
            .any(|p| p.mark.did == Did::Swap && p.at() >= earlier.to && p.at() <= self.placed.at());
        if !matches!(did, Did::Refit | Did::Plug) || swapped {
            return None;
        }
        let before = uncertainty::estimate(session, earlier.data_from, earlier.to)?;
        let drift_a_per_h = session.card().cable_drift_a_per_h();
        let change = uncertainty::change(&before, after, drift_a_per_h);
        Some(if change.a.abs() <= change.u_a.max(CHANGE_MIN_A) {
            "as before it came out".into()
        } else {
            let more = if change.a > 0.0 { "more" } else { "less" };
            let amount = quantity::current(change.a.abs());
            format!("{amount} {more} than before it came out")
        })
    }
}

/// The first fuse state with the parts that the car had at the trial of this number: a swap before
/// it makes another car.
pub(super) fn first_state(session: &Session, trial: usize) -> usize {
    let tried = session.marks().filter(|p| p.mark.did.is_tried());
    let mut first = 0;
    for (swap, _) in tried
        .take(trial)
        .enumerate()
        .filter(|(_, placed)| placed.mark.did == Did::Swap)
    {
        first = swap + 1;
    }
    first
}

fn after(
    session: &Session,
    walk: &Walk,
    at: Elapsed,
    next_t: Option<Elapsed>,
) -> Option<(Settling, Estimate)> {
    let settling = walk.settlings.iter().find(|settling| {
        settling.proven > at && next_t.is_none_or(|next| settling.proven < next)
    })?;
    let mut zeroed = session.marks();
    let zeroed = zeroed.find(|p| p.mark.did == Did::Zero && p.at() > settling.proven);
    let to = zeroed.map_or(settling.to, |p| settling.to.min(p.at()));
    // A clamp's zero drifts on: the nearer to the reference, the surer the change.
    let near = settling.data_from.plus_secs(REFERENCE_S);
    let to = match session.card().drift_a_per_h {
        Some(_) => to.min(near.max(settling.proven)),
        None => to,
    };
    let estimate = uncertainty::estimate(session, settling.data_from, to)?;
    Some((*settling, estimate))
}

/// Whether nothing but a wake, or a stretch without evidence, lies between the two moments: what
/// stood before it still counts.
fn is_unsettled_by_itself(walk: &Walk, from: Elapsed, at: Elapsed) -> bool {
    walk.stretches.iter().any(|stretch| {
        let by_itself = matches!(stretch.phase, Phase::Stirring | Phase::Blind);
        by_itself && stretch.from <= from && stretch.to >= at
    })
}
