//! More or fewer wakes: an exact test on two counts with their exposures; regular ones by their
//! period.

use statrs::distribution::{Binomial, DiscreteCDF};

use super::sides::Side;
use super::{Bench, resting};
use crate::judge::finding::Wake;
use crate::judge::pool::Wakes;
use crate::judge::rules::{ALIKE, CHANCE, REGULAR_PERIODS};
use crate::reading::number::f64_from_usize;

/// What became of the wakes.
#[derive(Clone, Debug)]
pub(super) struct WakesCompared {
    pub before: Wakes,
    pub after: Wakes,
    pub change: WakesChange,
    /// How often those came before that the change is about.
    pub every_s: Option<f64>,
}

/// How the two sides differ.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum WakesChange {
    /// Neither side has any, or what there is says nothing.
    None,
    /// They stopped, or became fewer.
    Fewer,
    /// There are more.
    More,
    /// They went on.
    Same,
    /// Too early to say: so long a watch would tell, in seconds.
    Open { needed_s: f64 },
}

impl WakesCompared {
    pub(super) fn of(bench: &Bench<'_>, before: &Side<'_>, after: &Side<'_>) -> Self {
        let woke = [before, after].map(|side| bench.has_wakes(side.stay.setup));
        let of = |side: &Side<'_>| {
            if side.is_rested && woke.contains(&true) {
                let pool = bench.pool(side.stay.setup);
                pool.wakes_near(side.shown.level.a)
            } else {
                Wakes::default()
            }
        };
        let (mut before_wakes, mut after_wakes) = (of(before), of(after));
        if resting::is_mixed(before.shown, after.shown) {
            before_wakes.seen.retain(|wake| !resting::is_short(wake));
            after_wakes.seen.retain(|wake| !resting::is_short(wake));
        }
        let period_s = before_wakes
            .regular
            .map(|cycle| cycle.period_s)
            .or_else(|| {
                if before_wakes.seen.is_empty() {
                    return None;
                }
                let others = Wakes::of_car(bench.all_stays(), after.stay.setup);
                others.map(|cycle| cycle.period_s)
            });
        let mut change = change(&before_wakes, &after_wakes, period_s);
        let mut every_s = before_wakes.every_s();
        // Small ones that go on do not hide that large ones stopped.
        if change == WakesChange::Same {
            let large_as = of_more(&before_wakes, &after_wakes).weightiest_as();
            let [old, new] = [&before_wakes, &after_wakes]
                .map(|wakes| wakes.only(|wake| is_alike(wake, large_as)));
            let large = self::change(&old, &new, old.regular.map(|cycle| cycle.period_s));
            if matches!(large, WakesChange::Fewer | WakesChange::More) {
                (change, every_s) = (large, old.every_s());
            }
        }
        Self {
            before: before_wakes,
            after: after_wakes,
            change,
            every_s,
        }
    }

    /// What the change of the wakes does to the average, in ampere.
    pub(super) fn change_a(&self) -> f64 {
        match self.change {
            WakesChange::Fewer | WakesChange::More => self.after.add_a() - self.before.add_a(),
            WakesChange::None | WakesChange::Same | WakesChange::Open { .. } => 0.0,
        }
    }
}

/// The side with more of them.
fn of_more<'a>(before: &'a Wakes, after: &'a Wakes) -> &'a Wakes {
    if before.seen.len() >= after.seen.len() {
        before
    } else {
        after
    }
}

fn is_alike(wake: &Wake, size_as: f64) -> bool {
    wake.charge_as < ALIKE * size_as && wake.charge_as > size_as / ALIKE
}

fn change(before: &Wakes, after: &Wakes, period_s: Option<f64>) -> WakesChange {
    let usual_as = of_more(before, after).usual_as();
    let alike = |wakes: &Wakes| {
        let like = |wake: &&Wake| wake.over || is_alike(wake, usual_as);
        wakes.seen.iter().filter(like).count()
    };
    let (nb, na) = (alike(before), alike(after));
    if nb + na == 0 || before.watched_s <= 0.0 || after.watched_s <= 0.0 {
        return WakesChange::None;
    }
    if let Some(period_s) = period_s.filter(|_| na == 0) {
        let needed_s = REGULAR_PERIODS * period_s;
        return if after.watched_s >= needed_s {
            WakesChange::Fewer
        } else {
            WakesChange::Open { needed_s }
        };
    }
    if let Some(cycle) = after.regular.filter(|_| nb == 0)
        && before.watched_s >= REGULAR_PERIODS * cycle.period_s
    {
        return WakesChange::More;
    }
    let p = binomial(
        na,
        na + nb,
        after.watched_s / (after.watched_s + before.watched_s),
    );
    let (rate, was) = (
        f64_from_usize(na) / after.watched_s,
        f64_from_usize(nb) / before.watched_s,
    );
    if p < CHANCE {
        return if rate < was {
            WakesChange::Fewer
        } else {
            WakesChange::More
        };
    }
    // Fewer than half as many do not show that they go on.
    if na > 0 && rate >= was / 2.0 {
        return WakesChange::Same;
    }
    if nb == 0 {
        return WakesChange::None;
    }
    // None of a Poisson number comes so seldom where that many were expected.
    let needed_s = -CHANCE.ln() / was;
    if na == 0 && after.watched_s >= needed_s {
        return WakesChange::Fewer;
    }
    WakesChange::Open {
        needed_s: needed_s.max(2.0 * after.watched_s * f64_from_usize(na.min(1))),
    }
}

/// How probable it is that of `of` events so many or fewer, or as improbably many, fall into a
/// share `p` of the time: the exact two-sided test.
fn binomial(seen: usize, of: usize, p: f64) -> f64 {
    let (seen, of) = (
        u64::try_from(seen).unwrap_or(u64::MAX),
        u64::try_from(of).unwrap_or(u64::MAX),
    );
    let Ok(binomial) = Binomial::new(p, of) else {
        return 1.0;
    };
    let low = binomial.cdf(seen);
    let high = if seen == 0 {
        1.0
    } else {
        binomial.sf(seen - 1)
    };
    (2.0 * low.min(high)).min(1.0)
}

#[cfg(test)]
mod tests;
