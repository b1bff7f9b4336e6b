//! The current axis: where a current stands, and which round currents are labelled.

use crate::reading::quantity;

/// The current axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Currents {
    /// Decades, from and to these powers of ten of an ampere: a record holds amperes and
    /// milliamperes.
    Log {
        /// The lower end.
        low: f64,
        /// The upper end.
        high: f64,
    },
    /// From `low_a` up to `high_a`.
    Linear {
        /// The lower end: zero, or below it when the current is.
        low_a: f64,
        /// The upper end.
        high_a: f64,
    },
}

impl Currents {
    /// Nothing below is drawn in decades: no ammeter on a car knows it.
    const FLOOR_A: f64 = 1e-4;

    /// The whole decades that hold everything between `min_a` and `max_a`, two at least.
    pub fn log(min_a: f64, max_a: f64) -> Self {
        let power = |a: f64| a.max(Self::FLOOR_A).log10();
        let low = power(min_a).floor().min(1.0);
        let high = power(max_a).ceil().min(4.0).max(low + 2.0);
        Self::Log { low, high }
    }

    /// The round steps that hold everything between `min_a`, or zero, and `max_a`.
    pub fn linear(min_a: f64, max_a: f64) -> Self {
        let max_a = max_a.max(0.01);
        let step = round_step(max_a / 4.0);
        Self::Linear {
            low_a: (min_a.min(0.0) / step).floor() * step,
            high_a: (max_a / step).ceil() * step,
        }
    }

    /// How high `a` stands: 0 at the bottom, 1 at the top.
    pub fn height(self, a: f64) -> f64 {
        let share = match self {
            Self::Log { low, high } => (a.max(1e-9).log10() - low) / (high - low),
            Self::Linear { low_a, high_a } => (a - low_a) / (high_a - low_a),
        };
        share.clamp(0.0, 1.0)
    }

    /// The current at the bottom, in ampere.
    pub fn bottom_a(self) -> f64 {
        match self {
            Self::Log { low, .. } => 10f64.powf(low),
            Self::Linear { low_a, .. } => low_a,
        }
    }

    /// The labelled currents, from the bottom up.
    pub fn ticks(self) -> Vec<(f64, String)> {
        let label = |a: f64| (self.height(a), quantity::amount(a));
        match self {
            Self::Log { low, high } => steps(low, high, 1.0)
                .map(|power| label(10f64.powf(power)))
                .collect(),
            Self::Linear { low_a, high_a } => steps(low_a, high_a, round_step(high_a / 4.0))
                .map(label)
                .collect(),
        }
    }

    /// The heights of twice and five times each decade.
    pub fn fine(self) -> Vec<f64> {
        let Self::Log { low, high } = self else {
            return Vec::new();
        };
        steps(low, high - 1.0, 1.0)
            .flat_map(|power| [2.0, 5.0].map(|times| self.height(times * 10f64.powf(power))))
            .collect()
    }

    /// The scale in a word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Log { .. } => "log",
            Self::Linear { .. } => "linear",
        }
    }
}

/// From `low` up to `high`, both included, a dozen at most.
fn steps(low: f64, high: f64, step: f64) -> impl Iterator<Item = f64> {
    std::iter::successors(Some(low), move |at| Some(at + step))
        .take_while(move |at| *at < high + step / 2.0)
        .take(12)
}

/// The nearest of 1, 2, 5 times a power of ten at or above `x`.
fn round_step(x: f64) -> f64 {
    let power = 10f64.powf(x.max(1e-9).log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|factor| factor * power)
        .find(|step| *step >= x * 0.999)
        .unwrap_or(power * 10.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn labels(axis: Currents) -> Vec<String> {
        axis.ticks().into_iter().map(|tick| tick.1).collect()
    }

    #[test]
    fn decades_hold_everything_and_two_at_least() {
        let axis = Currents::log(0.031, 4.2);
        assert_eq!(labels(axis), ["10 mA", "100 mA", "1 A", "10 A"]);
        assert!((axis.height(0.01)).abs() < 1e-9 && (axis.height(10.0) - 1.0).abs() < 1e-9);
        assert!(axis.height(-1.0).abs() < 1e-9);
        assert_eq!(axis.fine().len(), 6);
        assert_eq!(labels(Currents::log(0.05, 0.06)).len(), 3);
        assert_eq!(
            labels(Currents::log(0.0005, 12.0)),
            ["0.1 mA", "1 mA", "10 mA", "100 mA", "1 A", "10 A", "100 A"]
        );
    }

    #[test]
    fn a_linear_axis_begins_at_zero_and_has_round_steps() {
        let usual = Currents::linear(0.05, 2.0);
        assert_eq!(labels(usual), ["0 mA", "500 mA", "1 A", "1.5 A", "2 A"]);
        assert_eq!(labels(Currents::linear(-0.02, 0.05))[0], "-20 mA");
    }
}
