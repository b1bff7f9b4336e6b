//! What circuits take apart, against what they take together.

use std::collections::{HashMap, HashSet};
use std::hash::{DefaultHasher, Hash, Hasher};

use super::Contradiction;
use crate::judge::finding::Trial;
use crate::judge::levels::{StateLevel, before_repair};
use crate::judge::rules::MATTER_A;
use crate::judge::uncertainty::{Estimate, drift_over_u_a};
use crate::reading::number::f64_from_usize;
use crate::session::Session;
use crate::session::mark::Did;

/// Every set of circuits whose changes apart do not make their change together.
pub(super) fn apart_and_together(
    session: &Session,
    levels: &[StateLevel],
    trials: &[Trial],
) -> Vec<Contradiction> {
    let states = pulled_states(levels, trials);
    let sums = sums(&states).into_iter();
    sums.filter_map(|(labels, sum)| sum.contradiction(session, &labels))
        .collect()
}

/// Circuits that cannot be told apart, because what they take apart is not what they take
/// together: the smallest such sets.
pub fn inseparable(session: &Session, levels: &[StateLevel], trials: &[Trial]) -> Vec<Vec<String>> {
    let states = pulled_states(levels, trials);
    let mut sums = sums(&states);
    sums.retain(|(_, sum)| !sum.adds_up(session));
    sums.sort_by_key(|(labels, _)| labels.len());
    let mut sets: Vec<Vec<String>> = Vec::new();
    for (labels, _) in sums {
        if !sets.iter().flatten().any(|known| labels.contains(&known)) {
            sets.push(labels.into_iter().cloned().collect());
        }
    }
    sets
}

/// Every set of circuits that came out apart and together.
fn sums(states: &[StateLevel]) -> Vec<(Vec<&String>, Sum)> {
    let known: HashMap<&[String], Estimate> = states
        .iter()
        .map(|state| (&*state.out, state.level))
        .collect();
    let with_one = with_one_more(states);
    let mut found = Vec::new();
    for base in states {
        // Apart are two at least.
        if with_one
            .get(&marked(&base.out))
            .is_none_or(|count| *count < 2)
        {
            continue;
        }
        for all in states
            .iter()
            .filter(|all| all.out.len() >= base.out.len() + 2)
        {
            let more: Vec<&String> = all
                .out
                .iter()
                .filter(|label| !base.out.contains(label))
                .collect();
            let contains = base.out.iter().all(|label| all.out.contains(label));
            if !contains || more.len() < 2 {
                continue;
            }
            let alone = more.iter().map(|label| with_also(&known, &base.out, label));
            if let Some(alone) = alone.collect::<Option<Vec<Estimate>>>() {
                let sum = Sum {
                    base: base.level,
                    all: all.level,
                    alone,
                };
                found.push((more, sum));
            }
        }
    }
    found
}

/// The last level of each set of circuits out, before the first repair; only circuits that were
/// pulled and whose fall, if any, came at once.
fn pulled_states(levels: &[StateLevel], trials: &[Trial]) -> Vec<StateLevel> {
    let repaired = before_repair(trials);
    let labels = |is_one: fn(&Trial) -> bool| -> HashSet<&String> {
        let those = trials.iter().filter(|trial| is_one(trial));
        those.flat_map(|trial| &trial.what).collect()
    };
    let (pulled, late) = (
        labels(|trial| trial.did == Did::Pull),
        labels(Trial::is_late),
    );
    let direct = |label: &String| pulled.contains(label) && !late.contains(label);
    let sound = levels
        .iter()
        .filter(|state| state.fuse_state <= repaired && state.out.iter().all(direct));
    let sound: Vec<&StateLevel> = sound.collect();
    let last: HashMap<&[String], usize> = sound
        .iter()
        .enumerate()
        .map(|(i, state)| (&*state.out, i))
        .collect();
    let newest = sound.iter().enumerate();
    let newest = newest.filter(|(i, state)| last.get(&*state.out) == Some(i));
    newest.map(|(_, state)| (*state).clone()).collect()
}

/// What a set of labels is known by, that one label more or less changes by that label's own.
fn marked(out: &[String]) -> u64 {
    out.iter().map(mark_of).fold(0, u64::wrapping_add)
}

fn mark_of(label: &String) -> u64 {
    let mut hasher = DefaultHasher::new();
    label.hash(&mut hasher);
    hasher.finish()
}

/// How many states have one label more than each set.
fn with_one_more(states: &[StateLevel]) -> HashMap<u64, usize> {
    let mut counts = HashMap::new();
    for state in states {
        let all = marked(&state.out);
        for label in state.out.iter() {
            *counts.entry(all.wrapping_sub(mark_of(label))).or_default() += 1;
        }
    }
    counts
}

/// The level with `label` out beside `out`.
fn with_also(
    known: &HashMap<&[String], Estimate>,
    out: &[String],
    label: &String,
) -> Option<Estimate> {
    let mut also = out.to_vec();
    let at = also.partition_point(|other| other < label);
    also.insert(at, label.clone());
    known.get(also.as_slice()).copied()
}

/// The levels with none, all and each of some circuits out.
struct Sum {
    base: Estimate,
    all: Estimate,
    alone: Vec<Estimate>,
}

impl Sum {
    fn together_a(&self) -> f64 {
        self.base.a - self.all.a
    }

    fn parts_a(&self) -> Vec<f64> {
        let alone = self.alone.iter();
        alone.map(|level| self.base.a - level.a).collect()
    }

    fn gap_a(&self) -> f64 {
        self.together_a() - self.parts_a().iter().sum::<f64>()
    }

    fn sure_a(&self, session: &Session) -> f64 {
        self.u_a(session, self.gap_a()).max(MATTER_A)
    }

    fn adds_up(&self, session: &Session) -> bool {
        self.gap_a().abs() <= self.sure_a(session)
    }

    fn contradiction(&self, session: &Session, labels: &[&String]) -> Option<Contradiction> {
        if self.adds_up(session) {
            return None;
        }
        let (together_a, apart_a) = (self.together_a(), self.parts_a());
        let what: Vec<String> = labels.iter().copied().cloned().collect();
        let sure_a = self.sure_a(session);
        Some(if apart_a.iter().all(|part_a| part_a.abs() <= sure_a) {
            Contradiction::TwoFuses { what, together_a }
        } else if together_a > apart_a.iter().sum() {
            Contradiction::FedByBoth {
                what,
                apart_a,
                together_a,
            }
        } else {
            Contradiction::FedThrough {
                what,
                apart_a,
                together_a,
            }
        })
    }

    /// U of the gap between together and apart. The reference stands in each of the parts, so its
    /// own error counts once for each but one; the gain acts on the gap alone.
    fn u_a(&self, session: &Session, gap_a: f64) -> f64 {
        let random = |level: &Estimate| level.noise_u_a.hypot(level.rounding_u_a);
        let times = f64_from_usize(self.alone.len()) - 1.0;
        let moments = || {
            let levels = self.alone.iter().chain([&self.base, &self.all]);
            levels.map(|level| level.t.secs())
        };
        let (first_s, last_s) = (
            moments().fold(f64::INFINITY, f64::min),
            moments().fold(f64::NEG_INFINITY, f64::max),
        );
        let a_per_h = session.card().cable_drift_a_per_h();
        let drift_a = drift_over_u_a(a_per_h, last_s - first_s);
        let alone = self.alone.iter().map(|level| random(level).powi(2));
        let squares = (times * random(&self.base)).powi(2)
            + random(&self.all).powi(2)
            + alone.sum::<f64>()
            + (self.base.gain_u * gap_a).powi(2)
            + drift_a.powi(2);
        2.0 * squares.sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::Elapsed;
    use crate::session::card::Card;
    use crate::session::entry::{Header, MeterCard};

    fn found(base_a: f64, all_a: f64, alone_a: &[f64], noise_u_a: f64) -> Option<Contradiction> {
        let session = Session::new(Header {
            started: "2026-01-10T08:00:00+00:00".parse().unwrap(),
            card: Card::default(),
            meter: MeterCard::default(),
        });
        let level = |a: f64| Estimate {
            a,
            noise_u_a,
            dof: 1e6,
            rounding_u_a: 0.0,
            gain_u: 0.0,
            zero_u_a: 0.002,
            spread_a: 0.0,
            t: Elapsed::ZERO,
        };
        let sum = Sum {
            base: level(base_a),
            all: level(all_a),
            alone: alone_a.iter().copied().map(level).collect(),
        };
        let labels = ["E3".to_owned(), "D8".to_owned()];
        sum.contradiction(&session, &labels.iter().collect::<Vec<_>>())
    }

    #[test]
    fn what_adds_up_is_no_contradiction() {
        assert_eq!(found(0.180, 0.020, &[0.080, 0.120], 1e-4), None);
        // 10 mA too many, within what this noise hides.
        assert_eq!(found(0.180, 0.010, &[0.080, 0.120], 5e-3), None);
        assert!(found(0.180, 0.010, &[0.080, 0.120], 1e-4).is_some());
    }

    #[test]
    fn each_way_of_not_adding_up_is_told_from_the_others() {
        let two_fuses = found(0.180, 0.022, &[0.180, 0.179], 1e-4).unwrap();
        assert!(
            matches!(two_fuses, Contradiction::TwoFuses { .. }),
            "{two_fuses:?}"
        );
        let chain = found(0.180, 0.080, &[0.080, 0.080], 1e-4).unwrap();
        assert!(
            matches!(chain, Contradiction::FedThrough { .. }),
            "{chain:?}"
        );
        let shared = found(0.180, 0.022, &[0.140, 0.150], 1e-4).unwrap();
        assert!(
            matches!(shared, Contradiction::FedByBoth { .. }),
            "{shared:?}"
        );
    }
}
