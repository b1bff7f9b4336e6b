//! The decision: what the case is (nothing known yet, a group to narrow, a circuit to take apart)
//! and so which kind of step comes next. The steps themselves stand in `moves` and `parts`.

use super::belief::{Belief, Group, is_among};
use super::load_fuses::LoadFuses;
use super::{Brief, Plan};
use crate::judge::rules::SAME_A;

/// A brief and what is believed after it.
pub(super) struct Planner<'a> {
    pub(super) brief: &'a Brief<'a>,
    pub(super) belief: Belief,
}

impl Planner<'_> {
    pub(super) fn plan(&self) -> Option<Plan> {
        let open = self.open();
        let excess_a = self.excess_a();
        if !self.brief.pending.is_empty() {
            return Some(self.wait(&open, excess_a));
        }
        if let Some(part) = self.brief.found_parts.last() {
            return Some(self.replace(part));
        }
        if excess_a > 0.0 {
            if let Some(plan) = self.second_fuse() {
                return Some(plan);
            }
            if let Some(plan) = self.take_apart() {
                return Some(plan);
            }
            if open.is_empty() {
                return self.exhausted(excess_a);
            }
            return Some(self.pull(&open));
        }
        let narrow = self.groups_by_size().find(|group| group.units.len() > 1);
        if let Some(group) = narrow {
            return Some(self.narrow(&group.units));
        }
        let unexplained = self.belief.groups.is_empty() && self.belief.keepers.is_empty();
        let suspects = self.out_and_open();
        match suspects.as_slice() {
            [_, _, ..] if unexplained => Some(self.narrow(&suspects)),
            _ => self.unplug(&suspects),
        }
    }

    /// What is too much, after what is known and fitted: zero or less when everything is found.
    pub(super) fn excess_a(&self) -> f64 {
        let fitted = self
            .belief
            .groups
            .iter()
            .filter(|group| !self.was_out(group));
        let known_a: f64 = fitted.clone().map(|group| group.level.a).sum();
        let over_a = self.brief.level_a - self.brief.limit_a;
        // With drawers known and still fitted the rest is a difference of levels.
        let blur_a = fitted.map(|g| g.level.u_a.max(SAME_A)).fold(0.0, f64::max);
        if known_a > 0.0 && over_a - known_a <= blur_a {
            return 0.0;
        }
        over_a - known_a
    }

    /// Whether the group's draw was off when the level was taken. Of what was moved when it
    /// showed, some may belong to it no more.
    pub(super) fn was_out(&self, group: &Group) -> bool {
        self.units_at(&group.units).all(|unit| {
            let mut own = group.moved.iter().filter(|label| unit.has(label));
            own.all(|label| is_among(label, &self.brief.out))
        })
    }

    pub(super) fn groups_by_size(&self) -> impl Iterator<Item = &Group> {
        let mut groups: Vec<&Group> = self.belief.groups.iter().collect();
        groups.sort_by(|a, b| b.level.a.total_cmp(&a.level.a));
        groups.into_iter()
    }

    /// Candidates of which nothing is known and that carry current now.
    pub(super) fn open(&self) -> Vec<usize> {
        self.never_judged(|unit| !self.is_out(unit, &self.brief.out_now))
    }

    /// Candidates that were never judged and were out when the level was taken.
    pub(super) fn out_and_open(&self) -> Vec<usize> {
        self.never_judged(|unit| self.is_out(unit, &self.brief.out))
    }

    /// Those of them of which nothing is known.
    pub(super) fn never_judged(&self, is_one: impl Fn(usize) -> bool) -> Vec<usize> {
        let all = 0..self.belief.units.len();
        all.filter(|unit| self.belief.is_open(*unit) && is_one(*unit))
            .collect()
    }

    pub(super) fn is_out(&self, unit: usize, out: &[String]) -> bool {
        self.belief
            .units
            .get(unit)
            .is_some_and(|unit| unit.is_among(out))
    }

    /// The candidates at these places.
    pub(super) fn units_at(&self, places: &[usize]) -> impl Iterator<Item = &LoadFuses> {
        places.iter().filter_map(|at| self.belief.units.get(*at))
    }

    /// The fuses of these that are out now, or those that are not.
    pub(super) fn labels(&self, units: &[usize], out: bool) -> Vec<String> {
        self.units_at(units)
            .flat_map(|unit| &unit.labels)
            .filter(|label| is_among(label, &self.brief.out_now) == out)
            .cloned()
            .collect()
    }

    pub(super) fn cautions(&self, units: &[usize]) -> Vec<&'static str> {
        let cautions = self.units_at(units).filter_map(|unit| unit.caution);
        let mut cautions: Vec<&'static str> = cautions.collect();
        cautions.sort_unstable();
        cautions.dedup();
        cautions
    }
}
