//! Changes of level as steps, each with the mark that explains it.

use super::finding::Step;
use super::hand;
use crate::session::Session;
use crate::session::mark::Did;

/// The steps that the signal shows; slopes are none.
#[must_use]
pub fn steps(session: &Session) -> Vec<Step> {
    session
        .signal()
        .changes()
        .iter()
        .filter(|change| !change.ramp)
        .map(|change| {
            // Words explain nothing: a note beside a step leaves it to be claimed.
            let mark = session
                .marks()
                .filter(|placed| placed.mark.did != Did::Note)
                .filter_map(|placed| Some((hand::apart_s(change.t, placed.at())?, placed.mark.id)))
                .min_by(|a, b| a.0.total_cmp(&b.0))
                .map(|(_, id)| id);
            Step {
                t: change.t,
                from_a: change.from_a,
                to_a: change.to_a,
                in_gap: change.in_gap,
                mark,
            }
        })
        .collect()
}
