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
#[must_use]
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

    #[test]
    fn half_as_long_again_in_whole_minutes() {
        for (took_s, expected_s) in [(800.0, 1200.0), (801.0, 1260.0), (10.0, 60.0)] {
            assert!((timeout_s(took_s) - expected_s).abs() < 1e-9, "{took_s}");
        }
    }

    use crate::judge::stay::testkit::{at, basis, car, deed, rested, seen, shown, stays, unseen};
    use crate::judge::stay::{Opening, Stay};
    use crate::session::mark::Did;

    fn took_s(all: Vec<Stay>) -> Option<f64> {
        let session = car(&[(0, 0.03)], 5).session();
        learned(&basis(&session), &stays(&[&[]], all)).map(|learned| learned.took_s)
    }

    /// Locked at 100 s, fallen to `a` so much later and watched until then.
    fn slept(fell_s: u32, until_s: u32, a: f64, ground: Ground) -> Stay {
        let shown =
            shown(200, until_s, a).but(|shown| (shown.fell, shown.arrived) = (at(fell_s), at(200)));
        let stay = rested(100, until_s, deed(1, Did::Lock), a, ground);
        seen(stay, shown)
    }

    #[test]
    fn a_sleep_is_learned_from_a_lock_to_the_last_fall() {
        let proven = Ground::TimedOut;
        for (stay, expected, why) in [
            (
                slept(500, 1000, 0.03, proven),
                Some(400.0),
                "seen to its end",
            ),
            (slept(500, 1000, 0.06, proven), None, "above the limit"),
            (
                slept(500, 1000, 0.03, Ground::AtLimit),
                None,
                "it may fall further",
            ),
            (
                slept(500, 750, 0.03, proven),
                None,
                "not watched for as long as it took",
            ),
            (
                slept(300, 550, 0.03, proven),
                Some(200.0),
                "watched for as long",
            ),
            (
                slept(600, 1000, 0.03, proven),
                Some(500.0),
                "watched for half the time-out",
            ),
            (
                slept(800, 1500, 0.03, proven),
                Some(100.0),
                "what fell after the time-out is another fall",
            ),
            (
                Stay {
                    opening: Opening::Start,
                    ..slept(500, 1000, 0.03, proven)
                },
                None,
                "no lock",
            ),
            (unseen(100, 1000, deed(1, Did::Lock)), None, "nothing seen"),
        ] {
            assert_eq!(took_s(vec![stay]), expected, "{why}");
        }
        let twice = vec![
            slept(300, 1000, 0.03, proven),
            slept(500, 1000, 0.03, proven),
        ];
        assert_eq!(took_s(twice), Some(400.0), "the longest");
    }
}
