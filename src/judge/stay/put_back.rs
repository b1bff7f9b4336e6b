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
    use super::*;
    use crate::judge::finding::Finding;
    use crate::judge::kit::{MIN, TestCar};
    use crate::judge::stay::asleep::{Ground, SleepProof};
    use crate::judge::stay::testkit::{shown, unseen};

    /// A car that rested at 160 mA with all in, then at `before_a` with A1 out, out of which it went
    /// to `now_a` by itself: only a rise, to what it had with less out, puts A1 back.
    #[test]
    fn only_a_rise_to_a_level_of_less_out_puts_something_back() {
        let out = |label: &str| Setup {
            out: [label.to_owned()].into(),
            ..Setup::default()
        };
        let setups = [Setup::default(), out("A1"), out("B2")].map(Arc::new);
        let at = |n: u32, a, setup, opening| Stay {
            setup,
            shown: Some(Arc::new(shown(1000 * n, 1000 * n + 900, a))),
            rest: SleepProof {
                ground: Some(Ground::SaidAsleep),
                ..SleepProof::default()
            },
            ..unseen(1000 * n, 1000 * n + 900, opening)
        };
        for (full_a, before_a, now_a, with_out, expected, why) in [
            (0.160, 0.030, 0.160, 1, Some(0), "A1 came back"),
            (0.030, 0.160, 0.030, 1, None, "a fall takes something out"),
            (0.160, 0.156, 0.160, 1, None, "it stood there already"),
            (0.160, 0.030, 0.110, 1, None, "another level"),
            (0.160, 0.030, 0.160, 0, None, "nothing was out"),
        ] {
            let earlier = [
                at(0, full_a, 0, Opening::Start),
                at(1, before_a, with_out, Opening::Unmarked),
            ];
            let now = at(2, now_a, with_out, Opening::Unmarked);
            assert_eq!(put_back(&setups, &earlier, &now), expected, "{why}");
        }
        let earlier = [
            at(0, 0.160, 2, Opening::Start),
            at(1, 0.030, 1, Opening::Unmarked),
        ];
        let now = at(2, 0.160, 1, Opening::Unmarked);
        let other = put_back(&setups, &earlier, &now);
        assert_eq!(other, None, "another fuse was out then");
        let marked = Stay {
            opening: Opening::Start,
            ..now
        };
        assert_eq!(
            put_back(&setups, &earlier, &marked),
            None,
            "somebody says what it was"
        );
    }

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
