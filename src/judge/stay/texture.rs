//! Texture: what comes and goes oftener than a wake can is averaged by wider blocks.

use super::excursion;
use super::floor::Floor;
use super::series::Series;
use crate::judge::rules::{FEW_RUNS, TEXTURE_S};
use crate::reading::number::{f64_from_usize, round_to_usize};

/// Wider blocks, tried in turn, look past what comes and goes faster.
const WIDER: [usize; 2] = [5, 20];

/// The series in blocks wide enough that what comes and goes oftener than a wake can is averaged.
pub(super) fn past_texture(plain: Series, resolution_a: f64, is_sparse: bool) -> (Series, Floor) {
    let floor = Floor::of(&plain, resolution_a, is_sparse);
    if is_sparse || !is_textured(&plain, &floor, 1.0) {
        return (plain, floor);
    }
    let enough = |times: &usize| plain.points.len() >= round_to_usize(2.0 * FEW_RUNS) * times;
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

fn is_textured(series: &Series, floor: &Floor, times: f64) -> bool {
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
    let minutes = f64_from_usize(series.points.len() - arrival) * series.step_s / 60.0;
    let onsets_f = f64_from_usize(onsets);
    let mean_s = f64_from_usize(in_it) / onsets_f * series.step_s;
    let often = onsets_f >= 2.0 * FEW_RUNS
        && onsets_f >= minutes * 60.0 / TEXTURE_S
        && mean_s <= TEXTURE_S * times;
    // What is above most of the time, and not far, is the level's own unrest.
    let mostly = 2 * in_it > above.len() - arrival.min(above.len())
        && (times > 1.0 || excursion::lies_low(series, floor, &above));
    often || mostly
}
