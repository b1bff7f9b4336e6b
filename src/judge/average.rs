//! The time-average of the settled current, its wakes included, and how well it is known.
//!
//! Regular wakes: the ratio estimator over whole cycles ("An introduction to the regenerative
//! method for simulation analysis", Lecture Notes in Control and Information Sciences 4, 1977,
//! from memory). Others: charges at random moments. How often such come is known as well as a
//! count is: the exact interval for a Poisson mean ("Fiducial limits for the Poisson
//! distribution", Biometrika 28, 1936, 437, from memory), which is longer upwards than downwards.
//! Charges of different size count as fewer of the same size.

use statrs::distribution::{ContinuousCDF, Gamma};

use super::finding::{Phase, Wake};
use super::phase::{Settling, Walk};
use super::uncertainty::{self, Estimate};
use super::{cycle, hold};
use crate::reading::Elapsed;
use crate::reading::number::f64_from_usize;
use crate::session::mark::Did;
use crate::session::{Placed, Session};

/// The current over time, wakes included.
#[derive(Clone, Debug, PartialEq)]
pub struct Average {
    /// As well as it is known upwards.
    pub high: Estimate,
    /// The same, with the noise that it has downwards.
    pub low: Estimate,
    /// The plain mean of what was measured in that time, in ampere.
    pub plain_a: f64,
    /// How long was measured, in seconds.
    pub watched_s: f64,
    /// The wakes in it.
    pub wakes: Vec<Wake>,
}

impl Average {
    /// As well as it is known on the side where the limit lies.
    #[must_use]
    pub fn towards(&self, limit_a: f64) -> &Estimate {
        if self.high.a > limit_a {
            &self.low
        } else {
            &self.high
        }
    }
}

/// What the wakes add to the settled level.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Extra {
    a: f64,
    /// Standard error upwards.
    se_a: f64,
    /// Standard error downwards.
    se_low_a: f64,
    dof: f64,
}

/// The settled `level` with what everything else adds on average, since the car first settled
/// near it with these fuses in and was last locked or unlocked.
///
/// All that was measured in that time counts: wakes, and stretches awake that were too long to
/// be called a wake.
#[must_use]
pub fn average(session: &Session, walk: &Walk, last: &Settling, level: &Estimate) -> Average {
    let from = window_from(session, walk, last);
    let wakes: Vec<Wake> = walk
        .wakes
        .iter()
        .filter(|w| w.from >= from && w.to <= last.to)
        .copied()
        .collect();
    let (above_as, span_s) = above(session, walk, &wakes, (from, last.to), level.a);
    let in_wakes_as: f64 = wakes.iter().map(|wake| wake.charge_as).sum();
    let other_as = above_as - in_wakes_as;
    let gaps = session.signal().gaps();
    let whole = !gaps.iter().any(|gap| gap.from < last.to && gap.to > from);
    let only_wakes = other_as.abs() <= OTHER_SHARE * in_wakes_as;
    let extra = if whole && only_wakes && !cycle::cycles(&wakes, &[]).is_empty() {
        over_cycles(&wakes)
    } else {
        at_random(&wakes, other_as, span_s)
    };
    let charge_as = session.signal().track().charge_above_as(from, last.to, 0.0);
    Average {
        high: with(level, &extra, extra.se_a),
        low: with(level, &extra, extra.se_low_a),
        plain_a: charge_as / span_s,
        watched_s: span_s,
        wakes,
    }
}

fn with(level: &Estimate, extra: &Extra, se_a: f64) -> Estimate {
    let noise_u_a = level.noise_u_a.hypot(se_a);
    let parts = [(level.noise_u_a, level.dof), (se_a, extra.dof.max(1.0))];
    Estimate {
        a: level.a + extra.a,
        noise_u_a,
        dof: uncertainty::effective_dof(noise_u_a, &parts),
        ..*level
    }
}

/// What the wakes do not explain of the charge may be this share of it: the edges of the wakes.
const OTHER_SHARE: f64 = 0.10;

fn window_from(session: &Session, walk: &Walk, last: &Settling) -> Elapsed {
    let used = session
        .marks()
        .rfind(|p| matches!(p.mark.did, Did::Lock | Did::Unlock));
    let used = used.map_or(Elapsed::from_ms(i64::MIN), Placed::at);
    let mut same = walk
        .settlings
        .iter()
        .filter(|s| s.fuse_state == last.fuse_state && hold::near(s.level_a, last.level_a));
    same.find(|settling| settling.proven > used)
        .unwrap_or(last)
        .data_from
}

/// Charge above the level in every stretch of the window that is not settled, or settled in a
/// wake too long to be one, and how many seconds of the window were measured.
fn above(
    session: &Session,
    walk: &Walk,
    wakes: &[Wake],
    (from, to): (Elapsed, Elapsed),
    level_a: f64,
) -> (f64, f64) {
    let track = session.signal().track();
    let gaps = session.signal().gaps().iter();
    let blind_s: f64 = gaps
        .map(|gap| gap.to.min(to).secs_since(gap.from.max(from)).max(0.0))
        .sum();
    let woken = |from, to| wakes.iter().any(|wake| wake.from <= from && wake.to >= to);
    let stretches = walk.stretches.iter();
    let restless = stretches.filter(|s| s.phase != Phase::Settled || woken(s.from, s.to));
    let charge_as = restless
        .map(|stretch| track.charge_above_as(stretch.from.max(from), stretch.to.min(to), level_a))
        .sum();
    (charge_as, (to.secs_since(from) - blind_s).max(1.0))
}

/// Each wake, and what the wakes do not explain, is a charge that came once. The average is never
/// below the settled level: what lies below it is a level of its own.
fn at_random(wakes: &[Wake], other_as: f64, span_s: f64) -> Extra {
    let charges = wakes.iter().map(|wake| wake.charge_as).chain([other_as]);
    let (sum, squares) = charges.fold((0.0, 0.0), |(sum, squares), q| (sum + q, squares + q * q));
    if sum <= 0.0 || squares <= 0.0 {
        return Extra::default();
    }
    let (count, a) = (sum * sum / squares, sum / span_s);
    let (low, high) = poisson(count);
    Extra {
        a,
        se_a: a * (high - count) / count / K,
        se_low_a: a * (count - low) / count / GUARD,
        dof: f64::INFINITY,
    }
}

/// U, which is told upwards, is this many standard errors.
const K: f64 = 2.0;
/// Downwards only the guard of the verdict counts: one-sided 95 % of the normal distribution.
const GUARD: f64 = 1.645;

/// The mean of a Poisson variable that came out as `count`: once in 20 times it is lower than the
/// first, once in 40 higher than the second.
fn poisson(count: f64) -> (f64, f64) {
    let quantile = |shape: f64, share: f64| Gamma::new(shape, 1.0).map(|g| g.inverse_cdf(share));
    (
        quantile(count, 0.05).unwrap_or(0.0),
        quantile(count + 1.0, 0.975).unwrap_or(f64::INFINITY),
    )
}

/// From each onset to the next is one cycle; the last wake begins one that has not ended.
fn over_cycles(wakes: &[Wake]) -> Extra {
    let cycles: Vec<(f64, f64)> = wakes
        .iter()
        .zip(wakes.iter().skip(1))
        .map(|(wake, next)| (wake.charge_as, next.from.secs_since(wake.from)))
        .collect();
    let n = f64_from_usize(cycles.len());
    let (charge_as, time_s) = cycles
        .iter()
        .fold((0.0, 0.0), |(y, t), c| (y + c.0, t + c.1));
    let ratio_a = charge_as / time_s;
    let squares: f64 = cycles.iter().map(|(y, t)| (y - ratio_a * t).powi(2)).sum();
    let se_a = (squares / (n - 1.0)).sqrt() / (time_s / n * n.sqrt());
    Extra {
        a: ratio_a,
        se_a,
        se_low_a: se_a,
        dof: n - 1.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wake(from_s: f64, charge_as: f64) -> Wake {
        let from = Elapsed::from_secs(from_s);
        Wake {
            from,
            to: from.plus_secs(30.0),
            peak_a: 0.3,
            charge_as,
        }
    }

    /// Source: worked by hand from the ratio estimator: charges 7, 8, 6 over 240, 250, 230 s.
    #[test]
    fn whole_cycles_give_ratio_and_error() {
        let wakes = [(0.0, 7.0), (240.0, 8.0), (490.0, 6.0), (720.0, 9.0)].map(|(t, q)| wake(t, q));
        let extra = over_cycles(&wakes);
        let ratio = 21.0 / 720.0;
        let squares = (7.0 - ratio * 240.0f64).powi(2)
            + (8.0 - ratio * 250.0f64).powi(2)
            + (6.0 - ratio * 230.0f64).powi(2);
        let se = (squares / 2.0f64).sqrt() / (240.0 * 3f64.sqrt());
        assert!((extra.a - ratio).abs() < 1e-12 && (extra.se_a - se).abs() < 1e-12);
    }

    /// Source: exact limits of a Poisson mean ("Fiducial limits for the Poisson distribution",
    /// Biometrika 28, 1936, 437; figures from memory of its table):
    /// 5 % and 97.5 %: 1: 0.0513, 5.572; 3: 0.8177, 8.767; 10: 5.425, 18.39.
    #[test]
    fn random_wakes_are_known_as_well_as_their_count() {
        for (count, low, high) in [
            (1u32, 0.0513, 5.572),
            (3, 0.8177, 8.767),
            (10, 5.425, 18.39),
        ] {
            let n = f64::from(count);
            let wakes: Vec<Wake> = (0..count).map(|i| wake(f64::from(i), 36.0)).collect();
            let extra = at_random(&wakes, 0.0, 3600.0);
            assert!((extra.a - 0.01 * n).abs() < 1e-12);
            assert!(
                (extra.a + 2.0 * extra.se_a - 0.01 * high).abs() < 1e-4,
                "{extra:?}"
            );
            assert!(
                (extra.a - 1.645 * extra.se_low_a - 0.01 * low).abs() < 1e-4,
                "{extra:?}"
            );
        }
    }

    #[test]
    fn an_average_is_never_below_its_level() {
        assert_eq!(at_random(&[], -50.0, 3600.0), Extra::default());
    }
}
