//! Which of a row of candidates to take next, when one of them draws: a dynamic programme over
//! runs of the weight-sorted list.
//!
//! After each removal or refit the current tells on which side the drawer is. Taking a run from
//! either end of the list is as good as any subset within 4 % (`tests/plan.rs`, against all
//! subsets), and a run can be said in one line. What the candidates are is not known here.

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

/// The costs of all runs, each times the chance of its run; kept by start and by end, so that all
/// that one step of the programme reads stands in a row.
#[derive(Clone, Debug)]
struct Costs {
    side: usize,
    by_start: Vec<f64>,
    by_end: Vec<f64>,
}

impl Costs {
    fn new(side: usize) -> Self {
        Self {
            side,
            by_start: vec![0.0; side * side],
            by_end: vec![0.0; side * side],
        }
    }

    fn of(&self, run: &Range<usize>) -> f64 {
        let at = run.start * self.side + run.end;
        self.by_start.get(at).copied().unwrap_or(f64::INFINITY)
    }

    fn set(&mut self, run: &Range<usize>, cost: f64) {
        let by_start = self.by_start.get_mut(run.start * self.side + run.end);
        let by_end = self.by_end.get_mut(run.end * self.side + run.start);
        for cell in by_start.into_iter().chain(by_end) {
            *cell = cost;
        }
    }

    /// The costs of what stands before each cut of the run.
    fn heads(&self, run: &Range<usize>) -> &[f64] {
        let row = run.start * self.side;
        let cuts = row + run.start + 1..row + run.end;
        self.by_start.get(cuts).unwrap_or_default()
    }

    /// The costs of what stands behind each cut of the run.
    fn tails(&self, run: &Range<usize>) -> &[f64] {
        let row = run.end * self.side;
        let cuts = row + run.start + 1..row + run.end;
        self.by_end.get(cuts).unwrap_or_default()
    }
}

/// The whole programme for one list of candidates.
#[derive(Clone, Debug)]
pub struct Search {
    n: usize,
    waits: Waits,
    elsewhere: Elsewhere,
    /// Sums of the chances up to each item.
    chances: Vec<f64>,
    /// Sums of the handling up to each item, in seconds.
    handles_s: Vec<f64>,
    fitted: Costs,
    out: Costs,
    open: Costs,
}

/// Where the drawer is known to be, and what the fuses do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum DrawerAt {
    /// In the run, which is fitted: pull some of it.
    Fitted,
    /// In the run, which is out: refit some of it.
    Out,
    /// In the run or elsewhere: pull some of it or all.
    Open,
}

impl Search {
    /// Works the programme out. The items are best sorted, likeliest first.
    pub fn new(items: &[Item], waits: Waits, elsewhere: Elsewhere) -> Self {
        let n = items.len();
        let mut search = Self {
            n,
            waits,
            elsewhere,
            chances: sums(items.iter().map(|item| item.chance.max(0.0))),
            handles_s: sums(items.iter().map(|item| item.handle_s)),
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
                let fitted = search.cheapest(DrawerAt::Fitted, &run);
                search.fitted.set(&run, fitted);
                let out = search.cheapest(DrawerAt::Out, &run);
                search.out.set(&run, out);
                // Last, since all of the run may be pulled at once.
                let open = search.cheapest(DrawerAt::Open, &run);
                search.open.set(&run, open);
            }
        }
        search
    }

    /// The drawer is one of the items, and all of them are fitted.
    pub fn fitted(&self) -> Choice {
        self.choice(DrawerAt::Fitted)
    }

    /// The drawer is one of the items, and all of them are out.
    pub fn out(&self) -> Choice {
        self.choice(DrawerAt::Out)
    }

    /// The drawer is one of the items, all fitted, or elsewhere.
    pub fn open(&self) -> Choice {
        self.choice(DrawerAt::Open)
    }

    fn choice(&self, case: DrawerAt) -> Choice {
        let run = 0..self.n;
        let nothing = (run.start..run.start, self.settled(case));
        let whole = self.whole(case, &run).map(|cost| (run.clone(), cost));
        let parts = self
            .splits(case, &run)
            .flat_map(|(cut, head, tail)| [(run.start..cut, head), (cut..run.end, tail)]);
        let (take, cost) = parts
            .chain(whole)
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .unwrap_or(nothing);
        let chance = self.chance(case, &run);
        let expected_s = if chance > 0.0 { cost / chance } else { 0.0 };
        Choice { take, expected_s }
    }

    /// What the best step costs from there on, times the run's chance.
    fn cheapest(&self, case: DrawerAt, run: &Range<usize>) -> f64 {
        let whole = self.whole(case, run).unwrap_or(f64::INFINITY);
        let best = self
            .splits(case, run)
            .fold(whole, |best, (_, head, tail)| best.min(head).min(tail));
        if best.is_finite() {
            best
        } else {
            self.settled(case)
        }
    }

    /// Where no step is left: one alone is known, and none is elsewhere.
    fn settled(&self, case: DrawerAt) -> f64 {
        match case {
            DrawerAt::Fitted | DrawerAt::Out => 0.0,
            DrawerAt::Open => self.elsewhere.chance * self.elsewhere.cost_s,
        }
    }

    /// Taking the whole run: only where the drawer may be elsewhere does it tell anything.
    fn whole(&self, case: DrawerAt, run: &Range<usize>) -> Option<f64> {
        let tells = case == DrawerAt::Open && !run.is_empty();
        let spent_s = between(&self.handles_s, run) + self.waits.pull_s;
        tells.then(|| self.chance(case, run) * spent_s + self.out.of(run) + self.settled(case))
    }

    /// Every cut of the run, with the costs of taking what stands before it and behind it.
    fn splits(
        &self,
        case: DrawerAt,
        run: &Range<usize>,
    ) -> impl Iterator<Item = (usize, f64, f64)> {
        let (taken, kept, wait_s) = match case {
            DrawerAt::Fitted => (&self.out, &self.fitted, self.waits.pull_s),
            DrawerAt::Out => (&self.fitted, &self.out, self.waits.refit_s),
            DrawerAt::Open => (&self.out, &self.open, self.waits.pull_s),
        };
        let chance = self.chance(case, run);
        let all_s = between(&self.handles_s, run);
        let before_s = self.handles_s.get(run.start).copied().unwrap_or_default();
        let cuts = run.start + 1..run.end;
        let handles_s = self.handles_s.get(cuts.clone()).unwrap_or_default();
        let heads = taken.heads(run).iter().zip(kept.tails(run));
        let tails = taken.tails(run).iter().zip(kept.heads(run));
        let costs = heads.zip(tails).zip(handles_s);
        cuts.zip(costs)
            .map(move |(cut, ((front, back), handle_s))| {
                let front_s = handle_s - before_s;
                let spent = |handle_s: f64| chance * (handle_s + wait_s);
                (
                    cut,
                    spent(front_s) + front.0 + front.1,
                    spent(all_s - front_s) + back.0 + back.1,
                )
            })
    }

    fn chance(&self, case: DrawerAt, run: &Range<usize>) -> f64 {
        let of_run = between(&self.chances, run);
        match case {
            DrawerAt::Fitted | DrawerAt::Out => of_run,
            DrawerAt::Open => of_run + self.elsewhere.chance,
        }
    }
}

/// What the sums grow by over the run.
fn between(sums: &[f64], run: &Range<usize>) -> f64 {
    let at = |at: usize| sums.get(at).copied().unwrap_or_default();
    at(run.end) - at(run.start)
}

/// Zero, and the sum up to and with each value.
fn sums(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let sum_to = |sum: &mut f64, value: f64| {
        *sum += value;
        Some(*sum)
    };
    [0.0].into_iter().chain(values.scan(0.0, sum_to)).collect()
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
