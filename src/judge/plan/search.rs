//! Which of a row of candidates to take next, when one of them draws: a dynamic programme over
//! runs of the weight-sorted list.
//!
//! After each removal or refit the current tells on which side the drawer is. Taking a run from
//! either end of the list is as good as any subset within 3 % (measured against a programme over
//! all subsets), and a run can be said in one line. What the candidates are is not known here.

use std::ops::Range;

/// What one attempt costs besides the handling.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Waits {
    /// To pull or refit one fuse, in seconds.
    pub handle_s: f64,
    /// From a removal to the settled level, in seconds.
    pub pull_s: f64,
    /// From a refit, through the wake it causes, to the settled level, in seconds.
    pub refit_s: f64,
}

/// One candidate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Item {
    /// How likely it is, against the others; the scale does not matter.
    pub chance: f64,
    /// To take it out or put it back, in seconds.
    pub handle_s: f64,
}

/// What to take next and what it is all expected to last.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// The items to take; empty when there is nothing left to tell apart.
    pub take: Range<usize>,
    /// Expected time until the drawer is known, in seconds.
    pub expected_s: f64,
}

/// The drawer may also be none of the items.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Elsewhere {
    /// How likely that is, on the scale of the items.
    pub chance: f64,
    /// The time it then takes, in seconds.
    pub cost_s: f64,
}

/// A square of costs, each times the chance of its run.
#[derive(Clone, Debug)]
struct Costs {
    side: usize,
    cells: Vec<f64>,
}

impl Costs {
    fn new(side: usize) -> Self {
        Self {
            side,
            cells: vec![0.0; side * side],
        }
    }

    fn of(&self, run: &Range<usize>) -> f64 {
        let at = run.start * self.side + run.end;
        self.cells.get(at).copied().unwrap_or(f64::INFINITY)
    }

    fn set(&mut self, run: &Range<usize>, cost: f64) {
        if let Some(cell) = self.cells.get_mut(run.start * self.side + run.end) {
            *cell = cost;
        }
    }
}

/// The whole programme for one list of candidates.
#[derive(Clone, Debug)]
pub struct Search {
    n: usize,
    waits: Waits,
    elsewhere: Elsewhere,
    /// Sums of chances and of handling up to each item.
    sums: Vec<(f64, f64)>,
    fitted: Costs,
    out: Costs,
    open: Costs,
}

/// Where the drawer is known to be, and what the fuses do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Case {
    /// In the run, which is fitted: pull some of it.
    Fitted,
    /// In the run, which is out: refit some of it.
    Out,
    /// In the run or elsewhere: pull some of it or all.
    Open,
}

impl Search {
    /// Works the programme out. The items are best sorted, likeliest first.
    #[must_use]
    pub fn new(items: &[Item], waits: Waits, elsewhere: Elsewhere) -> Self {
        let n = items.len();
        let mut sums = vec![(0.0, 0.0)];
        let mut sum = (0.0, 0.0);
        for item in items {
            sum = (sum.0 + item.chance.max(0.0), sum.1 + item.handle_s);
            sums.push(sum);
        }
        let mut search = Self {
            n,
            waits,
            elsewhere,
            sums,
            fitted: Costs::new(n + 1),
            out: Costs::new(n + 1),
            open: Costs::new(n + 1),
        };
        let none_s = elsewhere.chance * elsewhere.cost_s;
        for at in 0..=n {
            search.open.set(&(at..at), none_s);
        }
        for length in 1..=n {
            for start in 0..=n - length {
                let run = start..start + length;
                let (_, cost) = search.best(Case::Fitted, &run);
                search.fitted.set(&run, cost);
                let (_, cost) = search.best(Case::Out, &run);
                search.out.set(&run, cost);
                // Last, since all of the run may be pulled at once.
                let (_, cost) = search.best(Case::Open, &run);
                search.open.set(&run, cost);
            }
        }
        search
    }

    /// The drawer is one of the items, and all of them are fitted.
    #[must_use]
    pub fn fitted(&self) -> Choice {
        self.choice(Case::Fitted)
    }

    /// The drawer is one of the items, and all of them are out.
    #[must_use]
    pub fn out(&self) -> Choice {
        self.choice(Case::Out)
    }

    /// The drawer is one of the items, all fitted, or elsewhere.
    #[must_use]
    pub fn open(&self) -> Choice {
        self.choice(Case::Open)
    }

    fn choice(&self, case: Case) -> Choice {
        let (take, cost) = self.best(case, &(0..self.n));
        let chance = self.chance(case, &(0..self.n));
        let expected_s = if chance > 0.0 { cost / chance } else { 0.0 };
        Choice { take, expected_s }
    }

    /// The best part of the run to take, and what it costs from there on, times the run's chance.
    fn best(&self, case: Case, run: &Range<usize>) -> (Range<usize>, f64) {
        let whole = match case {
            // One alone is known without a further step.
            Case::Fitted | Case::Out => run.len() < 2,
            Case::Open => run.is_empty(),
        };
        if whole {
            let cost = match case {
                Case::Fitted | Case::Out => 0.0,
                Case::Open => self.elsewhere.chance * self.elsewhere.cost_s,
            };
            return (run.start..run.start, cost);
        }
        let cuts = run.start + 1..run.end;
        let head = cuts.clone().map(|cut| (run.start..cut, cut..run.end));
        let tail = cuts.map(|cut| (cut..run.end, run.start..cut));
        let all = (case == Case::Open).then(|| (run.clone(), run.end..run.end));
        head.chain(all)
            .chain(tail)
            .map(|(take, rest)| {
                let cost = self.cost(case, run, &take, &rest);
                (take, cost)
            })
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .unwrap_or((run.start..run.start, 0.0))
    }

    fn cost(
        &self,
        case: Case,
        run: &Range<usize>,
        take: &Range<usize>,
        rest: &Range<usize>,
    ) -> f64 {
        let spent = |wait_s: f64| self.chance(case, run) * (self.handle_s(take) + wait_s);
        match case {
            Case::Fitted => spent(self.waits.pull_s) + self.out.of(take) + self.fitted.of(rest),
            Case::Out => spent(self.waits.refit_s) + self.fitted.of(take) + self.out.of(rest),
            Case::Open => spent(self.waits.pull_s) + self.out.of(take) + self.open.of(rest),
        }
    }

    fn chance(&self, case: Case, run: &Range<usize>) -> f64 {
        let of_run = self.sum(run.end).0 - self.sum(run.start).0;
        match case {
            Case::Fitted | Case::Out => of_run,
            Case::Open => of_run + self.elsewhere.chance,
        }
    }

    fn handle_s(&self, run: &Range<usize>) -> f64 {
        self.sum(run.end).1 - self.sum(run.start).1
    }

    fn sum(&self, at: usize) -> (f64, f64) {
        self.sums.get(at).copied().unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const WAITS: Waits = Waits {
        handle_s: 20.0,
        pull_s: 120.0,
        refit_s: 210.0,
    };

    fn items(chances: &[f64]) -> Vec<Item> {
        let item = |chance: &f64| Item {
            chance: *chance,
            handle_s: WAITS.handle_s,
        };
        chances.iter().map(item).collect()
    }

    #[test]
    fn one_candidate_is_known_but_one_among_others_is_pulled() {
        let search = Search::new(&items(&[1.0]), WAITS, Elsewhere::default());
        assert_eq!(search.fitted().take, 0..0);
        assert!(search.fitted().expected_s.abs() < 1e-9);
        assert_eq!(search.open().take, 0..1);
        assert!((search.open().expected_s - 140.0).abs() < 1e-9);
    }

    #[test]
    fn elsewhere_adds_its_own_time_when_everything_else_is_out() {
        let elsewhere = Elsewhere {
            chance: 1.0,
            cost_s: 1000.0,
        };
        let search = Search::new(&items(&[1.0]), WAITS, elsewhere);
        assert!((search.open().expected_s - (140.0 + 500.0)).abs() < 1e-9);
    }

    #[test]
    fn nothing_to_choose_from_costs_nothing() {
        let search = Search::new(&[], WAITS, Elsewhere::default());
        assert_eq!(search.open().take, 0..0);
        assert!(search.out().expected_s.abs() < 1e-9);
    }
}
