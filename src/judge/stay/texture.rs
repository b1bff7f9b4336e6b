//! Texture: what comes and goes oftener than a wake can is averaged by wider blocks.

use super::excursion;
use super::floor::Floor;
use super::series::Series;
use crate::judge::rules::{FEW_RUNS, TEXTURE_S};
use crate::reading::number::{f64_from_usize, round_to_usize};

/// Wider blocks, tried in turn, look past what comes and goes faster.
const WIDER: [usize; 2] = [5, 20];

/// The series in blocks wide enough that what comes and goes oftener than a wake can is averaged.
pub(super) fn past_texture(
    plain: Series<'_>,
    resolution_a: f64,
    is_sparse: bool,
) -> (Series<'_>, Floor) {
    let floor = Floor::of(&plain, resolution_a, is_sparse);
    if is_sparse || !is_textured(&plain, &floor, 1.0) {
        return (plain, floor);
    }
    let enough = |times: &usize| plain.len() >= round_to_usize(2.0 * FEW_RUNS) * times;
    let mut seen = None;
    for times in WIDER.into_iter().filter(enough) {
        let series = plain.widened(times);
        let floor = Floor::of(&series, resolution_a, is_sparse);
        let textured = is_textured(&series, &floor, f64_from_usize(times));
        seen = Some((series, floor));
        if !textured {
            break;
        }
    }
    seen.unwrap_or((plain, floor))
}

fn is_textured(series: &Series<'_>, floor: &Floor, times: f64) -> bool {
    let Some(arrival) = floor.arrival() else {
        return false;
    };
    let above = excursion::above(series, floor, arrival);
    let onsets = above
        .iter()
        .zip(above.iter().skip(1))
        .filter(|(was, is)| !**was && **is)
        .count();
    let in_it = above.iter().filter(|above| **above).count();
    let minutes = f64_from_usize(series.len() - arrival) * series.step_s / 60.0;
    let onsets_f = f64_from_usize(onsets);
    let often = onsets_f >= 2.0 * FEW_RUNS && onsets_f >= minutes * 60.0 / TEXTURE_S;
    // What is above most of the time, and not far, is the level's own unrest.
    let mostly = 2 * in_it > above.len() - arrival
        && (times > 1.0 || excursion::lies_low(series, floor, &above));
    often || mostly
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::stay::testkit::series;

    /// How wide the blocks are after looking past what comes and goes, in seconds: the car draws
    /// 30 mA, and every `period` seconds `high_a` for `width` seconds.
    fn wide_s(period: u32, width: u32, high_a: f64, times: usize) -> f64 {
        let one = [(period - width, 0.03), (width, high_a)];
        let plain = series(&one.repeat(times), 1);
        past_texture(plain, 0.001, false).0.step_s
    }

    #[test]
    fn what_comes_oftener_than_a_wake_can_is_looked_past() {
        for (period, width, times, expected_s, why) in [
            (5, 2, 60, 5.0, "every five seconds"),
            (6, 1, 60, 20.0, "every six: blocks of five still show it"),
            (30, 2, 20, 1.0, "twice a minute is no texture"),
            (15, 2, 30, 1.0, "four times a minute is none either"),
            (8, 2, 7, 1.0, "seven of them are too few"),
            (6, 1, 12, 5.0, "too few to look past in blocks of twenty"),
            (6, 1, 26, 5.0, "still too few"),
            (6, 1, 27, 20.0, "eight blocks of twenty"),
        ] {
            let found = wide_s(period, width, 0.08, times);
            assert!((found - expected_s).abs() < 1e-9, "{why}: {found}");
        }
    }

    /// What is above most of the time, and barely, is the level's own unrest; far above it is a load
    /// that comes and goes.
    #[test]
    fn what_lies_barely_above_most_of_the_time_is_unrest_of_the_level() {
        assert!(wide_s(30, 20, 0.042, 20) > 1.0, "barely above");
        assert!(wide_s(30, 20, 0.060, 20) < 2.0, "far above");
        assert!(wide_s(30, 10, 0.042, 20) < 2.0, "barely, and seldom");
    }

    #[test]
    fn readings_minutes_apart_are_judged_one_by_one() {
        let plain = series(&[(5, 0.03), (2, 0.08)].repeat(60), 1);
        assert!(past_texture(plain, 0.001, true).0.step_s < 2.0);
    }
}
