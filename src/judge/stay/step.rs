//! The last lasting step of a resting level: the level of now is what stands after it.
//!
//! A step is sharp: most of its jump lies within a few bins, held against noise that is corrected
//! for its own correlation. What moves slowly is drift of the level, and no step.

use super::floor::middle_difference;
use crate::judge::rules::{EDGE_S, STEP_A, STEP_BINS, STEP_F, STEP_SHARE, TEXTURE_S};
use crate::reading::number::{f64_from_usize, round_to_usize};
use crate::reading::statistics::{dot, mean, median};

/// Where in `values`, which are `step_s` apart, what stands after the last lasting step begins.
pub(super) fn last_step(values: &[f64], step_s: f64) -> usize {
    let span_s = f64_from_usize(values.len()) * step_s;
    let bin_s = (span_s / 60.0).clamp(EDGE_S, TEXTURE_S);
    let bin = round_to_usize(bin_s / step_s).max(1);
    let mut from = 0;
    loop {
        let rest = values.get(from..).unwrap_or(&[]);
        let means: Vec<f64> = rest.chunks_exact(bin).map(mean).collect();
        let Some(at) = sharp_step(&means) else {
            return from;
        };
        from += at * bin;
    }
}

/// The first bin after the step, if there is one.
fn sharp_step(bins: &[f64]) -> Option<usize> {
    let count = bins.len();
    let end = round_to_usize(STEP_BINS);
    if count < 2 * end {
        return None;
    }
    let n = f64_from_usize(count);
    let all: f64 = bins.iter().sum();
    let mut sum = 0.0;
    let mut best = (0usize, 0.0f64, 0.0f64);
    for (i, bin) in bins.iter().enumerate().take(count - end) {
        sum += bin;
        let before = f64_from_usize(i + 1);
        if i + 1 < end {
            continue;
        }
        let jump = (all - sum) / (n - before) - sum / before;
        let explained = jump * jump * before * (n - before) / n;
        if explained > best.1 {
            best = (i + 1, explained, jump);
        }
    }
    let (at, explained, jump) = best;
    let (before, after) = bins.split_at_checked(at).filter(|_| at > 0)?;
    let variance = unexplained(before, after, bins);
    let small = jump.abs() < STEP_A.max(STEP_SHARE * (all / n).abs());
    if small || explained < STEP_F * variance {
        return None;
    }
    let mut left: Vec<f64> = before.iter().rev().skip(1).take(end).copied().collect();
    let mut right: Vec<f64> = after.iter().skip(1).take(end).copied().collect();
    let beside = median(&mut right)? - median(&mut left)?;
    // In a short stretch all of it lies beside the step; else most of the jump has to.
    let is_short = count <= 8 * end;
    (is_short || beside.abs() > jump.abs() / 2.0).then_some(at)
}

/// The variance that the two levels leave, no smaller than what neighbours differ by, and wider
/// where neighbours go together.
fn unexplained(before: &[f64], after: &[f64], bins: &[f64]) -> f64 {
    let (a, b) = (mean(before), mean(after));
    let left: Vec<f64> = before
        .iter()
        .map(|x| x - a)
        .chain(after.iter().map(|x| x - b))
        .collect();
    let squares = dot(&left, &left);
    let products = dot(&left, left.get(1..).unwrap_or_default());
    let together = (products / squares.max(f64::MIN_POSITIVE)).clamp(0.0, 0.9);
    // Neighbours' differences have twice the variance, and their middle square is 0.455 of it.
    let by_neighbours = middle_difference(bins).powi(2) / 0.91;
    let variance = (squares / f64_from_usize(bins.len()))
        .max(by_neighbours)
        .max(1e-10);
    variance * (1.0 + together) / (1.0 - together)
}

#[cfg(test)]
mod tests;
