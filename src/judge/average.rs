//! The time-average of the settled current, its wakes included, and how well it is known.
//!
//! Regular wakes: the ratio estimator over whole cycles (M. A. Crane and A. J. Lemoine, An
//! introduction to the regenerative method, 1977, from memory). Others: charges at random
//! moments, whose sum has a variance of the sum of their squares (compound Poisson).

use super::cycle;
use super::finding::Wake;
use super::phase::{Settling, Walk};
use super::uncertainty::{self, Estimate};
use crate::reading::number::f64_from_usize;
use crate::session::Session;

/// What the wakes add to the settled level.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Extra {
    a: f64,
    se_a: f64,
    dof: f64,
}

/// The settled `level` with what its wakes add on average, since the car first settled with
/// these fuses in.
#[must_use]
pub fn average(session: &Session, walk: &Walk, last: &Settling, level: &Estimate) -> Estimate {
    let first = walk
        .settlings
        .iter()
        .find(|s| s.fuse_state == last.fuse_state)
        .unwrap_or(last);
    let wakes: Vec<Wake> = walk
        .wakes
        .iter()
        .filter(|wake| wake.from >= first.data_from && wake.to <= last.to)
        .copied()
        .collect();
    let blind_s: f64 = session
        .signal()
        .gaps()
        .iter()
        .filter(|gap| gap.from >= first.data_from && gap.to <= last.to)
        .map(|gap| gap.to.secs_since(gap.from))
        .sum();
    let span_s = last.to.secs_since(first.data_from) - blind_s;
    let extra = if cycle::cycles(&wakes, &[]).is_empty() {
        at_random(&wakes, span_s)
    } else {
        over_cycles(&wakes)
    };
    let noise_u_a = level.noise_u_a.hypot(extra.se_a);
    let parts = [
        (level.noise_u_a, level.dof),
        (extra.se_a, extra.dof.max(1.0)),
    ];
    let dof = uncertainty::effective_dof(noise_u_a, &parts);
    Estimate {
        a: level.a + extra.a,
        noise_u_a,
        dof,
        ..*level
    }
}

fn at_random(wakes: &[Wake], span_s: f64) -> Extra {
    let (sum, squares) = wakes.iter().fold((0.0, 0.0), |(sum, squares), w| {
        (sum + w.charge_as, squares + w.charge_as.powi(2))
    });
    let span_s = span_s.max(1.0);
    let dof = f64_from_usize(wakes.len());
    Extra {
        a: sum / span_s,
        se_a: squares.sqrt() / span_s,
        dof,
    }
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
        dof: n - 1.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::Elapsed;

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

    #[test]
    fn one_wake_alone_is_known_no_better_than_itself() {
        let extra = at_random(&[wake(100.0, 36.0)], 3600.0);
        assert!((extra.a - 0.01).abs() < 1e-12 && (extra.se_a - 0.01).abs() < 1e-12);
    }
}
