//! A rise out of the level that has not come back by the end of the stay.

use super::Basis;
use super::floor::Floor;
use super::series::Series;
use crate::judge::rules::{FLOOR_S, REST_S};
use crate::reading::number::round_to_usize;

/// From which point on the current stands above the level and has not come back, if that is no
/// longer ago than the time-out.
pub(super) fn risen(basis: &Basis<'_>, series: &Series<'_>, floor: &Floor) -> Option<usize> {
    let end_s = series.last()?.end_s();
    let jumps = floor.jumps();
    let few = jumps.len() < 4;
    // The floor may climb in more than one step.
    let ahead = round_to_usize(FLOOR_S / series.step_s).max(1);
    let found = jumps.iter().copied().filter(|at| {
        let young = series
            .get(*at)
            .is_some_and(|p| end_s - p.t_s() < basis.timeout_s);
        let beyond = (*at + ahead).min(floor.lowest.len().saturating_sub(1));
        let lowest_a = |at: usize| floor.lowest.get(at);
        let pair = lowest_a(*at).zip(lowest_a(beyond));
        let far = pair.is_some_and(|(here_a, next_a)| next_a > 1.6 * here_a + 0.02);
        (young || few) && far && at_rest_before(series, floor, *at) >= REST_S
    });
    found.min().map(|at| at + 1)
}

/// How long the car was at the level of `at` until then, in seconds.
fn at_rest_before(series: &Series<'_>, floor: &Floor, at: usize) -> f64 {
    let Some(lowest_a) = floor.lowest.get(at) else {
        return 0.0;
    };
    let near_a = floor.near(lowest_a);
    let until = series.iter().zip(&floor.lows).take(at + 1);
    let near = until.filter(|(_, floor_a)| f64::from(**floor_a) <= lowest_a + near_a);
    near.map(|(point, _)| point.for_s()).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::kit::basis;
    use crate::judge::stay::testkit::{car, series};

    /// Where the current rose for good, at a time-out of ten minutes.
    fn found(stretches: &[(u32, f64)], step_s: u32) -> Option<usize> {
        let session = car(&[(0, 0.03)], 5).session();
        let series = series(stretches, step_s);
        let floor = Floor::of(&series, 0.001, false);
        risen(&basis(&session), &series, &floor)
    }

    /// The floor leads a rise by up to half its width.
    #[track_caller]
    fn rises_at(stretches: &[(u32, f64)], at: usize) {
        let found = found(stretches, 1).unwrap();
        assert!(found.abs_diff(at) < 20, "{found} is not {at}");
    }

    #[test]
    fn a_rise_out_of_a_rest_is_found_when_it_is_far_and_the_car_had_rested() {
        rises_at(&[(200, 0.03), (200, 0.30)], 200);
        rises_at(&[(200, 0.03), (200, 0.08)], 200);
        assert_eq!(
            found(&[(200, 0.03), (200, 0.06)], 1),
            None,
            "30 mA more is not far"
        );
        assert_eq!(
            found(&[(60, 0.03), (200, 0.30)], 1),
            None,
            "a minute is no rest"
        );
        assert_eq!(
            found(&[(200, 0.03), (60, 0.30), (200, 0.03)], 1),
            None,
            "it came back"
        );
        assert!(
            found(&[(1000, 0.03), (1000, 0.30)], 10).is_some(),
            "readings ten seconds apart"
        );
    }

    /// Up in steps of a minute: only all of it together is far.
    #[test]
    fn a_rise_in_two_steps_is_one() {
        rises_at(&[(200, 0.03), (10, 0.055), (200, 0.08)], 200);
    }

    /// Of many rises only those of the last time-out count; of few, the first.
    #[test]
    fn old_rises_count_only_while_they_are_few() {
        let stairs = [(200, 0.03), (200, 0.1), (200, 0.25), (200, 0.6), (220, 1.4)];
        rises_at(&stairs, 600);
        rises_at(&[(200, 0.03), (200, 0.1), (200, 0.25), (600, 0.6)], 200);
    }
}
