//! The two sides of a comparison: the best stay of each state, the nearest ones first.

use super::{Bench, hindsight};
use crate::judge::first_look::BriefMean;
use crate::judge::levels;
use crate::judge::rules::{AT_ONCE_S, EDGE_S, MARK_TOLERANCE_S, OPENED_A, OPENED_SHARE, REST_S};
use crate::judge::setup::Setup;
use crate::judge::stay::asleep::{self, Ground};
use crate::judge::stay::shown::Shown;
use crate::judge::stay::{Opening, Stay, Stays};
use crate::judge::uncertainty::Estimate;
use crate::session::mark::{Did, MarkId};

/// One side.
#[derive(Clone, Debug)]
pub(super) struct Side<'a> {
    pub stay: &'a Stay,
    pub shown: &'a Shown,
    /// Whether the car slept in it.
    pub is_rested: bool,
    /// Whether it lies beside the deed, with nothing in between.
    pub is_adjacent: bool,
    /// Whether it reached its level late and above the limit: perhaps a stage on the way down.
    pub is_late: bool,
    /// Its level, from the minutes next to the deed.
    pub level: Estimate,
}

impl Side<'_> {
    /// Whether its level was reached later than the deed itself would.
    pub(super) fn fell_late(&self) -> bool {
        asleep::falls_late_in(self.stay, self.shown)
    }
}

/// Both sides of one deed.
#[derive(Clone, Debug)]
pub(super) struct Sides<'a> {
    pub before: Option<Side<'a>>,
    pub after: Option<Side<'a>>,
    /// The deeds that lie between them, this one last: more than one is a run.
    pub run: Vec<MarkId>,
    /// The level that stood just before the deed, whatever it was, in ampere.
    pub just_before_a: Option<f64>,
    /// Whether the state after it is the one in force.
    pub is_open: bool,
}

impl<'a> Sides<'a> {
    /// Of the deed that began the stay numbered `at`.
    pub(super) fn of(bench: &Bench<'a>, at: usize) -> Self {
        let all = &bench.stays.all;
        let setup = all.get(at).map_or(0, |stay| stay.setup);
        let rest = all.get(at..).unwrap_or(&[]);
        // A rise that nobody marked is another deed, of an unknown hand.
        let own = rest
            .iter()
            .enumerate()
            .take_while(|(i, stay)| {
                stay.setup == setup && (*i == 0 || stay.opening != Opening::Unmarked)
            })
            .count();
        let stretch = rest.get(..own).unwrap_or(&[]);
        let did = rest.first().map(|stay| stay.opening);
        bench.stays_to(at + own);
        let (before, run) = before(bench, at);
        let run = if matches!(did, Some(Opening::Deed(_, Did::Swap))) {
            run.into_iter().rev().take(1).collect()
        } else {
            run
        };
        let adjacent = at.checked_sub(1).and_then(|i| all.get(i));
        let just_before_a = adjacent.and_then(|stay| match stay.shown.as_deref() {
            Some(shown) => shown.risen.is_none().then_some(shown.level.a),
            None => brief_a(bench, stay),
        });
        let after =
            after(stretch).map(|one| hindsight::fallen_later(bench, at + own, &one).unwrap_or(one));
        let before = match (before, &after) {
            (Some(before), Some(after)) => {
                hindsight::risen_before(bench, at, &before, after).or(Some(before))
            }
            (before, _) => before,
        };
        Self {
            before,
            after,
            run,
            just_before_a,
            is_open: at + own == all.len(),
        }
    }
}

impl Sides<'_> {
    /// Whether the deed was done at the level that the state before it has when it is left alone: a
    /// car that was opened shows no load of its own.
    pub(super) fn own_counts_from(&self, before: &Side<'_>) -> bool {
        let level_a = before.shown.level.a;
        let close_a = (OPENED_SHARE * level_a).max(OPENED_A);
        let is_close = |a: f64| (a - level_a).abs() <= close_a;
        before.is_adjacent || self.just_before_a.is_some_and(is_close)
    }
}

/// The current at the end of a stay that is too short to show a level, in ampere.
fn brief_a(bench: &Bench<'_>, stay: &Stay) -> Option<f64> {
    let to = stay.to.plus_secs(-2.0 * EDGE_S);
    let begun = stay.from.plus_secs(MARK_TOLERANCE_S);
    let from = begun.max(to.plus_secs(-AT_ONCE_S));
    let brief = BriefMean::of(bench.basis.session, from, to)?;
    Some(brief.a())
}

pub(super) fn side(stay: &Stay, is_adjacent: bool, is_before: bool) -> Option<Side<'_>> {
    let shown = stay.shown.as_deref()?;
    let [first, last] = shown.beside;
    let late = asleep::falls_late_in(stay, shown) && !stay.rest.stands();
    Some(Side {
        stay,
        shown,
        is_rested: stay.rest.stands(),
        is_adjacent,
        is_late: late,
        level: if is_before { last } else { first },
    })
}

/// The side before, and the deeds since it.
fn before<'a>(bench: &Bench<'a>, at: usize) -> (Option<Side<'a>>, Vec<MarkId>) {
    let all = &bench.stays.all;
    let ids = |from: usize| -> Vec<MarkId> {
        let deeds = all.get(from + 1..=at).unwrap_or(&[]).iter();
        deeds
            .filter_map(|stay| stay.opening.tried().map(|(id, _)| id))
            .collect()
    };
    let Some(stay) = all.get(at) else {
        return (None, Vec::new());
    };
    let Opening::Deed(own_id, did) = stay.opening else {
        return (None, Vec::new());
    };
    if did == Did::Swap {
        return (with_old_part(bench, at), vec![own_id]);
    }
    let Some(last) = at.checked_sub(1) else {
        return (None, vec![own_id]);
    };
    let adjacent = all.get(last).and_then(|stay| side(stay, true, true));
    if adjacent.as_ref().is_some_and(|side| side.is_rested) {
        return (adjacent, vec![own_id]);
    }
    let old = all.get(last).map_or(0, |stay| stay.setup);
    if let Some(pooled) =
        best(bench.stays, old, at).or_else(|| side(bench.newest_standing(old)?, false, true))
    {
        return (Some(pooled), vec![own_id]);
    }
    let standing = |least_s: f64| {
        let adjacent = adjacent.clone();
        adjacent.filter(|side| side.shown.stood_s > least_s)
    };
    // A removal out of a sleeping car changes its level at once, or not yet.
    let inherits = |side: &Side<'_>| side.stay.rest.inherited && !side.is_late;
    if let Some(sleeping) = standing(AT_ONCE_S).filter(inherits) {
        let sleeping = Side {
            is_rested: true,
            ..sleeping
        };
        return (Some(sleeping), vec![own_id]);
    }
    if let Some(standing) = standing(REST_S) {
        return (Some(standing), vec![own_id]);
    }
    // Deeds of one kind in quick succession are a run: compared with the state before the first.
    let mut first = last;
    while let Some(stay) = all.get(first)
        && (stay.opening.tried()).is_some_and(|(_, earlier)| earlier.removes() == did.removes())
        && !stay.rest.stands()
        && first > 0
    {
        first -= 1;
    }
    let root = all
        .get(first)
        .and_then(|stay| side(stay, true, true))
        .filter(|side| side.is_rested && first < last);
    if root.is_some() {
        return (root, ids(first));
    }
    let alone = bench.pool(old).left_alone();
    let longest = alone.filter(|earlier| earlier.shown.is_some() && earlier.from < stay.from);
    let longest = longest.max_by_key(|stay| stay.to.ms() - stay.from.ms());
    (
        standing(AT_ONCE_S).or_else(|| longest.and_then(|stay| side(stay, false, true))),
        vec![own_id],
    )
}

/// The newest stay of this state in which the car slept, of those before the stay numbered
/// `until`.
fn best(stays: &Stays, setup: usize, until: usize) -> Option<Side<'_>> {
    side(
        stays.standing_before(setup, until).next_back()?,
        false,
        true,
    )
}

/// For a new part: the state with the old one in and the same things out.
fn with_old_part<'a>(bench: &Bench<'a>, at: usize) -> Option<Side<'a>> {
    let stays = bench.stays;
    let new = stays.setups.get(stays.all.get(at)?.setup)?;
    let old = Setup {
        swaps: new.swaps.checked_sub(1)?,
        ..Setup::clone(new)
    };
    let setup = stays.number_of(&old)?;
    if let Some(rested) = best(stays, setup, at) {
        return Some(rested);
    }
    let longest = bench
        .pool(setup)
        .left_alone()
        .filter(|stay| stay.shown.is_some());
    side(
        longest.max_by_key(|stay| stay.to.ms() - stay.from.ms())?,
        false,
        true,
    )
}

/// The last stay in which the car slept; else what there is.
fn after(stretch: &[Stay]) -> Option<Side<'_>> {
    let last_rested = stretch.iter().rposition(|stay| stay.standing().is_some());
    // What was settled early and is judged anew after a lock counts by its end.
    let first_sure = stretch.iter().position(|stay| {
        stay.standing().is_some() && !matches!(stay.rest.ground, Some(Ground::Removed))
    });
    let at = match (first_sure, last_rested) {
        (Some(sure), Some(last)) if same(stretch, sure, last) => sure,
        (_, last) => last.or_else(|| stretch.iter().position(|stay| stay.shown.is_some()))?,
    };
    side(stretch.get(at)?, at == 0, false)
}

fn same(stretch: &[Stay], one: usize, other: usize) -> bool {
    let level = |i: usize| {
        stretch
            .get(i)
            .and_then(Stay::standing)
            .map(|shown| shown.level.a)
    };
    level(one)
        .zip(level(other))
        .is_some_and(|(a, b)| levels::same(a, b))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::comparison::testkit::{bench, case};
    use crate::judge::kit::TestCar;
    use crate::judge::stay::testkit::unseen;

    /// Within 15 % of the level that the state has when it is left alone, or 10 mA, nobody opened it.
    #[test]
    fn a_car_at_its_own_level_was_not_opened() {
        for (level_a, just_before_a, expected) in [
            (0.160, 0.183, true),
            (0.160, 0.186, false),
            (0.160, 0.137, true),
            (0.160, 0.134, false),
            (0.030, 0.039, true),
            (0.030, 0.041, false),
        ] {
            let car = TestCar::asleep(&[(0, level_a), (600, 0.010)]).marked(&[(600, "pull A1")]);
            let counts = case(&car, 1500, |case| {
                let before = Side {
                    is_adjacent: false,
                    ..case.before.clone()
                };
                let sides = Sides {
                    just_before_a: Some(just_before_a),
                    ..case.sides.clone()
                };
                sides.own_counts_from(&before)
            });
            assert_eq!(counts, expected, "{just_before_a} at {level_a}");
        }
    }

    /// Twenty seconds up to three before the deed, but for the eight in which a hand was at the car.
    #[test]
    fn what_an_open_car_draws_is_read_just_before_the_deed() {
        let levels = [(0, 0.1), (600, 5.0), (636, 1.0), (648, 2.0), (657, 9.0)];
        let car = TestCar::of(&levels).display(3, 0.0);
        let brief = |from_s, to_s| {
            let stay = unseen(from_s, to_s, Opening::Start);
            bench(&car, 700, |bench| brief_a(bench, &stay))
        };
        let found_a = brief(600, 660).unwrap();
        assert!((found_a - 1.42).abs() < 0.05, "{found_a}");
        let found_a = brief(630, 651).unwrap();
        assert!((found_a - 1.0).abs() < 0.05, "{found_a}");
        assert_eq!(brief(640, 651), None, "nothing is left");
    }

    /// Out of a sleeping car: what stood for twenty seconds after the removal before is compared with,
    /// what stood for less makes the two a run.
    #[test]
    fn a_removal_is_compared_with_the_level_that_the_one_before_left() {
        for (next_s, run, change_a) in [(640, 1, -0.070), (615, 2, -0.130)] {
            let car = TestCar::asleep(&[(0, 0.160), (600, 0.100), (next_s, 0.030)]);
            let car = car.marked(&[(600, "pull A1"), (next_s, "pull B2")]);
            case(&car, 1800, |case| {
                assert_eq!(case.sides.run.len(), run, "{next_s}");
                let change = case.resting.change;
                assert!((change.a - change_a).abs() < 0.001, "{next_s}: {change:?}");
            });
        }
    }

    /// What a deed is judged from goes as far as to the deed that ends its state.
    #[test]
    fn a_deed_asks_about_all_stays_of_its_state() {
        let car = TestCar::asleep(&[(0, 0.160), (600, 0.030), (1800, 0.020)]);
        let car = car.marked(&[(600, "pull A1"), (1200, "lock"), (1800, "pull B2")]);
        bench(&car, 2400, |bench| {
            let _sides = Sides::of(bench, 1);
            assert_eq!(bench.seen.borrow().reach, 3);
        });
    }
}
