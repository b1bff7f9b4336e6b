//! The noise of the record: from the differences of neighbouring blocks, so that levels, steps
//! and slow drift do not count as noise.

use super::sorted::Sorted;

/// One minute of differences: long enough for a median, short enough to follow a car that calms.
const DIFFERENCES: usize = 61;
/// The deviation of a normal distribution is this times the median of its absolute values.
const MAD_TO_SIGMA: f64 = 1.4826;
/// Below this many differences the noise is not known yet.
const ENOUGH: usize = 8;

/// The noise of the last minute of blocks.
#[derive(Clone, Debug)]
pub struct Noise {
    differences: Sorted,
    last_a: Option<f64>,
    sigma_a: f64,
}

impl Default for Noise {
    fn default() -> Self {
        Self {
            differences: Sorted::of(DIFFERENCES),
            last_a: None,
            sigma_a: 0.0,
        }
    }
}

impl Noise {
    /// Takes the next block's value; `resolution_a` is the meter's last place.
    pub fn push(&mut self, value_a: f64, resolution_a: f64) {
        if let Some(last_a) = self.last_a.replace(value_a) {
            self.differences.push((value_a - last_a).abs());
        }
        // Rounding hides noise below a third of a place; it does not prove that there is none.
        let floor_a = resolution_a / 3.0;
        let seen_a = MAD_TO_SIGMA * self.differences.median() / std::f64::consts::SQRT_2;
        self.sigma_a = if self.differences.count() < ENOUGH {
            floor_a
        } else {
            seen_a.max(floor_a)
        };
    }

    /// The next block does not follow the last one: their difference is no noise.
    pub fn interrupt(&mut self) {
        self.last_a = None;
    }

    /// The standard deviation of a block, in ampere.
    pub const fn sigma_a(&self) -> f64 {
        self.sigma_a
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_do_not_count_as_noise() {
        let mut noise = Noise::default();
        for i in 0..200u32 {
            let level = if i < 100 { 2.0 } else { 0.05 };
            let wiggle = if i % 2 == 0 { 0.002 } else { -0.002 };
            noise.push(level + wiggle, 0.001);
        }
        // Alternating +-2 mA: every difference is 4 mA.
        assert!((noise.sigma_a() - 1.4826 * 0.004 / 2f64.sqrt()).abs() < 1e-6);
    }
}
