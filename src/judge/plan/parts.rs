//! After the fuse: the parts of the circuit that was found, and what is left when no fuse explains
//! the draw.

use super::Plan;
use super::belief::is_among;
use super::decide::Planner;
use super::load_fuses::bare;
use super::reason::{MostFound, PlanReason};
use super::usual::usual;
use crate::fuse::map::same;
use crate::reading::number::f64_from_usize;
use crate::session::caution;
use crate::session::mark::Did;

/// Nothing to move: the reason says what to do.
pub(super) fn because(reason: PlanReason) -> Plan {
    Plan {
        reason,
        ..Plan::default()
    }
}

/// No fuse of the map explains it.
fn unfused(excess_a: f64) -> Plan {
    let unfused = &usual().words.unfused;
    Plan {
        did: Some(Did::Unplug),
        next: unfused.iter().take(1).cloned().collect(),
        minutes_left: usual().times.unfused_s / 60.0,
        parts: unfused.clone(),
        cautions: vec![caution::UNFUSED],
        ..because(PlanReason::Unfused { excess_a })
    }
}

impl Planner<'_> {
    /// The circuit is known: its parts, one at a time, with its fuse in.
    pub(super) fn unplug(&self, suspects: &[usize]) -> Option<Plan> {
        let found = self.found();
        let found: Vec<usize> = if found.is_empty() {
            suspects.to_vec()
        } else {
            found
        };
        self.unplug_behind(&found)
    }

    /// One circuit draws nearly all of it: its parts come before other fuses, since what is left may
    /// be modules that they keep awake.
    pub(super) fn take_apart(&self) -> Option<Plan> {
        let most = self.groups_by_size().find(|group| !group.late)?;
        let [unit] = *most.units.as_slice() else {
            return None;
        };
        let is_main = most.level.a >= usual().odds.main_share * self.brief.excess_a;
        let has_parts = !self.parts_of(&[unit]).is_empty();
        if !is_main || !has_parts {
            return None;
        }
        let plan = self.unplug_behind(&[unit])?;
        let left = self.was_out(most).then_some(MostFound {
            of_a: self.brief.excess_a + self.brief.limit_a,
            left_a: self.brief.level_a,
        });
        Some(Plan {
            reason: plan.reason.with_left(left),
            ..plan
        })
    }

    fn unplug_behind(&self, found: &[usize]) -> Option<Plan> {
        // The first that has parts left to try.
        let untried = found
            .iter()
            .find(|unit| !self.parts_of(&[**unit]).is_empty());
        let first = *untried.or(found.first())?;
        let unit = self.belief.units.get(first)?;
        let own_parts = self.parts_of(&[first]);
        let mut parts = own_parts.clone();
        for part in self.parts_of(found) {
            if !is_among(&part, &parts) {
                parts.push(part);
            }
        }
        let back: Vec<String> = unit
            .labels
            .iter()
            .filter(|label| is_among(label, &self.brief.out_now))
            .cloned()
            .collect();
        let waits = self.brief.waits;
        let tries = f64_from_usize(parts.len().max(1) + 1) / 2.0;
        let parts_s = tries * (usual().times.unplug_s + waits.pull_s);
        let back_s = if back.is_empty() {
            0.0
        } else {
            unit.handle_s(waits.handle_s) + waits.refit_s
        };
        let group = self.belief.groups.iter().find(|group| {
            let mut units = self.units_at(&group.units);
            units.any(|known| known == unit)
        });
        let own = group.filter(|group| !group.late);
        let reason = PlanReason::Parts {
            fuses: unit.labels.clone(),
            a: own.map(|group| group.level.a),
            keeps_awake: group.is_some_and(|group| group.late)
                || self
                    .units_at(&self.belief.keepers)
                    .any(|keeper| keeper == unit),
            is_out: !back.is_empty(),
            parts: own_parts.len(),
            left: None,
        };
        let (did, next) = if back.is_empty() {
            (Did::Unplug, parts.first().cloned().into_iter().collect())
        } else {
            (Did::Refit, back)
        };
        Some(Plan {
            did: Some(did),
            next,
            reason,
            minutes_left: (back_s + parts_s) / 60.0,
            rest: self.candidates(&self.chances(&self.open(), 0.0)),
            cautions: self.cautions(found),
            parts,
        })
    }

    /// What kept others awake, since those may draw only because of it; then what draws, largest
    /// first.
    pub(super) fn found(&self) -> Vec<usize> {
        let mut found = self.belief.keepers.clone();
        let late = self.groups_by_size().filter(|group| group.late);
        let at_once = self.groups_by_size().filter(|group| !group.late);
        for group in late.chain(at_once) {
            if let [unit] = group.units.as_slice()
                && !found.contains(unit)
            {
                found.push(*unit);
            }
        }
        found
    }

    pub(super) fn parts(&self) -> Vec<String> {
        self.parts_of(&self.found())
    }

    pub(super) fn parts_of(&self, units: &[usize]) -> Vec<String> {
        let mut parts: Vec<String> = Vec::new();
        let fed = self.units_at(units).flat_map(|unit| &unit.feeds);
        for part in fed.map(|part| bare(part)) {
            let done = is_among(part, &self.brief.cleared_parts);
            if !done && !parts.iter().any(|known| same(known, part)) {
                parts.push(part.to_owned());
            }
        }
        parts
    }

    /// The part is known.
    pub(super) fn replace(&self, part: &str) -> Plan {
        let untried = self.beside(part);
        Plan {
            did: Some(Did::Swap),
            next: vec![part.to_owned()],
            parts: untried.clone(),
            ..because(PlanReason::Found {
                part: part.to_owned(),
                untried,
            })
        }
    }

    /// What else hangs on the fuses of `part` and was not tried: the part may draw only because one
    /// of those keeps it awake.
    fn beside(&self, part: &str) -> Vec<String> {
        let units = self.belief.units.iter().enumerate();
        let feeding = units.filter(|(_, unit)| unit.feeds.iter().any(|fed| same(bare(fed), part)));
        let feeding: Vec<usize> = feeding.map(|(at, _)| at).collect();
        let mut parts = self.parts_of(&feeding);
        parts.retain(|other| !is_among(other, &self.brief.found_parts));
        parts
    }

    /// Every candidate was tried, and the car still draws too much.
    pub(super) fn exhausted(&self, excess_a: f64) -> Option<Plan> {
        if self.belief.units.is_empty() {
            return None;
        }
        let small_a: f64 = self.belief.small.iter().map(|(_, a)| a).sum();
        if let [(unit, only_a)] = self.belief.small.as_slice()
            && *only_a > excess_a
        {
            // Small, and still too much beside what was found.
            let mut found = self.found();
            found.push(*unit);
            return self.unplug_behind(&found);
        }
        let plan = if small_a > excess_a {
            let mut small: Vec<(String, f64)> = Vec::new();
            for (unit, a) in &self.belief.small {
                let unit = self.belief.units.get(*unit);
                let label = unit.and_then(|unit| unit.labels.first());
                small.extend(label.map(|label| (label.clone(), *a)));
            }
            small.sort_by(|(_, a), (_, b)| b.total_cmp(a));
            because(PlanReason::ManySmall { small })
        } else if self.brief.map.is_empty() {
            because(PlanReason::AnotherFuse { excess_a })
        } else {
            unfused(excess_a)
        };
        Some(Plan {
            parts: self.parts().into_iter().chain(plan.parts).collect(),
            ..plan
        })
    }
}
