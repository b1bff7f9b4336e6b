//! How far a mark may lie from the step it belongs to: hands and keys are not one.

use super::rules::MARK_TOLERANCE_S;
use crate::reading::Elapsed;
use crate::session::Placed;
use crate::session::mark::Did;

/// How far a step at `step_t` lies from a mark made at `mark_t`, in seconds; `None` when it is too
/// far to be the same deed.
#[must_use]
pub fn apart_s(step_t: Elapsed, mark_t: Elapsed) -> Option<f64> {
    let apart_s = step_t.secs_since(mark_t).abs();
    (apart_s <= MARK_TOLERANCE_S).then_some(apart_s)
}

/// The mark nearest to a step at `step_t`, of `marks` in the order in which things were done, and
/// how far it is; `None` when none is near enough to be the same deed. Words explain nothing: a
/// note beside a step leaves it to be claimed.
#[must_use]
pub fn nearest<'a>(marks: &[&'a Placed], step_t: Elapsed) -> Option<(f64, &'a Placed)> {
    let first = marks.partition_point(|placed| placed.at() < step_t.plus_secs(-MARK_TOLERANCE_S));
    let near = marks.get(first..).unwrap_or(&[]).iter();
    let within = near
        .map_while(|placed| (placed.at() <= step_t.plus_secs(MARK_TOLERANCE_S)).then_some(*placed));
    within
        .filter(|placed| placed.mark.did != Did::Note)
        .filter_map(|placed| Some((apart_s(step_t, placed.at())?, placed)))
        .min_by(|a, b| a.0.total_cmp(&b.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_belongs_to_a_mark_close_by_on_either_side() {
        let mark_t = Elapsed::from_secs(100.0);
        assert_eq!(apart_s(Elapsed::from_secs(98.0), mark_t), Some(2.0));
        assert_eq!(apart_s(Elapsed::from_secs(108.0), mark_t), Some(8.0));
        assert_eq!(apart_s(Elapsed::from_secs(108.5), mark_t), None);
    }
}
