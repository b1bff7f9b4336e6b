//! What the display's last place hides, by how many of its codes a stretch shows.

use std::collections::BTreeMap;

use super::RECTANGLE;
use crate::judge::rules::CHANCE;
use crate::reading::number::{f64_from_i64, f64_from_u64, round_to_i64};
use crate::reading::statistics::upper_median;
use crate::signal::mean::Mean;
use crate::signal::track::{self, Block};

/// So often is nearly always: by one code alone the display shows no dither at all, by two the true
/// mean lies between their threshold and the mean of the codes.
const NEARLY_ALL: f64 = 1.0 - 2.0 * CHANCE;

/// The level and its rounding uncertainty, by how many display codes the stretch shows.
pub(super) fn of(blocks: &[Block], mean: &Mean, resolution_a: f64) -> (f64, f64) {
    let codes = Codes::of(blocks, resolution_a);
    let share = |count: f64| {
        if codes.all > 0.0 {
            count / codes.all
        } else {
            0.0
        }
    };
    if share(codes.most) >= NEARLY_ALL {
        return (
            codes.most_code * resolution_a,
            resolution_a / 2.0 / RECTANGLE,
        );
    }
    if share(codes.most + codes.next) >= NEARLY_ALL {
        let threshold_a = codes.most_code.midpoint(codes.next_code) * resolution_a;
        let half_a = (mean.value - threshold_a).abs() / 2.0;
        return (mean.value.midpoint(threshold_a), half_a / RECTANGLE);
    }
    let sd_a = mean.sd.hypot(within_a(blocks));
    (mean.value, dithered_u_a(sd_a, resolution_a))
}

/// How far readings spread inside their blocks: two extremes and all others halfway between would
/// have this spread, so it is never too large; the middle block, because a spike counts as an
/// extreme.
fn within_a(blocks: &[Block]) -> f64 {
    let variances = track::read(blocks).map(|block| {
        let range_a = f64::from(block.max_a) - f64::from(block.min_a);
        range_a * range_a / 2.0 / f64::from(block.count())
    });
    upper_median(variances).map_or(0.0, f64::sqrt)
}

/// Bias left when noise spreads the readings over three codes or more ("Statistical theory of
/// quantization", IEEE Trans. Instrum. Meas. 45, 1996, 353; the formula from memory, checked by
/// simulation).
pub(crate) fn dithered_u_a(sd_a: f64, q: f64) -> f64 {
    let variance = (sd_a * sd_a - q * q / 12.0).max(0.0);
    let pi = std::f64::consts::PI;
    let exponent = -4.0 * pi * pi * variance / (q * q);
    let squares: f64 = (1..=3u32)
        .map(f64::from)
        .map(|k| q * q / (2.0 * pi * pi * k * k) * (exponent * k * k).exp())
        .sum();
    squares.sqrt()
}

/// How often the two commonest display codes stand in a stretch.
#[derive(Clone, Copy, Debug, Default)]
struct Codes {
    all: f64,
    most: f64,
    most_code: f64,
    next: f64,
    next_code: f64,
}

impl Codes {
    /// Counted from blocks: one that shows two neighbouring codes tells by its mean how often
    /// each stood in it; a wider one counts as neither.
    fn of(blocks: &[Block], resolution_a: f64) -> Self {
        let mut counts: BTreeMap<i64, f64> = BTreeMap::new();
        let mut all = 0.0;
        for block in track::read(blocks) {
            let n = f64_from_u64(u64::from(block.count()));
            let code = |a: f32| round_to_i64(f64::from(a) / resolution_a);
            let (low, high) = (code(block.min_a), code(block.max_a));
            all += n;
            if high.saturating_sub(low) > 1 {
                continue;
            }
            let above = f64::from(block.mean_a) / resolution_a - f64_from_i64(low);
            let upper = (n * above).round();
            *counts.entry(low).or_default() += if high > low { n - upper } else { n };
            if high > low {
                *counts.entry(high).or_default() += upper;
            }
        }
        let commonest = counts.iter().max_by(|a, b| a.1.total_cmp(b.1));
        let (most_code, most) = commonest.map_or((0, 0.0), |(code, count)| (*code, *count));
        let beside = [most_code.saturating_sub(1), most_code.saturating_add(1)];
        let beside = beside.map(|code| (code, counts.get(&code).copied().unwrap_or(0.0)));
        let [lower, upper] = beside;
        let (next_code, next) = if upper.1 > lower.1 { upper } else { lower };
        Self {
            all,
            most,
            most_code: f64_from_i64(most_code),
            next,
            next_code: f64_from_i64(next_code),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::stay::testkit::block;
    use crate::signal::track::Reads;

    /// Worked by hand: of eight readings two at 2 mA either way and all others between spread by
    /// 1 mA, (4 + 4) / 8 in squares; a spike in one of three seconds does not count.
    #[test]
    fn readings_spread_inside_their_seconds_by_their_extremes() {
        let block = |half_a: f32, count| Block {
            min_a: 0.030 - half_a,
            max_a: 0.030 + half_a,
            reads: Reads::of(count),
            ..block(0, 0.030)
        };
        let quiet = block(0.002, 8);
        let sd_a = within_a(&[quiet, block(1.0, 8), quiet]);
        assert!((sd_a - 0.001).abs() < 1e-6, "{sd_a}");
    }

    /// Source: simulation of a rounded normal variable (numpy), share of a place.
    #[test]
    fn noise_dithers_the_rounding_away() {
        for (sigma, expected) in [(0.2, 0.102), (0.3, 0.038), (0.4, 0.010), (0.5, 0.0016)] {
            let sd = f64::sqrt(sigma * sigma + 1.0 / 12.0);
            assert!((dithered_u_a(sd, 1.0) - expected).abs() < 0.002, "{sigma}");
        }
    }

    /// Worked by hand: on a display of 1 mA one code alone hides half a place either way; of two by
    /// turns the true mean lies between their threshold, 30.5 mA, and the mean of what they show.
    #[test]
    fn few_codes_hide_what_lies_between_them() {
        for (upper, a, half_a) in [(0, 0.030, 0.000_5), (1, 0.030_375, 0.000_125)] {
            let blocks: Vec<Block> = (0..40)
                .map(|t_s| block(t_s, if t_s % 4 < upper { 0.031 } else { 0.030 }))
                .collect();
            let mean = crate::signal::mean::mean(&track::values(&blocks)).unwrap();
            let (found_a, u_a) = of(&blocks, &mean, 0.001);
            assert!((found_a - a).abs() < 1e-7, "{upper}: {found_a}");
            assert!((u_a * RECTANGLE - half_a).abs() < 1e-7, "{upper}: {u_a}");
        }
    }

    /// A second that shows two neighbouring codes tells by its mean how often each stood in it; one that
    /// shows more counts as neither.
    #[test]
    fn codes_are_counted_within_their_seconds() {
        let second = |mean_a, min_a, max_a| Block {
            mean_a,
            min_a,
            max_a,
            reads: Reads::of(4),
            ..block(0, 0.030)
        };
        let quarter = second(0.030_25, 0.030, 0.031);
        let wide = second(0.031, 0.029, 0.033);
        let codes = Codes::of(&[quarter, wide, block(1, 0.030)], 0.001);
        let found = (codes.all, codes.most, codes.next, codes.next_code);
        assert_eq!(found, (9.0, 4.0, 1.0, 31.0));
        let below = Codes::of(&[block(0, 0.030), block(1, 0.030), block(2, 0.029)], 0.001);
        assert_eq!((below.next_code, below.next), (29.0, 1.0));
    }
}
