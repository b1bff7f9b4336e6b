//! A rise out of the level that has not come back by the end of the stay.

use super::Basis;
use super::floor::Floor;
use super::series::Series;
use crate::judge::rules::{FLOOR_S, REST_S};
use crate::reading::number::round_to_usize;

/// From which point on the current stands above the level and has not come back, if that is no
/// longer ago than the time-out.
pub(super) fn risen(basis: &Basis<'_>, series: &Series, floor: &Floor) -> Option<usize> {
    let end_s = series.points.last()?.end_s();
    let jumps = floor.jumps();
    let few = jumps.len() < 4;
    // The floor may climb in more than one step.
    let ahead = round_to_usize(FLOOR_S / series.step_s).max(1);
    let found = jumps.iter().copied().filter(|at| {
        let young = series
            .points
            .get(*at)
            .is_some_and(|p| end_s - p.t_s < basis.timeout_s);
        let beyond = (*at + ahead).min(floor.lowest.len().saturating_sub(1));
        let pair = floor.lowest.get(*at).zip(floor.lowest.get(beyond));
        let far = pair.is_some_and(|(here, next)| *next > 1.6 * here + 0.02);
        (young || few) && far && at_rest_before(series, floor, *at) >= REST_S
    });
    found.min().map(|at| at + 1)
}

/// How long the car was at the level of `at` until then, in seconds.
fn at_rest_before(series: &Series, floor: &Floor, at: usize) -> f64 {
    let Some(lowest_a) = floor.lowest.get(at) else {
        return 0.0;
    };
    let near_a = floor.near(*lowest_a);
    let until = series.points.iter().zip(&floor.lows).take(at + 1);
    let near = until.filter(|(_, floor_a)| **floor_a <= lowest_a + near_a);
    near.map(|(point, _)| point.for_s).sum()
}
