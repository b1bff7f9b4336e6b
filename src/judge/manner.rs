//! How a fall came: at once with the removal, or late and in stages.
//!
//! A direct load leaves with its fuse. A fall that comes later means that the removed part kept
//! other modules awake: the fault may sit on another circuit of the same network.

use super::finding::{Level, Manner};
use super::hand::{self, HAND_S};
use super::phase::{BLIND_S, Settling};
use super::uncertainty::Estimate;
use crate::reading::number::f64_from_usize;
use crate::reading::{Elapsed, quantity};
use crate::session::Session;

/// The immediate part is the mean of this long after the step ...
const IMMEDIATE_S: f64 = 20.0;
/// ... beginning this long after it.
const PAST_EDGE_S: f64 = 1.0;
/// A remainder below this, or this share of the change, is no second part.
const PART_MIN_A: f64 = 0.005;
const PART_SHARE: f64 = 0.10;
/// The car woke when it drew this much more than before, for this many seconds.
const WOKE_MIN_A: f64 = 0.030;
const WOKE_SHARE: f64 = 0.30;
const WOKE_S: usize = 5;

/// The manner of a change, and what else is to be said of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Seen {
    /// The manner; `None` for no fall, or when the car woke in between.
    pub manner: Option<Manner>,
    /// In words; empty when there is nothing to say.
    pub words: String,
}

/// How the change from `before` to `after` came, for a mark made at `at`.
#[must_use]
pub fn manner(
    session: &Session,
    at: Elapsed,
    before: &Estimate,
    after: &Estimate,
    settling: &Settling,
    change: &Level,
) -> Seen {
    let begin = at.plus_secs(-HAND_S);
    if let Some(blind) = blind(session, begin, settling.data_from) {
        return Seen {
            manner: None,
            words: format!("blind for {blind} in between, so nobody saw how it came"),
        };
    }
    let track = session.signal().track();
    // What was put back draws by itself: that is no wake.
    let high_a = before.a.max(after.a);
    let woken_a = high_a + WOKE_MIN_A.max(WOKE_SHARE * high_a.abs());
    let woken = |from: Elapsed, to: Elapsed| {
        let blocks = track.between(from, to).iter();
        blocks.filter(|b| b.count > 0 && f64::from(b.mean_a) > woken_a)
    };
    let woken_already = woken(begin.plus_secs(-HAND_S), begin).count() > 0;
    let mut since = woken(begin, settling.data_from);
    if !woken_already && let (Some(first), true) = (since.next(), since.count() + 1 >= WOKE_S) {
        let by_itself = first.from.secs_since(at) > HAND_S;
        return Seen {
            manner: None,
            words: if by_itself {
                let after = quantity::span(first.from.secs_since(at));
                format!(
                    "the car woke {after} after (of this, or of something else?) and slept again"
                )
            } else {
                "this woke the car, which then slept again".into()
            },
        };
    }
    let fall_a = -change.a;
    if fall_a <= change.u_a {
        return Seen::default();
    }
    let edge = edge(session, at);
    let next = session
        .signal()
        .changes()
        .iter()
        .find(|c| c.t > edge.plus_secs(PAST_EDGE_S));
    let end = edge.plus_secs(IMMEDIATE_S);
    let end = next.map_or(end, |next| end.min(next.t.plus_secs(-PAST_EDGE_S)));
    let blocks = track.between(edge.plus_secs(PAST_EDGE_S), end);
    let values: Vec<f64> = blocks
        .iter()
        .filter(|b| b.count > 0)
        .map(|b| f64::from(b.mean_a))
        .collect();
    if values.is_empty() {
        return Seen::default();
    }
    let held_a = values.iter().sum::<f64>() / f64_from_usize(values.len());
    let (at_once_a, late_a) = (before.a - held_a, held_a - after.a);
    let part_a = PART_MIN_A.max(PART_SHARE * fall_a).max(change.u_a);
    let (manner, words) = if late_a <= part_a {
        (Manner::AtOnce, String::new())
    } else if at_once_a <= part_a {
        let words = "it kept others awake; the fault may sit elsewhere on the network";
        (
            Manner::Late,
            format!("{words}{}", lone_fall(session, at, edge, settling)),
        )
    } else {
        let (at_once, late) = (quantity::current(at_once_a), quantity::current(late_a));
        (
            Manner::Both,
            format!("{at_once} of its own, and it kept {late} awake"),
        )
    };
    Seen {
        manner: Some(manner),
        words,
    }
}

/// How the change of a whole run came, by the first looks at each of its removals: what they do not
/// show fell by itself later, wherever in the run that was.
#[must_use]
pub fn of_run(looks: &[Level], change: &Level) -> Seen {
    let fall_a = -change.a;
    let at_once_a = -looks.iter().map(|look| look.a).sum::<f64>();
    let squares = looks.iter().map(|look| look.u_a.powi(2)).sum::<f64>();
    let part_a = PART_MIN_A
        .max(PART_SHARE * fall_a)
        .max(squares.sqrt().hypot(change.u_a));
    let late_a = fall_a - at_once_a;
    let tell = "put back one at a time to tell which";
    let (manner, words) = if late_a <= part_a {
        (Manner::AtOnce, String::new())
    } else if at_once_a <= part_a {
        (
            Manner::Late,
            format!("one of them kept others awake; {tell}"),
        )
    } else {
        let (at_once, late) = (quantity::current(at_once_a), quantity::current(late_a));
        (
            Manner::Both,
            format!("{at_once} of their own, and one of them kept {late} awake; {tell}"),
        )
    };
    Seen {
        manner: Some(manner),
        words,
    }
}

/// For how long evidence was missing in the stretch, if for too long.
fn blind(session: &Session, from: Elapsed, to: Elapsed) -> Option<String> {
    let gaps = session.signal().gaps().iter();
    let within = gaps.filter(|gap| gap.to > from && gap.from < to);
    let blind_s: f64 = within.map(|gap| gap.to.secs_since(gap.from)).sum();
    (blind_s > BLIND_S).then(|| quantity::span(blind_s))
}

/// Modules fall asleep in stages; a single fall after the mark may be the removal itself, marked
/// too early.
fn lone_fall(session: &Session, at: Elapsed, edge: Elapsed, settling: &Settling) -> String {
    let changes = session.signal().changes().iter();
    let mut falls = changes.filter(|c| c.t > edge && c.t <= settling.proven && c.to_a < c.from_a);
    match (falls.next(), falls.next()) {
        (Some(fall), None) => {
            let after = quantity::span(fall.t.secs_since(at));
            format!(" (one fall, {after} after the mark: or was the mark too early?)")
        }
        (Some(_), Some(_)) => format!(" (it fell in {} stages)", 2 + falls.count()),
        (None, _) => String::new(),
    }
}

/// Where the removal itself shows in the signal; the mark where it does not.
fn edge(session: &Session, at: Elapsed) -> Elapsed {
    let changes = session.signal().changes().iter();
    changes
        .filter_map(|change| Some((hand::apart_s(change.t, at)?, change.t)))
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map_or(at.plus_secs(PAST_EDGE_S), |(_, t)| t)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_looks_of_a_run_do_not_show_came_late() {
        let level = |a: f64| Level { a, u_a: 0.002 };
        let of = |looks: [f64; 2]| of_run(&looks.map(level), &level(-0.5)).manner;
        assert_eq!(of([-0.3, -0.2]), Some(Manner::AtOnce));
        assert_eq!(of([-0.02, 0.0]), Some(Manner::Late));
        assert_eq!(of([-0.2, 0.0]), Some(Manner::Both));
    }
}
