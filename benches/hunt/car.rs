//! A car as a hunt sees it: what each circuit draws, and how long it takes to settle. No readings:
//! how well those are judged is `reach`'s question.

use lullboard::fuse::map::Circuit;
use lullboard::judge::finding::Level;
use lullboard::judge::plan::belief::{Told, Word};
use lullboard::judge::plan::search::Waits;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

pub const LIMIT_A: f64 = 0.050;
/// What the meter cannot tell from nothing.
const U_A: f64 = 0.001;

/// Whether the drawer sits where the weights expect it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Truth {
    AsWeighted,
    Anywhere,
}

/// One car, and the hunt on it so far.
#[derive(Clone, Debug)]
pub struct Car {
    pub map: Vec<Circuit>,
    pub waits: Waits,
    pub out: Vec<usize>,
    pub told: Vec<Told>,
    pub spent_s: f64,
    draws_a: Vec<f64>,
}

impl Car {
    /// A car of `n` circuits of which `faults` draw, with weights that fall as 1, 1/2, 1/3 ...
    pub fn new(seed: u64, n: usize, faults: usize, truth: Truth) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        let mut weights: Vec<f64> = (1..=n).map(|rank| 1.0 / rank as f64).collect();
        for i in (1..n).rev() {
            weights.swap(i, rng.random_range(0..=i));
        }
        let mut draws_a: Vec<f64> = (0..n)
            .map(|_| 2.0 * rng.random::<f64>() * 0.020 / n as f64)
            .collect();
        let mut left: Vec<usize> = (0..n).collect();
        for _ in 0..faults {
            let chance = |unit: &usize| match truth {
                Truth::AsWeighted => weights[*unit],
                Truth::Anywhere => 1.0,
            };
            let sum: f64 = left.iter().map(chance).sum();
            let mut at = rng.random::<f64>() * sum;
            let unit = left.iter().copied().find(|unit| {
                at -= chance(unit);
                at <= 0.0
            });
            let unit = unit.unwrap_or(left[0]);
            left.retain(|other| *other != unit);
            draws_a[unit] += rng.random_range(0.060..0.400);
        }
        let pull_s = rng.random_range(60.0..400.0);
        let waits = Waits {
            handle_s: 20.0,
            pull_s,
            refit_s: pull_s + rng.random_range(60.0..300.0),
        };
        let map = weights.iter().zip(0..);
        let map = map.map(|(weight, i): (&f64, usize)| Circuit {
            label: label(i),
            in_box: String::new(),
            position: label(i),
            rating_a: None,
            style: None,
            feeds: vec![format!("part {i}x")],
            weight: Some(*weight),
        });
        Self {
            map: map.collect(),
            waits,
            out: Vec::new(),
            told: Vec::new(),
            spent_s: 0.0,
            draws_a,
        }
    }

    pub fn level_a(&self) -> f64 {
        let fitted = self.draws_a.iter().enumerate();
        let fitted = fitted.filter(|(unit, _)| !self.out.contains(unit));
        fitted.map(|(_, a)| a).sum()
    }

    /// By how much the car is above its limit with everything fitted.
    pub fn excess_a(&self) -> f64 {
        self.draws_a.iter().sum::<f64>() - LIMIT_A
    }

    pub fn out_labels(&self) -> Vec<String> {
        self.out.iter().map(|unit| label(*unit)).collect()
    }

    /// Pulls these, or puts them back, and waits until the car has settled.
    pub fn turn(&mut self, units: &[usize], pull: bool) {
        let before_a = self.level_a();
        let out_before = self.out_labels();
        self.out.retain(|unit| !units.contains(unit));
        if pull {
            self.out.extend(units);
        }
        let wait_s = if pull {
            self.waits.pull_s
        } else {
            self.waits.refit_s
        };
        self.spent_s += self.waits.handle_s * units.len() as f64 + wait_s;
        let a = (self.level_a() - before_a).abs();
        self.told.push(Told {
            what: units.iter().map(|unit| label(*unit)).collect(),
            out: if pull { self.out_labels() } else { out_before },
            word: if a > 0.003 {
                Word::Draws(Level { a, u_a: U_A })
            } else {
                Word::Nothing
            },
        });
    }

    /// Whether these are drawers, and the car would be below the limit without them.
    pub fn is_solved_by(&self, units: &[usize]) -> bool {
        let without = self.draws_a.iter().enumerate();
        let without = without.filter(|(unit, _)| !units.contains(unit));
        let left_a: f64 = without.map(|(_, a)| a).sum();
        left_a <= LIMIT_A && units.iter().all(|unit| self.draws_a[*unit] > 0.020)
    }
}

pub fn label(unit: usize) -> String {
    format!("circuit {unit}")
}

pub fn unit_of(label: &str) -> usize {
    label
        .trim_start_matches("circuit ")
        .parse()
        .unwrap_or(usize::MAX)
}
