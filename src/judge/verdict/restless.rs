//! No stay of the state in force can be judged by its rest: nothing settled yet, or a car that
//! never rests, which is judged on its long-run average.

use super::{VerdictNow, against_limit, reservations, rulings};
use crate::judge::average::LongRun;
use crate::judge::finding::Verdict;
use crate::judge::lattice::{self, Allows, Joined, Ruling};
use crate::judge::pool::Pool;
use crate::judge::reason::{Implausible, VerdictReason};
use crate::judge::rules::{EDGE_S, SURE, WATCH_MAX_S};
use crate::judge::stay::shown::Shown;
use crate::judge::stay::{Basis, Stay, Stays, asleep};
use crate::judge::{uncertainty, volts};
use crate::reading::number::round_to_usize;
use crate::signal::mean::WINDOW_MAX_S;
use crate::signal::track::{self, Block};

/// What can be said where nothing has settled.
pub(super) fn without_level(basis: &Basis<'_>, stays: &Stays, stretch: &[Stay]) -> VerdictNow {
    let Some(stay) = stretch.last() else {
        return said(lattice::join(Verdict::NotSettled, Vec::new()), None);
    };
    let average = average(basis, stays, stay);
    let (measured, mut rulings) = match &average {
        Some(average) => {
            let restless = VerdictReason::Restless {
                average_a: average.level.a,
                u_a: average.level.u_a,
                over_s: average.over_s,
            };
            (Verdict::Above, vec![Ruling::remark(restless)])
        }
        None => (Verdict::CannotTell, unsettled(basis, stay)),
    };
    if let Some(hidden) = basis.evidence.at(basis.end()) {
        rulings = vec![reservations::fault(hidden)];
    } else if let Some(deed) = just_done(basis) {
        let unread = VerdictReason::NoReadingSince { deed };
        rulings = vec![Ruling::new(unread, Allows::NotSettled)];
    }
    rulings.extend(volts::ruling(basis, stay.clock, stay.to));
    rulings.extend(rulings::with_out(stays, stay).map(Ruling::remark));
    said(lattice::join(measured, rulings), average)
}

fn said(joined: Joined, average: Option<LongRun>) -> VerdictNow {
    let average = average.filter(|_| joined.verdict == Verdict::Above);
    VerdictNow {
        settled: None,
        average,
        verdict: joined.verdict,
        stands_at: joined.stands_at,
        reasons: joined.reasons,
        credible: false,
    }
}

/// The last mark, while no reading has come since.
fn just_done(basis: &Basis<'_>) -> Option<String> {
    let last = basis.session.marks().next_back()?;
    let read = basis.session.signal().last_t()?;
    (read <= last.at()).then(|| last.mark.to_string())
}

/// Nothing has settled: for how long, and what else is odd about it.
fn unsettled(basis: &Basis<'_>, stay: &Stay) -> Vec<Ruling> {
    let level = stay.shown.as_deref().map(|shown| shown.level);
    let odd = level.and_then(|level| {
        let kind = reservations::implausible(basis, &level, Verdict::NotSettled)?;
        let is_sure = matches!(kind, Implausible::Unit | Implausible::Negative);
        is_sure.then(|| reservations::not_of_a_car(&level, kind))
    });
    // No wait turns a current round.
    if level.is_some_and(|level| level.a < 0.0) && odd.is_some() {
        return odd.into_iter().collect();
    }
    let mut rulings: Vec<Ruling> = odd.into_iter().collect();
    let waited_s = basis.end().secs_since(stay.clock);
    let unsettled = VerdictReason::Unsettled {
        at_a: level.map(|level| level.a),
        waited_s,
        timeout_s: basis.timeout_s,
    };
    rulings.push(Ruling::new(unsettled, Allows::NotSettled));
    if waited_s > basis.timeout_s && !asleep::is_waiting(basis, stay) {
        rulings.push(Ruling::remark(VerdictReason::NotLocked));
    }
    rulings
}

/// The average of a car that stayed up for so long that it does not sleep, if it is surely above.
fn average(basis: &Basis<'_>, stays: &Stays, stay: &Stay) -> Option<LongRun> {
    let up = Pool::of(stays, stay.setup).up(basis)?;
    let shown = stay.shown.as_deref();
    // What stands at one level since it came down is at rest, and only not for long enough.
    let is_flat = |shown: &Shown| shown.held.secs_since(shown.arrived) <= EDGE_S;
    let has_fallen = || stay.turned(basis).is_some_and(|(_, fell)| fell);
    if shown.map_or_else(has_fallen, |shown| {
        is_flat(shown) || shown.has_just_fallen()
    }) {
        return None;
    }
    // What came down to a new low just now may go on falling.
    let since = shown.map_or(stay.clock, |shown| shown.arrived.max(stay.clock));
    let waited_s = stay.to.secs_since(since);
    if up.p >= 1.0 - SURE || waited_s < basis.timeout_s {
        return None;
    }
    let from = since.max(stay.from).max(stay.to.plus_secs(-WATCH_MAX_S));
    let track = basis.session.signal().track();
    let watched = track.between(from, stay.to);
    let blocks: Vec<Block> = track::read(watched).copied().collect();
    let wide = blocks.len().div_ceil(round_to_usize(WINDOW_MAX_S)).max(1);
    let values: Vec<Block> = blocks.chunks(wide).filter_map(joined).collect();
    let average = uncertainty::of(basis.session, &values)?;
    (against_limit(&average, basis.limit_a) == Verdict::Above).then(|| LongRun {
        level: average.level(),
        over_s: stay.to.secs_since(from),
        wakes: 0,
        is_open: watched.iter().any(Block::is_over),
    })
}

/// Neighbouring blocks as one, each weighed by its readings.
fn joined(blocks: &[Block]) -> Option<Block> {
    let first = blocks.first()?;
    let (sum, count) = blocks.iter().fold((0.0f32, 0.0f32), |(sum, count), block| {
        let n = f32::from(block.count());
        (n.mul_add(block.mean_a, sum), count + n)
    });
    let of = |value: fn(&Block) -> f32| blocks.iter().map(value);
    Some(Block {
        mean_a: sum / count.max(1.0),
        min_a: of(|block| block.min_a).fold(f32::INFINITY, f32::min),
        max_a: of(|block| block.max_a).fold(f32::NEG_INFINITY, f32::max),
        resolution_a: of(|block| block.resolution_a).fold(f32::INFINITY, f32::min),
        ..*first
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::kit::{MIN, TestCar};
    use crate::judge::reason::VerdictReason as Why;
    use crate::reading::Elapsed;
    use crate::signal::track::{Moment, Reads};

    /// A joined block says what all of it showed: with the extremes of its first second alone its
    /// mean would be taken for a display code far away.
    #[test]
    fn a_joined_block_holds_the_mean_and_the_extremes_of_all() {
        let block = |mean_a: f32, count| Block {
            from: Moment::of(Elapsed::ZERO),
            reads: Reads::of(count),
            mean_a,
            min_a: mean_a - 0.001,
            max_a: mean_a + 0.001,
            resolution_a: 0.001,
        };
        let joined = joined(&[block(0.027, 3), block(6.6, 1), block(-1.9, 4)]).unwrap();
        let expected = (3.0 * 0.027 + 6.6 - 4.0 * 1.9) / 8.0;
        assert!((joined.mean_a - expected).abs() < 1e-6, "{joined:?}");
        assert!((joined.min_a + 1.901).abs() < 1e-6 && (joined.max_a - 6.601).abs() < 1e-6);
    }

    /// A locked car that stays up is above once it is surely up for longer than it sleeps in:
    /// its time-out of 45 min.
    #[test]
    fn a_car_that_never_rests_is_judged_by_its_average() {
        let restless: Vec<(u32, f64)> = (0..300)
            .flat_map(|i| [(60 * i, 2.0), (60 * i + 25, 0.9)])
            .collect();
        let judged = |mark: &str, end_s| TestCar::of(&restless).marked(&[(0, mark)]).judged(end_s);
        let early = judged("lock", 40 * MIN);
        assert_eq!(early.verdict, Verdict::NotSettled);
        let late = judged("lock", 100 * MIN);
        assert_eq!(late.verdict, Verdict::Above, "{:?}", late.reasons);
        let open = judged("unlock", 100 * MIN);
        assert_eq!(open.verdict, Verdict::NotSettled);
        assert!(open.reasons.contains(&Why::NotLocked), "{:?}", open.reasons);
        assert!(!early.reasons.contains(&Why::NotLocked));
    }

    #[test]
    fn a_deed_that_no_reading_has_followed_is_told() {
        let car = TestCar::asleep(&[(0, 0.160), (600, f64::NAN)]).marked(&[(601, "pull A1")]);
        let judged = car.judged(602);
        assert_eq!(judged.verdict, Verdict::NotSettled);
        assert!(matches!(&judged.reasons[0], Why::NoReadingSince { deed } if deed.contains("A1")));
        let read = TestCar::asleep(&[(0, 0.160)])
            .marked(&[(601, "pull A1")])
            .judged(610);
        assert!(
            !read
                .reasons
                .iter()
                .any(|why| matches!(why, Why::NoReadingSince { .. }))
        );
    }

    /// A wrong unit is said beside that nothing has settled: a wait may still tell. An open car that was
    /// locked for a while is no car that stays up.
    #[test]
    fn what_has_not_settled_says_what_is_odd_about_it() {
        let of = |level_a, marks: &[(u32, &str)], end_s| {
            TestCar::of(&[(0, level_a)]).marked(marks).judged(end_s)
        };
        let unit = of(12.0, &[(0, "unlock")], 20 * MIN);
        let is_odd = |why: &Why| matches!(why, Why::Implausible { .. });
        let is_open = |why: &Why| matches!(why, Why::Unsettled { .. });
        assert!(unit.reasons.iter().any(is_odd) && unit.reasons.iter().any(is_open));
        assert!(!unit.reasons.contains(&Why::NotLocked));
        let open = of(2.0, &[(0, "lock"), (600, "unlock")], 120 * MIN);
        assert_eq!(open.verdict, Verdict::NotSettled, "{:?}", open.reasons);
    }
}
