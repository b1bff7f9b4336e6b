//! Steps with fuses: pull some, pull the other of a pair, put some of a group back, wait.

use super::Plan;
use super::belief::is_among;
use super::decide::Planner;
use super::reason::PlanReason;
use super::search::Elsewhere;
use super::usual::usual;
use crate::reading::number::f64_from_usize;
use crate::session::mark::Did;

impl Planner<'_> {
    pub(super) fn pull(&self, open: &[usize]) -> Plan {
        let (units, elsewhere) = self.first_and_elsewhere(open);
        let choice = self.choice(&units, elsewhere);
        let taken = units.get(choice.take).unwrap_or_default();
        let chances = self.chances(&units, elsewhere.chance);
        let p: f64 = chances
            .iter()
            .filter(|(unit, _)| taken.contains(unit))
            .map(|(_, p)| p)
            .sum();
        Plan {
            did: Some(Did::Pull),
            next: self.labels(taken, false),
            reason: PlanReason::Likely {
                taken: taken.len(),
                open: open.len(),
                p,
                one_by_one: self.belief.rate() >= usual().odds.one_by_one_share,
                found_a: self.groups_by_size().map(|group| group.level.a).sum(),
            },
            minutes_left: (choice.expected_s + self.narrowing_s()) / 60.0,
            rest: self.candidates(&chances),
            parts: self.parts(),
            cautions: self.cautions(taken),
        }
    }

    /// What draws through one fuse of a pair most likely draws through the other as well.
    pub(super) fn second_fuse(&self) -> Option<Plan> {
        self.groups_by_size().find_map(|group| {
            let [unit] = group.units.as_slice() else {
                return None;
            };
            let one = [*unit];
            let mut next = self.labels(&one, false);
            next.retain(|label| !is_among(label, &group.moved));
            if next.is_empty() {
                return None;
            }
            let waits = self.brief.waits;
            let handle_s = waits.handle_s * f64_from_usize(next.len());
            Some(Plan {
                did: Some(Did::Pull),
                reason: PlanReason::SecondFuse {
                    moved: group.moved.clone(),
                    a: group.level.a,
                },
                next,
                minutes_left: (handle_s + waits.pull_s + self.narrowing_s()) / 60.0,
                rest: self.candidates(&self.chances(&one, 0.0)),
                parts: self.parts(),
                cautions: self.cautions(&one),
            })
        })
    }

    /// One or more of these draw: which?
    pub(super) fn narrow(&self, units: &[usize]) -> Plan {
        let units = self.sorted(units);
        let (mut did, choice) = self.inside(&units);
        let taken = units.get(choice.take).unwrap_or_default();
        let group = self
            .belief
            .groups
            .iter()
            .find(|g| units.iter().all(|u| g.units.contains(u)));
        let others_s = match group {
            Some(_) => self.narrowing_s(),
            None => choice.expected_s,
        };
        let mut next = self.labels(taken, did == Did::Refit);
        if next.is_empty() {
            // Those that would come out are out already: they go back, all of them.
            did = if did == Did::Refit {
                Did::Pull
            } else {
                Did::Refit
            };
            next = self.labels(&units, did == Did::Refit);
        }
        Plan {
            did: Some(did),
            reason: PlanReason::Narrow {
                did,
                next: next.clone(),
                all: self.labels(&units, did == Did::Refit),
                a: group.map(|group| group.level.a),
            },
            next,
            minutes_left: others_s / 60.0,
            rest: self.candidates(&self.chances(&units, 0.0)),
            parts: self.parts(),
            cautions: if did == Did::Pull {
                self.cautions(taken)
            } else {
                Vec::new()
            },
        }
    }

    /// A mark stands that is not judged yet: the plan goes on from its finding.
    pub(super) fn wait(&self, open: &[usize], excess_a: f64) -> Plan {
        let moved = |unit: &usize| {
            let unit = self.belief.units.get(*unit);
            unit.is_some_and(|u| self.brief.pending.iter().any(|label| u.has(label)))
        };
        let taken = self.never_judged(|unit| moved(&unit));
        let rest: Vec<usize> = open.iter().copied().filter(|unit| !moved(unit)).collect();
        let (units, elsewhere) = self.first_and_elsewhere(&rest);
        let (taken_chance, rest_chance) = (self.chance_of(&taken), self.chance_of(&units));
        let all_chance = taken_chance + rest_chance + elsewhere.chance;
        let p = if all_chance > 0.0 {
            taken_chance / all_chance
        } else {
            0.0
        };
        let after_s = if excess_a > 0.0 {
            let inside = self
                .search(&self.sorted(&taken), Elsewhere::default())
                .out();
            p * inside.expected_s + (1.0 - p) * self.choice(&units, elsewhere).expected_s
        } else {
            0.0
        };
        let chances = self.chances(&units, elsewhere.chance + taken_chance);
        Plan {
            did: None,
            next: Vec::new(),
            reason: PlanReason::Pending {
                what: self.brief.pending.clone(),
            },
            minutes_left: (self.brief.waits.pull_s + after_s + self.narrowing_s()) / 60.0,
            rest: self.candidates(&chances),
            parts: self.parts(),
            cautions: Vec::new(),
        }
    }
}
