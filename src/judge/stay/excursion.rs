//! What stands above the floor: runs of points, told apart into texture of the level and events.

use super::floor::Floor;
use super::series::{Point, Series};
use crate::judge::rules::{FEW_RUNS, SETTLE_S, SPARSE_READINGS, TEXTURE_S};
use crate::reading::number::f64_from_usize;
use crate::reading::statistics::median;

/// A run of points above the floor, with short returns in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Excursion {
    /// Its points: the first, and one past the last.
    pub points: (usize, usize),
    /// When it began and ended, in seconds.
    pub from_s: f64,
    pub to_s: f64,
    /// When it was last at half its height or more, in seconds: who touched the car left it then.
    pub left_s: f64,
    /// Charge above the floor, in ampere-seconds.
    pub charge_as: f64,
    /// Highest current, in ampere.
    pub peak_a: f64,
    /// Whether the meter was over its range in it: then its charge is a least one.
    pub over: bool,
    /// The longest run in it without a return, in seconds, and how many runs it has.
    longest_s: f64,
    runs: usize,
}

impl Excursion {
    pub(super) fn lasts_s(&self) -> f64 {
        self.to_s - self.from_s
    }
}

/// Whether each point stands above its threshold; none does before `arrival`.
pub(super) fn above(series: &Series<'_>, floor: &Floor, arrival: usize) -> Vec<bool> {
    let pairs = series.iter().zip(floor.thresholds()).enumerate();
    pairs
        .map(|(i, (point, threshold))| i >= arrival && (point.over || point.a() > threshold))
        .collect()
}

/// Every excursion of the stay, texture included.
pub(super) fn all(series: &Series<'_>, floor: &Floor, above: &[bool]) -> Vec<Excursion> {
    // Shorter returns to the floor do not part an excursion.
    let apart_s = (TEXTURE_S / 2.0).max(SPARSE_READINGS * series.step_s);
    let mut found: Vec<Excursion> = Vec::new();
    let mut run_s = 0.0;
    let mut was_above = false;
    let points = series
        .iter()
        .zip(above)
        .zip(floor.lowest.iter())
        .enumerate();
    for (i, ((point, above), lowest_a)) in points {
        if !above {
            was_above = false;
            continue;
        }
        let charge_as = (point.a() - lowest_a) * point.for_s();
        let near = |last: &&mut Excursion| point.t_s() - last.to_s <= apart_s - series.step_s;
        if let Some(last) = found.last_mut().filter(near) {
            run_s = if was_above {
                run_s + point.for_s()
            } else {
                point.for_s()
            };
            last.points.1 = i + 1;
            last.to_s = point.end_s();
            last.charge_as += charge_as;
            last.peak_a = last.peak_a.max(point.a());
            if point.a() >= last.peak_a / 2.0 {
                last.left_s = point.end_s();
            }
            last.over |= point.over;
            last.runs += usize::from(!was_above);
            last.longest_s = last.longest_s.max(run_s);
        } else {
            run_s = point.for_s();
            found.push(one(i, &point, charge_as));
        }
        was_above = true;
    }
    found
}

fn one(i: usize, point: &Point, charge_as: f64) -> Excursion {
    Excursion {
        points: (i, i + 1),
        from_s: point.t_s(),
        to_s: point.end_s(),
        left_s: point.end_s(),
        charge_as,
        peak_a: point.a(),
        over: point.over,
        longest_s: point.for_s(),
        runs: 1,
    }
}

/// Whether the middle one of the points above the floor stands barely above it.
pub(super) fn lies_low(series: &Series<'_>, floor: &Floor, above: &[bool]) -> bool {
    let points = series.iter().zip(above).zip(floor.lowest.iter());
    let mut heights: Vec<f64> = points
        .filter(|((_, above), _)| **above)
        .map(|((point, _), lowest_a)| (point.a() - lowest_a) / floor.near(lowest_a))
        .collect();
    median(&mut heights).is_some_and(|height| height < 2.0)
}

/// Only the events among `all`: short runs that come often, or in groups, are texture of the level.
pub(super) fn events(all: &[Excursion], watched_s: f64, step_s: f64) -> Vec<Excursion> {
    // Wider blocks look past texture: what fills one or two of them is of it too.
    let short_s = TEXTURE_S.max(SPARSE_READINGS * step_s);
    let count = f64_from_usize(all.len());
    let often = count > FEW_RUNS.max(watched_s / SETTLE_S);
    let is_texture = |one: &&Excursion| {
        !one.over && one.longest_s <= short_s && (often || f64_from_usize(one.runs) >= FEW_RUNS)
    };
    all.iter().filter(|one| !is_texture(one)).copied().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::stay::testkit::series;
    use crate::reading::Elapsed;

    fn event(n: f64, longest_s: f64, runs: usize, over: bool) -> Excursion {
        let point = Point {
            from: Elapsed::from_secs(100.0 * n),
            for_ms: Elapsed::from_secs(longest_s).ms().try_into().unwrap(),
            mean_a: 0.3,
            first: 0,
            count: 1,
            over,
        };
        Excursion {
            runs,
            ..one(0, &point, 1.0)
        }
    }

    /// Runs of 10 s or less are texture where there are more than four, and more than one in two
    /// minutes; or four of them in a group. Beyond the meter's range none is.
    #[test]
    fn short_runs_that_come_often_are_texture() {
        for (count, watched_s, longest_s, runs, over, expected) in [
            (4, 300.0, 5.0, 1, false, 4),
            (5, 300.0, 5.0, 1, false, 0),
            (5, 590.0, 5.0, 1, false, 0),
            (5, 610.0, 5.0, 1, false, 5),
            (5, 300.0, 9.9, 1, false, 0),
            (5, 300.0, 10.5, 1, false, 5),
            (5, 300.0, 5.0, 1, true, 5),
            (1, 3600.0, 5.0, 3, false, 1),
            (1, 3600.0, 5.0, 4, false, 0),
        ] {
            let all: Vec<_> = (0..count)
                .map(|n| event(f64::from(n), longest_s, runs, over))
                .collect();
            let found = events(&all, watched_s, 1.0).len();
            assert_eq!(
                found, expected,
                "{count} in {watched_s} s, {longest_s} s, {runs} runs"
            );
        }
    }

    /// Returns to the floor of less than five seconds, or of two and a half readings where these are
    /// further apart, do not part an excursion.
    #[test]
    fn a_short_return_does_not_part_an_excursion() {
        for (step_s, return_s, expected) in [
            (1, 4, vec![2]),
            (1, 5, vec![1, 1]),
            (10, 10, vec![2]),
            (10, 20, vec![1, 1]),
        ] {
            let one = (2 * step_s, 0.3);
            let stretches = [(60, 0.03), one, (return_s, 0.03), one, (60, 0.03)];
            let series = series(&stretches, step_s);
            let floor = Floor::of(&series, 0.001, false);
            let all = all(&series, &floor, &above(&series, &floor, 0));
            let runs: Vec<usize> = all.iter().map(|one| one.runs).collect();
            assert_eq!(runs, expected, "{return_s} s in steps of {step_s} s");
        }
    }
}
