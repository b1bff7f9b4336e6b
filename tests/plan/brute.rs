//! The plan's costs by trying every subset: slow, short, and written without a look at the plan.

use lullboard::judge::plan::search::{Elsewhere, Waits};

/// Expected times for every set of candidates, each times the chance of the set.
pub(crate) struct Costs {
    all: usize,
    chances: Vec<f64>,
    elsewhere: Elsewhere,
    fitted: Vec<f64>,
    out: Vec<f64>,
    open: Vec<f64>,
}

impl Costs {
    pub(crate) fn new(chances: &[f64], waits: Waits, elsewhere: Elsewhere) -> Self {
        let sets = 1 << chances.len();
        let mut costs = Self {
            all: sets - 1,
            chances: chances.to_vec(),
            elsewhere,
            fitted: vec![0.0; sets],
            out: vec![0.0; sets],
            open: vec![elsewhere.chance * elsewhere.cost_s; sets],
        };
        for set in 1..sets {
            let parts = || (1..=set).filter(move |part| part & set == *part);
            let proper = || parts().filter(move |part| *part != set);
            let chance = costs.chance(set);
            let spent = |chance: f64, part: usize, wait_s: f64| {
                chance * (waits.handle_s * f64::from(part.count_ones()) + wait_s)
            };
            if set.count_ones() > 1 {
                // Sets grow with their number, so that every proper part is done already.
                costs.fitted[set] = proper()
                    .map(|part| {
                        spent(chance, part, waits.pull_s)
                            + costs.out[part]
                            + costs.fitted[set - part]
                    })
                    .fold(f64::INFINITY, f64::min);
                costs.out[set] = proper()
                    .map(|part| {
                        spent(chance, part, waits.refit_s)
                            + costs.fitted[part]
                            + costs.out[set - part]
                    })
                    .fold(f64::INFINITY, f64::min);
            }
            costs.open[set] = parts()
                .map(|part| {
                    spent(chance + elsewhere.chance, part, waits.pull_s)
                        + costs.out[part]
                        + costs.open[set - part]
                })
                .fold(f64::INFINITY, f64::min);
        }
        costs
    }

    fn chance(&self, set: usize) -> f64 {
        let chances = self.chances.iter().enumerate();
        chances
            .filter(|(at, _)| set >> at & 1 == 1)
            .map(|(_, chance)| chance)
            .sum()
    }

    pub(crate) fn fitted(&self) -> f64 {
        self.fitted[self.all] / self.chance(self.all)
    }

    pub(crate) fn out(&self) -> f64 {
        self.out[self.all] / self.chance(self.all)
    }

    pub(crate) fn open(&self) -> f64 {
        self.open[self.all] / (self.chance(self.all) + self.elsewhere.chance)
    }
}
