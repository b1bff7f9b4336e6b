//! How long this car needs to fall asleep, once it was seen to do so; offered as its time-out,
//! never used in silence.

use super::phase::{Settling, Walk};

/// What one sleep took may take longer the next time (common practice, no source).
const MARGIN: f64 = 1.5;
/// Nobody sets a time-out to the second.
const ROUND_UP_TO_S: f64 = 60.0;

/// A sleep that was seen from its beginning to its end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Learned {
    /// From what kept the car awake to its last fall, in seconds.
    pub took_s: f64,
    /// What would do as the time-out, in seconds.
    pub timeout_s: f64,
}

/// The longest sleep seen: a short one after a glance into the car must not shorten the next
/// wait. Only a level that cannot fall any further proves that it was the end, and only a sleeping
/// car's: one held past the time-out above the limit may be a car that never slept.
#[must_use]
pub fn learned(walk: &Walk, limit_a: f64) -> Option<Learned> {
    let whole = |settling: &Settling| settling.descent.filter(|descent| descent.whole);
    walk.settlings
        .iter()
        .filter(|settling| !settling.ground.may_fall() && settling.is_sleep(limit_a))
        .filter_map(|settling| Some(whole(settling)?.took_s))
        .max_by(f64::total_cmp)
        .map(|took_s| Learned {
            took_s,
            timeout_s: timeout_s(took_s),
        })
}

fn timeout_s(took_s: f64) -> f64 {
    (MARGIN * took_s / ROUND_UP_TO_S).ceil().max(1.0) * ROUND_UP_TO_S
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::hold::Ground;
    use crate::judge::phase::Descent;
    use crate::reading::Elapsed;

    fn settled(ground: Ground, level_a: f64, took_s: f64, whole: bool) -> Settling {
        Settling {
            data_from: Elapsed::ZERO,
            proven: Elapsed::ZERO,
            since: Elapsed::ZERO,
            to: Elapsed::ZERO,
            level_a,
            ground,
            fuse_state: 0,
            descent: Some(Descent { took_s, whole }),
        }
    }

    fn of(settlings: &[Settling]) -> Option<f64> {
        let walk = Walk {
            settlings: settlings.to_vec(),
            ..Walk::default()
        };
        learned(&walk, 0.05).map(|learned| learned.timeout_s)
    }

    #[test]
    fn half_as_much_again_in_whole_minutes() {
        assert!((timeout_s(840.0) - 1260.0).abs() < 1e-9, "14 min: 21 min");
        assert!(
            (timeout_s(843.0) - 1320.0).abs() < 1e-9,
            "14 min 3 s: 22 min"
        );
        assert!((timeout_s(10.0) - 60.0).abs() < 1e-9);
    }

    #[test]
    fn only_a_proven_sleep_seen_whole_teaches() {
        assert_eq!(of(&[settled(Ground::AtLimit, 0.02, 840.0, true)]), None);
        assert_eq!(of(&[settled(Ground::TimedOut, 2.0, 840.0, true)]), None);
        assert_eq!(of(&[settled(Ground::TimedOut, 0.42, 71.0, true)]), None);
        assert_eq!(of(&[settled(Ground::TimedOut, 0.0, 60.0, true)]), None);
        assert_eq!(of(&[settled(Ground::TimedOut, 0.02, 840.0, false)]), None);
        let short = settled(Ground::Known, 0.02, 40.0, true);
        let long = settled(Ground::TimedOut, 0.02, 840.0, true);
        assert_eq!(of(&[short, long]), Some(1260.0));
    }
}
