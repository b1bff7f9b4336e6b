//! A rise that nobody marked, to a level that the car had with less of it out: that was put back.

use std::sync::Arc;

use super::{Opening, Stay};
use crate::judge::levels;
use crate::judge::setup::Setup;

/// The newest state before this stay in which less was out and the car rested at the level that it
/// rose to.
pub(super) fn put_back(setups: &[Arc<Setup>], earlier: &[Stay], stay: &Stay) -> Option<usize> {
    if stay.opening != Opening::Unmarked {
        return None;
    }
    let now_a = stay.shown.as_deref()?.level.a;
    let before_a = earlier.last()?.shown.as_deref()?.level.a;
    if now_a < before_a || levels::same(now_a, before_a) {
        return None;
    }
    let own = setups.get(stay.setup)?;
    let is_less = |other: &Setup| {
        (other.swaps, other.guesses) == (own.swaps, own.guesses)
            && other.out.is_subset(&own.out)
            && other.out != own.out
    };
    let rested = |one: &Stay| {
        one.rested()
            .is_some_and(|shown| levels::same(shown.level.a, now_a))
    };
    let mut newest = earlier.iter().rev();
    let found =
        newest.find(|one| rested(one) && setups.get(one.setup).is_some_and(|at| is_less(at)));
    found.map(|stay| stay.setup)
}

#[cfg(test)]
mod tests {
    use crate::judge::finding::Finding;
    use crate::judge::kit::{MIN, TestCar};

    /// Back unmarked at forty minutes; then the next fuse, or the same again.
    #[test]
    fn a_pull_after_it_is_judged_from_the_level_that_it_left() {
        let levels = [(0, 0.160), (600, 0.030), (2400, 0.160)];
        for (next, left_a, expected) in [
            ("pull B2", 0.160, Finding::NoChange),
            ("pull A1", 0.030, Finding::Clears),
        ] {
            let mut levels = levels.to_vec();
            levels.push((3600, left_a));
            let car = TestCar::asleep(&levels).marked(&[(600, "pull A1"), (3600, next)]);
            let judged = car.judged(120 * MIN);
            assert_eq!(judged.trials[1].finding, expected, "{next}");
            assert_eq!(judged.trials[0].finding, Finding::Clears);
            assert_eq!(judged.unclaimed.len(), 1, "it is asked about");
            let a1 = judged.ledger.iter().find(|share| share.what == ["A1"]);
            let a1 = a1.expect("it has a share");
            assert!((a1.level.a - 0.130).abs() < 0.003, "{next}: {a1:?}");
        }
    }

    /// Marked too late, it is no other fuse.
    #[test]
    fn the_mark_that_says_so_later_is_none_of_another_fuse() {
        let levels = [(0, 0.160), (600, 0.030), (2400, 0.160)];
        let car = TestCar::asleep(&levels).marked(&[(600, "pull A1"), (3600, "refit A1")]);
        let judged = car.judged(120 * MIN);
        assert_eq!(judged.trials[1].finding, Finding::NoChange);
        assert!(judged.unclaimed.is_empty(), "{:?}", judged.unclaimed);
    }

    /// A new level is not that of a state that was.
    #[test]
    fn a_rise_to_another_level_puts_nothing_back() {
        let levels = [(0, 0.160), (600, 0.030), (2400, 0.110), (6600, 0.030)];
        let car = TestCar::asleep(&levels).marked(&[(600, "pull A1"), (6600, "pull A1")]);
        assert_eq!(car.trial(180 * MIN).finding, Finding::Spoiled);
    }
}
