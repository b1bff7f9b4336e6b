//! How likely each candidate is, and the order and number in which they are best taken.

use super::Candidate;
use super::decide::Planner;
use super::search::{Choice, Elsewhere, Item, Search};
use super::usual::usual;
use crate::reading::number::f64_from_usize;
use crate::session::mark::Did;

/// The programme's time grows with the cube of its candidates: 13 ms at 120 (`benches/hunt.rs`),
/// and the board asks every second. What comes behind so many waits until one of them is out of the question.
const MOST_CANDIDATES: usize = 120;

impl Planner<'_> {
    pub(super) fn item(&self, unit: usize) -> Item {
        let unit = self.belief.units.get(unit);
        Item {
            chance: unit.map_or(0.0, |unit| unit.chance),
            handle_s: unit.map_or(0.0, |unit| unit.handle_s(self.brief.waits.handle_s)),
        }
    }

    /// Likeliest for its handling first.
    pub(super) fn sorted(&self, units: &[usize]) -> Vec<usize> {
        let worth = |unit: &usize| {
            let item = self.item(*unit);
            item.chance / item.handle_s.max(1.0)
        };
        let mut sorted = units.to_vec();
        sorted.sort_by(|a, b| worth(b).total_cmp(&worth(a)));
        sorted
    }

    pub(super) fn search(&self, units: &[usize], elsewhere: Elsewhere) -> Search {
        let likeliest = units.iter().take(MOST_CANDIDATES);
        let items: Vec<Item> = likeliest.map(|unit| self.item(*unit)).collect();
        Search::new(&items, self.brief.waits, elsewhere)
    }

    /// What comes when none of the first candidates draws: those left to the last, then what has
    /// no fuse.
    pub(super) fn first_and_elsewhere(&self, open: &[usize]) -> (Vec<usize>, Elsewhere) {
        let last = |unit: &&usize| self.belief.units.get(**unit).is_some_and(|unit| unit.last);
        let (last, first): (Vec<&usize>, Vec<&usize>) = open.iter().partition(last);
        let all: f64 = self.belief.units.iter().map(|unit| unit.chance).sum();
        let unfused = Elsewhere {
            chance: usual().odds.unfused_share * all,
            cost_s: usual().times.unfused_s,
        };
        let owned = |units: Vec<&usize>| units.into_iter().copied().collect::<Vec<_>>();
        let (first, last) = (self.sorted(&owned(first)), self.sorted(&owned(last)));
        if first.is_empty() || last.is_empty() {
            let units = if first.is_empty() { last } else { first };
            return (units, unfused);
        }
        let of_last = self.chance_of(&last);
        let then = self.choice(&last, unfused);
        let elsewhere = Elsewhere {
            chance: unfused.chance + of_last,
            cost_s: then.expected_s,
        };
        (first, elsewhere)
    }

    /// Groups by the programme, or single pulls when many circuits draw.
    pub(super) fn choice(&self, units: &[usize], elsewhere: Elsewhere) -> Choice {
        if self.belief.rate() < usual().odds.one_by_one_share {
            return self.search(units, elsewhere).open();
        }
        let mut spent_s = 0.0;
        let (mut cost, mut chance) = (0.0, 0.0);
        for item in units.iter().map(|unit| self.item(*unit)) {
            spent_s += item.handle_s + self.brief.waits.pull_s;
            cost += item.chance * spent_s;
            chance += item.chance;
        }
        cost += elsewhere.chance * (spent_s + elsewhere.cost_s);
        chance += elsewhere.chance;
        Choice {
            take: 0..1.min(units.len()),
            expected_s: if chance > 0.0 { cost / chance } else { spent_s },
        }
    }

    /// How likely it is one of these.
    pub(super) fn chance_of(&self, units: &[usize]) -> f64 {
        units.iter().map(|unit| self.item(*unit).chance).sum()
    }

    /// What the groups still to be narrowed are expected to take, in seconds.
    pub(super) fn narrowing_s(&self) -> f64 {
        let groups = self
            .belief
            .groups
            .iter()
            .filter(|group| group.units.len() > 1);
        groups
            .map(|group| self.inside(&self.sorted(&group.units)).1.expected_s)
            .sum()
    }

    /// The next step inside a group, and the fuses' state in which it is taken.
    pub(super) fn inside(&self, units: &[usize]) -> (Did, Choice) {
        let search = self.search(units, Elsewhere::default());
        let all_out = units
            .iter()
            .all(|unit| self.is_out(*unit, &self.brief.out_now));
        if all_out {
            (Did::Refit, search.out())
        } else {
            (Did::Pull, search.fitted())
        }
    }

    pub(super) fn chances(&self, units: &[usize], elsewhere: f64) -> Vec<(usize, f64)> {
        let sum = elsewhere
            + units
                .iter()
                .map(|unit| self.item(*unit).chance)
                .sum::<f64>();
        let even = 1.0 / f64_from_usize(units.len().max(1));
        let p = |unit: &usize| {
            if sum > 0.0 {
                self.item(*unit).chance / sum
            } else {
                even
            }
        };
        units.iter().map(|unit| (*unit, p(unit))).collect()
    }

    pub(super) fn candidates(&self, chances: &[(usize, f64)]) -> Vec<Candidate> {
        let mut rest: Vec<Candidate> = chances
            .iter()
            .filter_map(|(unit, p)| {
                let what = self.belief.units.get(*unit)?.labels.clone();
                Some(Candidate { what, p: *p })
            })
            .collect();
        rest.sort_by(|a, b| b.p.total_cmp(&a.p));
        rest
    }
}
