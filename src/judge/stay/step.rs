//! The last lasting step of a resting level: the level of now is what stands after it.
//!
//! A step is sharp: most of its jump lies within a few bins, held against noise that is corrected
//! for its own correlation. What moves slowly is drift of the level, and no step.

use super::floor::middle_difference;
use crate::judge::levels;
use crate::judge::rules::{EDGE_S, STEP_A, STEP_BINS, STEP_F, STEP_SHARE, TEXTURE_S};
use crate::reading::number::{f64_from_usize, round_to_usize};
use crate::reading::statistics::{dot, mean, median};

/// Where in `values` a level begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Begins {
    /// The present one: after the last lasting step.
    pub(super) present: usize,
    /// The same level, but for what any car does by itself.
    pub(super) held: usize,
}

/// Where in `values`, which are `step_s` apart, the level that stands at the end begins.
pub(super) fn begins<T: Copy + Into<f64>>(values: &[T], step_s: f64) -> Begins {
    let found = steps(values, step_s);
    let present = found.last().copied().unwrap_or(0);
    let mut held = present;
    for from in found.into_iter().rev().skip(1) {
        let [before, after] = [from..held, held..values.len()].map(|at| values.get(at));
        let [Some(before), Some(after)] = [before, after] else {
            break;
        };
        if !levels::same(mean(before), mean(after)) {
            break;
        }
        held = from;
    }
    Begins { present, held }
}

/// Where what stands after each lasting step begins, the first from the first value on.
fn steps<T: Copy + Into<f64>>(values: &[T], step_s: f64) -> Vec<usize> {
    let span_s = f64_from_usize(values.len()) * step_s;
    let bin_s = (span_s / 60.0).clamp(EDGE_S, TEXTURE_S);
    let bin = round_to_usize(bin_s / step_s).max(1);
    let mut from = 0;
    let mut found = vec![from];
    loop {
        let rest = values.get(from..).unwrap_or(&[]);
        let means: Vec<f64> = rest.chunks_exact(bin).map(mean).collect();
        let Some(at) = sharp_step(&means) else {
            return found;
        };
        from += at * bin;
        found.push(from);
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
mod tests {
    use super::*;

    fn stepped(count: usize, at: usize, before_a: f64, after_a: f64) -> Vec<f64> {
        let noise = |i: usize| 0.0001 * f64_from_usize(i % 3);
        let level = |i| if i < at { before_a } else { after_a };
        (0..count).map(|i| level(i) + noise(i)).collect()
    }

    /// A step of 1.2 mA, or a hundredth of the level, is one; no smaller one matters.
    #[test]
    fn the_level_begins_after_its_last_step() {
        for (before_a, after_a, is_step) in [
            (0.020, 0.0214, true),
            (0.020, 0.0211, false),
            (0.0214, 0.020, true),
            (0.500, 0.5058, true),
            (0.500, 0.5042, false),
        ] {
            let from = begins(&stepped(600, 300, before_a, after_a), 1.0).present;
            let expected = if is_step { 290..=310 } else { 0..=0 };
            assert!(expected.contains(&from), "{before_a} {after_a}: {from}");
        }
    }

    /// Source: scipy 1.17.1, `norm.ppf(.75) ** 2` = 0.4549: neighbours of a level that has a variance
    /// of one differ by twice as much in the middle square, 0.91, however little they scatter about
    /// their means.
    #[test]
    fn noise_is_no_smaller_than_what_neighbours_differ_by() {
        let half_a = 0.001 * f64::sqrt(0.91) / 2.0;
        let bins: Vec<f64> = [0.03 - half_a, 0.03 + half_a].repeat(20);
        let (before, after) = bins.split_at(20);
        let variance = unexplained(before, after, &bins);
        assert!((variance / 1e-6 - 1.0).abs() < 1e-9, "{variance}");
    }

    #[test]
    fn of_two_steps_the_later_one_counts_and_a_slope_is_none() {
        let mut twice = stepped(900, 300, 0.020, 0.030);
        twice.truncate(600);
        twice.extend(stepped(300, 0, 0.100, 0.100));
        assert!((590..=610).contains(&begins(&twice, 1.0).present));
        let slope: Vec<f64> = (0..600)
            .map(|i| 0.020 + 0.00002 * f64_from_usize(i))
            .collect();
        assert_eq!(begins(&slope, 1.0).present, 0);
        assert_eq!(
            begins(&stepped(12, 6, 0.020, 0.030), 1.0).present,
            0,
            "too few to tell"
        );
    }

    /// Worked by hand: forty means that go up and down by 2 mA leave a variance of 4 * 4 / 0.91 mA2 by
    /// their neighbours; a step in their middle explains ten times its square, and is one from thirty
    /// variances on: 7.26 mA.
    #[test]
    fn a_step_stands_out_of_its_noise_by_thirty_variances() {
        for (by_a, expected) in [(0.0069, 0), (0.0076, 20)] {
            let values: Vec<f64> = (0..40)
                .map(|i| if i < 20 { 0.050 } else { 0.050 + by_a } + if i % 2 == 0 { 0.002 } else { -0.002 })
                .collect();
            assert_eq!(begins(&values, 10.0).present, expected, "{by_a}");
        }
    }

    /// Worked by hand: three above and three below by turns go together by 11 of 30.
    #[test]
    fn noise_that_goes_together_is_wider() {
        let bins: Vec<f64> = [1.0, 1.0, 1.0, -1.0, -1.0, -1.0].repeat(5);
        let (before, after) = bins.split_at(12);
        let together = 11.0 / 30.0;
        let expected = (1.0 + together) / (1.0 - together);
        let variance = unexplained(before, after, &bins);
        assert!((variance - expected).abs() < 1e-9, "{variance}");
    }

    /// What a car does by itself begins no level of its own: 3 mA at 260 mA, and not 16 mA.
    #[test]
    fn a_small_step_leaves_the_level_held() {
        for (after_a, expected) in [(0.257, 300..=310), (0.244, 590..=610)] {
            let mut values = stepped(600, 300, 1.0, 0.260);
            values.extend(stepped(300, 0, after_a, after_a));
            let begins = begins(&values, 1.0);
            assert!((590..=610).contains(&begins.present), "{begins:?}");
            assert!(expected.contains(&begins.held), "{after_a}: {begins:?}");
        }
    }
}
