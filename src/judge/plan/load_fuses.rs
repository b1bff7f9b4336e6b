//! What is pulled together: one circuit, or several that feed one load.
//!
//! A load fed by two fuses draws on through the one that is left in, so that neither pull shows
//! anything; its fuses are one candidate.

use std::collections::{BTreeMap, BTreeSet};

use super::usual::usual;
use super::weights;
use crate::fuse::map::{Circuit, same};
use crate::reading::number::f64_from_usize;

/// One candidate.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadFuses {
    /// Its fuses.
    pub labels: Vec<String>,
    /// What they feed.
    pub feeds: Vec<String>,
    /// How likely it is, against the others.
    pub chance: f64,
    /// Whether it stays in until nothing else is left.
    pub last: bool,
    /// What to know before it is pulled.
    pub caution: Option<&'static str>,
}

impl LoadFuses {
    /// A circuit that no map names.
    pub fn unmapped(label: &str) -> Self {
        Self {
            labels: vec![label.to_owned()],
            feeds: Vec::new(),
            chance: 1.0,
            last: false,
            caution: None,
        }
    }

    fn of(circuit: &Circuit) -> Self {
        Self {
            labels: vec![circuit.label.clone()],
            feeds: circuit.feeds.clone(),
            chance: weights::weight(circuit),
            last: weights::comes_last(circuit),
            caution: weights::caution(circuit),
        }
    }

    /// Whether this is one of its fuses.
    pub fn has(&self, label: &str) -> bool {
        self.labels.iter().any(|own| same(own, label))
    }

    /// Whether all its fuses are among these.
    pub fn is_among(&self, out: &[String]) -> bool {
        let is_out = |own: &String| out.iter().any(|label| same(own, label));
        self.labels.iter().all(is_out)
    }

    /// Seconds to take it out or put it back.
    pub fn handle_s(&self, one_s: f64) -> f64 {
        one_s * f64_from_usize(self.labels.len())
    }

    /// Takes another's fuses and parts in: they feed one load.
    pub fn join(&mut self, other: Self) {
        self.labels.extend(other.labels);
        for part in other.feeds {
            if !self.feeds.iter().any(|own| same(own, &part)) {
                self.feeds.push(part);
            }
        }
        self.chance = self.chance.max(other.chance);
        self.last |= other.last;
        self.caution = self.caution.or(other.caution);
    }
}

/// The candidates of a map, in its order.
pub fn units(map: &[Circuit]) -> Vec<LoadFuses> {
    let mut units: Vec<LoadFuses> = Vec::new();
    let mut unit_of_load: BTreeMap<String, usize> = BTreeMap::new();
    let fuses = fuses_of_each_load(map);
    for circuit in map {
        let loads: Vec<String> = circuit.feeds.iter().map(|part| load(part)).collect();
        let shared = |load: &&String| {
            let fuses = fuses.get(*load).copied().unwrap_or_default();
            (2..=usual().one_load.fuses_most).contains(&fuses)
        };
        let known = loads
            .iter()
            .filter(shared)
            .find_map(|load| unit_of_load.get(load).copied());
        let own = LoadFuses::of(circuit);
        let at = match known.and_then(|at| Some((at, units.get_mut(at)?))) {
            Some((at, unit)) if unit.labels.len() < usual().one_load.candidate_most => {
                unit.join(own);
                at
            }
            Some(_) | None => {
                units.push(own);
                units.len() - 1
            }
        };
        for load in loads {
            unit_of_load.entry(load).or_insert(at);
        }
    }
    units
}

fn fuses_of_each_load(map: &[Circuit]) -> BTreeMap<String, usize> {
    let mut fuses = BTreeMap::new();
    for circuit in map {
        let loads: BTreeSet<String> = circuit.feeds.iter().map(|part| load(part)).collect();
        for load in loads {
            *fuses.entry(load).or_default() += 1;
        }
    }
    fuses
}

/// What tells one load from another.
fn load(part: &str) -> String {
    bare(part).to_lowercase()
}

/// The part behind "trailer module, supply 2", which is the one behind "Trailer module, supply 1".
pub fn bare(part: &str) -> &str {
    let part = part.trim();
    let name = part
        .trim_end_matches(|c: char| c.is_ascii_digit())
        .trim_end();
    let name = ["supply", "feed"]
        .iter()
        .find_map(|word| name.strip_suffix(word))
        .map(|name| name.trim_end_matches([' ', ',', '-', '(']));
    name.filter(|name| !name.is_empty()).unwrap_or(part)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn circuit(label: &str, feeds: &[&str]) -> Circuit {
        let feeds = serde_json::to_string(feeds).unwrap();
        serde_json::from_str(&format!(r#"{{"label":"{label}","feeds":{feeds}}}"#)).unwrap()
    }

    fn labels(map: &[Circuit]) -> Vec<String> {
        units(map)
            .iter()
            .map(|unit| unit.labels.join("+"))
            .collect()
    }

    #[test]
    fn two_fuses_of_one_load_are_one_candidate() {
        let map = [
            circuit("E9", &["trailer module, supply 1"]),
            circuit("D2", &["map light"]),
            circuit("L4", &["Trailer module, supply 2"]),
            circuit("E17", &["supply 2"]),
        ];
        assert_eq!(labels(&map), ["E9+L4", "D2", "E17"]);
    }

    #[test]
    fn a_name_on_every_fuse_joins_nothing() {
        let map: Vec<Circuit> = (1..=8)
            .map(|n| circuit(&format!("E{n}"), &["relay box"]))
            .collect();
        assert_eq!(units(&map).len(), 8);
    }

    #[test]
    fn empty_feeds_join_nothing() {
        assert_eq!(labels(&[circuit("1", &[]), circuit("2", &[])]), ["1", "2"]);
    }
}
