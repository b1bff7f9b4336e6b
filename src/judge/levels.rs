//! The settled level of each state, in order: what the ledger and its contradictions are made of.

use std::collections::HashMap;
use std::sync::Arc;

use super::finding::Trial;
use super::rules::{DEAD_A, SAME_A, SAME_SHARE};
use super::stay::{Stay, Stays};
use super::uncertainty::Estimate;
use crate::session::mark::Did;

/// Whether this is the level of a meter that sees no current at all: a blown fuse of its own, or a
/// lead that has come off.
pub const fn is_dead(level_a: f64) -> bool {
    level_a.abs() < DEAD_A
}

/// Whether the last digits of a level move: a meter that shows next to nothing may yet see it.
pub fn moves(level: &Estimate) -> bool {
    level.spread_a > DEAD_A / 4.0
}

/// Whether two levels are the same level, but for what any car does by itself.
pub fn same(one_a: f64, other_a: f64) -> bool {
    (one_a - other_a).abs() <= SAME_A.max(SAME_SHARE * one_a.abs().max(other_a.abs()))
}

/// How many trials came before the first new part; no end of them where there is none.
pub fn before_repair(trials: &[Trial]) -> usize {
    let repaired = trials.iter().position(|trial| trial.did == Did::Swap);
    repaired.unwrap_or(usize::MAX)
}

/// A settled level, and what was off its supply when it was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct StateLevel {
    /// How many removals and refits came before it.
    pub fuse_state: usize,
    /// What was off its supply, sorted.
    pub out: Arc<[String]>,
    /// The level.
    pub level: Estimate,
}

/// The number of the state before each removal and refit and after the last.
pub fn states(stays: &Stays) -> Vec<usize> {
    let tried = stays.all.iter().filter(|stay| is_tried(stay));
    [0].into_iter()
        .chain(tried.map(|stay| stay.setup))
        .collect()
}

/// The last settled level of each state. A meter that sees nothing tells no level, and neither does
/// a state that is a guess.
pub fn levels(stays: &Stays) -> Vec<StateLevel> {
    let mut outs: HashMap<usize, Arc<[String]>> = HashMap::new();
    let mut found: Vec<StateLevel> = Vec::new();
    let mut fuse_state = 0;
    for stay in &stays.all {
        fuse_state += usize::from(is_tried(stay));
        let Some(shown) = stay.standing().filter(|shown| !is_dead(shown.level.a)) else {
            continue;
        };
        if is_guess(stays, stay.setup) || stay.rest.so_far && came_down_later(stays, stay) {
            continue;
        }
        let out = outs
            .entry(stay.setup)
            .or_insert_with(|| out_in(stays, stay.setup));
        let out = Arc::clone(out);
        found.pop_if(|known| known.fuse_state == fuse_state && known.out == out);
        found.push(StateLevel {
            fuse_state,
            out,
            level: shown.level,
        });
    }
    found
}

fn is_guess(stays: &Stays, setup: usize) -> bool {
    stays
        .setups
        .get(setup)
        .is_some_and(|setup| setup.guesses > 0 || !setup.in_run.is_empty())
}

/// Whether the state of this stay turned out to rest at another level.
fn came_down_later(stays: &Stays, stay: &Stay) -> bool {
    let newest = stays
        .newest_standing(stay.setup)
        .and_then(|at| stays.all.get(at));
    newest.is_some_and(|newest| newest.from > stay.from && !newest.rest.so_far)
}

fn out_in(stays: &Stays, setup: usize) -> Arc<[String]> {
    let setup = stays.setups.get(setup);
    setup
        .into_iter()
        .flat_map(|setup| &setup.out)
        .cloned()
        .collect()
}

const fn is_tried(stay: &Stay) -> bool {
    stay.opening.tried().is_some()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::kit::TestCar;

    /// 5 mA, or a twentieth of the larger: what any car does by itself.
    #[test]
    fn levels_are_the_same_within_what_a_car_does_by_itself() {
        for (one_a, other_a, expected) in [
            (0.020, 0.0249, true),
            (0.020, 0.0252, false),
            (0.0249, 0.020, true),
            (0.300, 0.3157, true),
            (0.300, 0.3160, false),
            (0.3160, 0.300, false),
            (-0.300, -0.3157, true),
            (-0.002, 0.002, true),
            (-0.300, 0.300, false),
        ] {
            assert_eq!(same(one_a, other_a), expected, "{one_a} {other_a}");
        }
    }

    #[test]
    fn less_than_a_milliampere_either_way_is_a_dead_meter() {
        for (a, expected) in [
            (0.0009, true),
            (-0.0009, true),
            (0.001, false),
            (-0.0011, false),
        ] {
            assert_eq!(is_dead(a), expected, "{a}");
        }
    }

    #[test]
    fn each_state_has_its_newest_level_and_what_was_out() {
        let car = TestCar::asleep(&[(0, 0.160), (600, 0.060), (1200, 0.030), (1800, 0.160)]);
        let marks = [(600, "pull A1"), (1200, "pull B2"), (1800, "refit A1+B2")];
        car.marked(&marks).stays(2400, |_, stays| {
            assert_eq!(states(stays).len(), 4);
            let found: Vec<_> = levels(stays)
                .iter()
                .map(|state| {
                    (
                        state.fuse_state,
                        state.out.join("+"),
                        (state.level.a * 1e3).round(),
                    )
                })
                .collect();
            let expected = [
                (0, "", 160.0),
                (1, "A1", 60.0),
                (2, "A1+B2", 30.0),
                (3, "", 160.0),
            ];
            assert_eq!(found, expected.map(|(n, out, ma)| (n, out.to_owned(), ma)));
        });
    }

    /// A label that was never out makes every later state a guess: it tells no level.
    #[test]
    fn a_state_that_is_a_guess_tells_no_level() {
        let car = TestCar::asleep(&[(0, 0.160)]).marked(&[(600, "refit A1")]);
        let found = car.stays(1200, |_, stays| levels(stays));
        assert_eq!(found.iter().map(|s| s.fuse_state).collect::<Vec<_>>(), [0]);
    }
}
