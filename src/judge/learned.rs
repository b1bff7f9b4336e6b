//! How long this car needs to fall asleep, once it was seen to do so; offered as its time-out,
//! never used in silence.

use super::rules::LIE_TIMES;
use super::stay::asleep::Ground;
use super::stay::{Basis, Stays};

/// A sleep that was seen from its beginning to its end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Learned {
    /// From a lock to the last fall, in seconds.
    pub took_s: f64,
    /// What would do as the time-out, in seconds.
    pub timeout_s: f64,
}

/// The longest sleep seen from a lock on: a short one after a glance into the car must not shorten
/// the next wait, and a wake's length is the wake's. Only a sleeping car's level, below the limit,
/// proves that it was the end; a stay in which the car was still up is longer than it lasted.
pub fn learned(basis: &Basis<'_>, stays: &Stays) -> Option<Learned> {
    let after_lock = stays.all.iter().filter(|stay| stay.opening.is_lock());
    let took = after_lock.filter_map(|stay| {
        let sure = stay.rest.ground != Some(Ground::AtLimit);
        let shown = stay
            .rested()
            .filter(|shown| sure && shown.level.a <= basis.limit_a)?;
        let stood = shown.until.secs_since(shown.fell)
            >= shown.fell.secs_since(stay.from).min(basis.timeout_s / 2.0);
        let fell = if shown.fell.secs_since(stay.clock) < basis.timeout_s {
            shown.fell
        } else {
            shown.arrived
        };
        stood.then(|| fell.secs_since(stay.from))
    });
    took.max_by(f64::total_cmp).map(|took_s| Learned {
        took_s,
        timeout_s: timeout_s(took_s),
    })
}

fn timeout_s(took_s: f64) -> f64 {
    let minutes = (LIE_TIMES * took_s / 60.0).ceil();
    60.0 * minutes.max(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::kit::{MIN, TestCar};

    #[test]
    fn half_as_long_again_in_whole_minutes() {
        for (took_s, expected_s) in [(800.0, 1200.0), (801.0, 1260.0), (10.0, 60.0)] {
            assert!((timeout_s(took_s) - expected_s).abs() < 1e-9, "{took_s}");
        }
    }

    /// Locked at 20 s, at `asleep_s` down to `level_a`.
    fn took_s(asleep_s: u32, level_a: f64, end_s: u32) -> Option<f64> {
        let levels = [(0, 3.3), (20, 1.9), (asleep_s, level_a)];
        let car = TestCar::of(&levels).marked(&[(20, "lock")]);
        let learned = car.stays(end_s, learned);
        learned.map(|learned| learned.took_s.round())
    }

    /// A sleep teaches where it ended at or below the limit of 50 mA, the time-out of 45 min has
    /// run, and the level stood for as long as the way down took.
    #[test]
    fn only_a_sleep_that_was_seen_to_end_teaches() {
        assert_eq!(took_s(10 * MIN, 0.020, 60 * MIN), Some(580.0));
        assert_eq!(
            took_s(10 * MIN, 0.020, 40 * MIN),
            None,
            "the time-out has not run"
        );
        assert_eq!(took_s(10 * MIN, 0.120, 60 * MIN), None, "above the limit");
        assert_eq!(
            took_s(40 * MIN, 0.020, 55 * MIN),
            None,
            "it stood too short"
        );
        assert_eq!(took_s(40 * MIN, 0.020, 66 * MIN), Some(2380.0));
    }
}
