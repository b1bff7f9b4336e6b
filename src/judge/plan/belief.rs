//! What the trials so far leave open: which circuits are ruled out, which draw and how much,
//! which kept others awake. How it is learnt from a session stands in `from_session`.

use super::load_fuses::{LoadFuses, units};
use super::usual::usual;
use crate::fuse::map::{Circuit, same};
use crate::judge::finding::Level;
use crate::judge::rules::{SAME_A, SAME_CHANGE_SHARE, SUSPECT_A};
use crate::reading::number::f64_from_usize;

/// What one removal or refit told.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// The fuses that it moved.
    pub what: Vec<String>,
    /// Everything that was out together with them: after a removal, before a refit.
    pub out: Vec<String>,
    /// What came of it.
    pub word: Word,
}

/// What came of a removal or refit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Word {
    /// They draw this much between them, as the change shows at once.
    Draws(Level),
    /// They draw nothing.
    Nothing,
    /// They kept others awake, which went to sleep late by this much.
    KeptAwake(Level),
}

/// Circuits of which at least one draws.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// The candidates, by their place in [`Belief::units`].
    pub units: Vec<usize>,
    /// What they draw together, in ampere.
    pub level: Level,
    /// The fuses that were moved when it showed.
    pub moved: Vec<String>,
    /// Whether the fall came late: one of them kept others awake.
    pub late: bool,
}

/// Everything that is believed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Belief {
    /// The candidates.
    pub units: Vec<LoadFuses>,
    /// Those ruled out.
    pub cleared: Vec<usize>,
    /// Those of which one or more draw.
    pub groups: Vec<Group>,
    /// Those that kept others awake.
    pub keepers: Vec<usize>,
    /// Small draws of circuits that are otherwise as they should be.
    pub small: Vec<(usize, f64)>,
    need_a: f64,
    normal_a: f64,
}

impl Belief {
    /// Nothing is known but the map and the fuses that were moved, for a car that draws `excess_a`
    /// too much.
    pub fn new(map: &[Circuit], told: &[Told], limit_a: f64, excess_a: f64) -> Self {
        let mut units = units(map);
        for label in told.iter().flat_map(|told| &told.what) {
            if !units.iter().any(|unit| unit.has(label)) {
                units.push(LoadFuses::unmapped(label));
            }
        }
        // A healthy car spreads what it may draw over all its circuits.
        let normal_a = limit_a / f64_from_usize(units.len().max(1));
        Self {
            units,
            need_a: SUSPECT_A
                .min(usual().odds.suspect_share * excess_a)
                .max(0.0),
            normal_a,
            ..Self::default()
        }
    }

    /// These fuses feed one load, whatever the map says. Said before anything is learnt.
    pub fn join(&mut self, labels: &[String]) {
        let is_one = |unit: &LoadFuses| labels.iter().any(|label| unit.has(label));
        let (mut joined, others): (Vec<LoadFuses>, Vec<LoadFuses>) =
            self.units.drain(..).partition(is_one);
        let mut joined = joined.drain(..);
        if let Some(mut first) = joined.next() {
            joined.for_each(|other| first.join(other));
            self.units.push(first);
        }
        self.units.extend(others);
    }

    /// Takes what one removal or refit told into account.
    pub fn learn(&mut self, told: &Told) {
        let touched: Vec<usize> = self.indices(|unit| told.what.iter().any(|l| unit.has(l)));
        match told.word {
            Word::Nothing => self.rule_out(&touched, &told.out),
            // One of several: which one is found as any drawer is.
            Word::KeptAwake(level) if touched.len() > 1 => {
                self.found(touched, level, &told.what, true);
            }
            Word::KeptAwake(_) => {
                self.cleared.retain(|unit| !touched.contains(unit));
                let new = touched
                    .into_iter()
                    .filter(|unit| !self.keepers.contains(unit));
                let new: Vec<usize> = new.collect();
                self.keepers.extend(new);
            }
            Word::Draws(level) => {
                // The refit of what kept others awake lets them stay awake again.
                if touched.iter().any(|unit| self.keepers.contains(unit)) {
                    return;
                }
                let normal_a = self.normal_a * f64_from_usize(touched.len());
                if level.a - normal_a > self.need_a.max(level.u_a) {
                    self.found(touched, level, &told.what, false);
                } else {
                    self.note_small(&touched, level.a);
                    self.rule_out(&touched, &told.out);
                }
            }
        }
    }

    /// A sweep found what this circuit draws without moving anything.
    pub fn measure(&mut self, label: &str, lowest_a: f64, highest_a: f64) {
        let touched = self.indices(|unit| unit.has(label));
        if highest_a < self.need_a {
            // Each fuse of a pair was measured while it carried its load.
            let alone = self.indices(|unit| unit.has(label) && unit.labels.len() == 1);
            self.cleared.extend(alone);
        } else if lowest_a > self.need_a + self.normal_a && self.groups_of(&touched).is_empty() {
            let a = lowest_a.midpoint(highest_a);
            let u_a = (highest_a - lowest_a) / 2.0;
            self.found(touched, Level { a, u_a }, &[label.to_owned()], false);
        }
    }

    fn indices(&self, keep: impl Fn(&LoadFuses) -> bool) -> Vec<usize> {
        let units = self.units.iter().enumerate();
        units
            .filter(|(_, unit)| keep(unit))
            .map(|(i, _)| i)
            .collect()
    }

    fn groups_of(&self, touched: &[usize]) -> Vec<usize> {
        let groups = self.groups.iter().enumerate();
        groups
            .filter(|(_, group)| group.units.iter().any(|unit| touched.contains(unit)))
            .map(|(i, _)| i)
            .collect()
    }

    /// A load fed by two fuses is ruled out only by both being out at once.
    fn rule_out(&mut self, touched: &[usize], out: &[String]) {
        for at in touched {
            let whole = self.units.get(*at).is_some_and(|unit| unit.is_among(out));
            if whole && !self.cleared.contains(at) {
                self.cleared.push(*at);
            }
        }
        let cleared = self.cleared.clone();
        for group in &mut self.groups {
            // The last of a group cannot be ruled out: then the two trials contradict each other,
            // and the newer one is believed.
            group.units.retain(|unit| !cleared.contains(unit));
        }
        self.groups.retain(|group| !group.units.is_empty());
    }

    fn note_small(&mut self, touched: &[usize], a: f64) {
        if let [unit] = touched {
            self.small.retain(|(known, _)| known != unit);
            self.small.push((*unit, a));
        }
    }

    /// Some of `touched` draw `level` between them.
    fn found(&mut self, touched: Vec<usize>, level: Level, moved: &[String], late: bool) {
        self.cleared.retain(|unit| !touched.contains(unit));
        if self.more_of_one(&touched, level, moved) {
            return;
        }
        let mut open: Vec<usize> = touched;
        let mut left = level;
        let mut late = late;
        for at in self.groups_of(&open).into_iter().rev() {
            let group = self.groups.remove(at);
            let (inside, outside): (Vec<usize>, Vec<usize>) =
                group.units.iter().partition(|unit| open.contains(unit));
            if outside.is_empty() {
                // A part of what was moved is known already: what it draws is not new.
                left.a -= group.level.a;
                open.retain(|unit| !inside.contains(unit));
                self.groups.push(group);
                continue;
            }
            late |= group.late;
            let others_a = group.level.a - left.a;
            if others_a > tolerance_a(&group.level).max(self.need_a) {
                let level = Level {
                    a: others_a,
                    u_a: group.level.u_a.hypot(left.u_a),
                };
                self.groups.push(Group {
                    units: outside,
                    level,
                    ..group
                });
            } else {
                self.cleared.extend(outside);
            }
        }
        if open.is_empty() {
            return;
        }
        if left.a > tolerance_a(&level).max(self.need_a) {
            self.groups.push(Group {
                units: open,
                level: left,
                moved: moved.to_vec(),
                late,
            });
        } else {
            self.cleared.extend(open);
        }
    }

    /// The same candidate again: another of its fuses adds to it, the same ones confirm it.
    fn more_of_one(&mut self, touched: &[usize], level: Level, moved: &[String]) -> bool {
        let Some(group) = self.groups.iter_mut().find(|group| group.units == touched) else {
            return false;
        };
        let known = |label: &String| is_among(label, &group.moved);
        let new: Vec<String> = moved.iter().filter(|l| !known(l)).cloned().collect();
        if new.len() == moved.len() && touched.len() == 1 {
            group.level = Level {
                a: group.level.a + level.a,
                u_a: group.level.u_a.hypot(level.u_a),
            };
        } else if group.moved.iter().all(|label| is_among(label, moved)) {
            group.level = level;
        }
        group.moved.extend(new);
        true
    }

    /// Whether nothing is known of this candidate yet.
    pub fn is_open(&self, unit: usize) -> bool {
        !self.cleared.contains(&unit)
            && !self.keepers.contains(&unit)
            && self.groups_of(&[unit]).is_empty()
    }

    /// The share of circuits thought to draw, after what was found so far and with at least one
    /// more to come.
    pub fn rate(&self) -> f64 {
        let tried = self.cleared.len() + self.groups.iter().map(|g| g.units.len()).sum::<usize>();
        let drawers = f64_from_usize(self.groups.len());
        (drawers + 1.0) / (f64_from_usize(tried) + usual().odds.one_in)
    }
}

/// Two amounts closer than this are the same.
fn tolerance_a(level: &Level) -> f64 {
    SAME_A.max(SAME_CHANGE_SHARE * level.a).max(level.u_a)
}

/// Whether `label` is one of these.
pub fn is_among(label: &str, out: &[String]) -> bool {
    out.iter().any(|other| same(other, label))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn map(n: usize) -> Vec<Circuit> {
        let circuit = |i| serde_json::from_str(&format!(r#"{{"label":"L{}"}}"#, i + 1)).unwrap();
        (0..n).map(circuit).collect()
    }

    fn names(units: &[usize]) -> Vec<String> {
        units.iter().map(|unit| format!("L{}", unit + 1)).collect()
    }

    fn told(units: &[usize], a: f64) -> Told {
        let what = names(units);
        let word = if a > 0.0 {
            Word::Draws(Level { a, u_a: 0.001 })
        } else {
            Word::Nothing
        };
        Told {
            out: what.clone(),
            what,
            word,
        }
    }

    fn believed(of: &[Told]) -> Belief {
        let mut belief = Belief::new(&map(8), of, 0.05, 0.2);
        for told in of {
            belief.learn(told);
        }
        belief
    }

    fn groups(belief: &Belief) -> Vec<(Vec<usize>, i64)> {
        let milli = |a: f64| crate::reading::number::round_to_i64(a * 1e3);
        let groups = belief.groups.iter();
        groups
            .map(|g| (g.units.clone(), milli(g.level.a)))
            .collect()
    }

    #[test]
    fn a_refit_that_brings_it_all_back_rules_the_others_out() {
        let belief = believed(&[told(&[0, 1, 2], 0.2), told(&[1], 0.2)]);
        assert_eq!(groups(&belief), [(vec![1], 200)]);
        assert!(!belief.is_open(0) && !belief.is_open(2) && belief.is_open(3));
    }

    #[test]
    fn a_refit_that_brings_half_back_leaves_a_second_drawer() {
        let belief = believed(&[told(&[0, 1, 2], 0.2), told(&[1], 0.12)]);
        assert_eq!(groups(&belief), [(vec![0, 2], 80), (vec![1], 120)]);
    }

    #[test]
    fn a_refit_without_a_rise_narrows_the_group() {
        let belief = believed(&[told(&[0, 1, 2], 0.2), told(&[0, 1], 0.0)]);
        assert_eq!(groups(&belief), [(vec![2], 200)]);
    }

    #[test]
    fn a_late_fall_of_a_group_is_narrowed_and_stays_late() {
        let kept = Told {
            word: Word::KeptAwake(Level { a: 0.3, u_a: 0.01 }),
            ..told(&[0, 1, 2], 0.0)
        };
        let belief = believed(&[kept, told(&[1], 0.3)]);
        assert_eq!(groups(&belief), [(vec![1], 300)]);
        assert!(belief.groups[0].late && belief.keepers.is_empty());
    }

    #[test]
    fn a_larger_group_tells_of_a_further_drawer() {
        let belief = believed(&[told(&[0], 0.1), told(&[0, 1, 2], 0.18)]);
        assert_eq!(groups(&belief), [(vec![0], 100), (vec![1, 2], 80)]);
    }

    #[test]
    fn a_circuit_as_it_should_be_is_no_drawer() {
        let belief = believed(&[told(&[0], 0.012)]);
        assert_eq!(groups(&belief), []);
        assert_eq!(belief.cleared, [0]);
        assert_eq!(belief.small, [(0, 0.012)]);
    }

    #[test]
    fn one_fuse_of_a_pair_rules_nothing_out() {
        let feed = |i: usize| format!(r#"{{"label":"L{}","feeds":["pump"]}}"#, i + 1);
        let map: Vec<Circuit> = (0..2)
            .map(|i| serde_json::from_str(&feed(i)).unwrap())
            .collect();
        let mut belief = Belief::new(&map, &[], 0.05, 0.2);
        belief.learn(&told(&[0], 0.0));
        assert!(belief.is_open(0));
        belief.learn(&Told {
            out: names(&[0, 1]),
            ..told(&[1], 0.0)
        });
        assert!(!belief.is_open(0));
    }

    #[test]
    fn the_second_fuse_of_a_pair_adds_to_what_the_first_draws() {
        let feed = |i: usize| format!(r#"{{"label":"L{}","feeds":["pump"]}}"#, i + 1);
        let map: Vec<Circuit> = (0..2)
            .map(|i| serde_json::from_str(&feed(i)).unwrap())
            .collect();
        let mut belief = Belief::new(&map, &[], 0.05, 0.2);
        belief.learn(&told(&[0], 0.11));
        belief.learn(&told(&[1], 0.07));
        belief.learn(&told(&[0, 1], 0.18));
        assert_eq!(groups(&belief), [(vec![0], 180)]);
    }

    #[test]
    fn a_sweep_in_millivolts_rules_out_without_a_pull() {
        let mut belief = believed(&[]);
        belief.measure("L4", 0.0, 0.002);
        belief.measure("L5", 0.15, 0.17);
        assert_eq!(belief.cleared, [3]);
        assert_eq!(groups(&belief), [(vec![4], 160)]);
    }

    #[test]
    fn many_finds_among_few_tried_raise_the_rate() {
        assert!(believed(&[told(&[0, 1, 2, 3], 0.0)]).rate() < 0.1);
        let finds: Vec<Told> = (0..3).map(|unit| told(&[unit], 0.1)).collect();
        assert!(believed(&finds).rate() >= 0.25);
    }
}
