//! How far a mark may lie from the step it belongs to: hands and keys are not one.

use crate::reading::Elapsed;

/// The key comes up to this long after the deed, or before it (common practice, no source: the
/// hand is in the footwell, the keyboard on the wing).
pub const HAND_S: f64 = 8.0;

/// How far a step at `step_t` lies from a mark made at `mark_t`, in seconds; `None` when it is too
/// far to be the same deed.
#[must_use]
pub fn apart_s(step_t: Elapsed, mark_t: Elapsed) -> Option<f64> {
    let apart_s = step_t.secs_since(mark_t).abs();
    (apart_s <= HAND_S).then_some(apart_s)
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
