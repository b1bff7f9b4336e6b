//! Changes of level as steps, each with the mark that explains it.

use super::finding::Step;
use crate::session::Session;

/// A mark explains a step this long before it (the hand was faster than the key) ...
const BEFORE_S: f64 = 6.0;
/// ... or after it.
const AFTER_S: f64 = 8.0;

/// The steps that the signal shows; slopes are none.
#[must_use]
pub fn steps(session: &Session) -> Vec<Step> {
    session
        .signal()
        .changes()
        .iter()
        .filter(|change| !change.ramp)
        .map(|change| {
            let off = |at: crate::reading::Elapsed| change.t.secs_since(at);
            let mark = session
                .marks()
                .filter(|placed| (-BEFORE_S..=AFTER_S).contains(&off(placed.at())))
                .min_by(|a, b| off(a.at()).abs().total_cmp(&off(b.at()).abs()))
                .map(|placed| placed.mark.id);
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
