//! The two axes: where a current stands, and which round values and times are labelled.

use crate::desk::view::Scale;
use crate::reading::{number, quantity};

/// The current axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Axis {
    /// Decades, from and to these powers of ten of an ampere.
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

impl Axis {
    /// An axis that shows everything between `min_a` and `max_a`. A log axis shows 10 mA to 10 A
    /// at least, and nothing below 0.1 mA.
    #[must_use]
    pub fn fit(scale: Scale, min_a: f64, max_a: f64) -> Self {
        match scale {
            Scale::Log => {
                let decade = |a: f64| a.max(1e-4).log10();
                Self::Log {
                    low: decade(min_a).floor().min(-2.0),
                    high: decade(max_a).ceil().clamp(1.0, 4.0),
                }
            }
            Scale::Linear => {
                let step = round_step(max_a.max(0.01) / 4.0);
                Self::Linear {
                    low_a: if min_a < 0.0 {
                        (min_a / step).floor() * step
                    } else {
                        0.0
                    },
                    high_a: (max_a.max(0.01) / step).ceil() * step,
                }
            }
        }
    }

    /// How high `a` stands: 0 at the bottom, 1 at the top.
    #[must_use]
    pub fn height(&self, a: f64) -> f64 {
        let share = match self {
            Self::Log { low, high } => (a.max(1e-9).log10() - low) / (high - low),
            Self::Linear { low_a, high_a } => (a - low_a) / (high_a - low_a),
        };
        share.clamp(0.0, 1.0)
    }

    /// The labelled currents, from the bottom up.
    #[must_use]
    pub fn ticks(&self) -> Vec<(f64, String)> {
        let label = |a: f64| (self.height(a), quantity::amount(a));
        match *self {
            Self::Log { low, high } => std::iter::successors(Some(low), |power| Some(power + 1.0))
                .take_while(|power| *power < high + 0.5)
                .take(12)
                .map(|power| label(10f64.powf(power)))
                .collect(),
            Self::Linear { low_a, high_a } => {
                let step = round_step(high_a / 4.0);
                std::iter::successors(Some(low_a), |a| Some(a + step))
                    .take_while(|a| *a < high_a + step / 2.0)
                    .take(12)
                    .map(label)
                    .collect()
            }
        }
    }

    /// The scale in a word.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Log { .. } => "log",
            Self::Linear { .. } => "linear",
        }
    }
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

/// Distances between labelled times, in seconds.
const STEPS_S: [i64; 18] = [
    5, 10, 20, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14_400, 21_600, 43_200, 86_400,
    172_800, 604_800,
];

/// The labelled times of a stretch: seconds since the session began, and the label.
#[must_use]
pub fn times(from_s: f64, to_s: f64, room: u16) -> Vec<(f64, String)> {
    let span_s = to_s - from_s;
    let most = f64::from(room / 14).max(1.0);
    let step = STEPS_S
        .into_iter()
        .find(|step| span_s / number::f64_from_i64(*step) <= most)
        .unwrap_or(604_800);
    let step_s = number::f64_from_i64(step);
    let first = (from_s / step_s).ceil() * step_s;
    std::iter::successors(Some(first), |t_s| Some(t_s + step_s))
        .take_while(|t_s| *t_s <= to_s)
        .take(64)
        .map(|t_s| (t_s, time_label(number::round_to_i64(t_s), step)))
        .collect()
}

/// Minutes while that is plain, hours above, seconds only where they differ.
fn time_label(t_s: i64, step: i64) -> String {
    let part = |by: i64, of: i64| t_s.div_euclid(by).rem_euclid(of);
    let (hours, minutes, seconds) = (t_s.div_euclid(3600), part(60, 60), part(1, 60));
    if step < 60 {
        return if hours > 0 {
            format!("{hours}:{minutes:02}:{seconds:02}")
        } else {
            format!("{minutes}:{seconds:02}")
        };
    }
    match (hours, minutes) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes:02}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn labels(axis: Axis) -> Vec<String> {
        axis.ticks().into_iter().map(|tick| tick.1).collect()
    }

    #[test]
    fn a_log_axis_shows_the_usual_decades_and_grows_when_it_must() {
        let usual = Axis::fit(Scale::Log, 0.05, 2.0);
        assert_eq!(labels(usual), ["10 mA", "100 mA", "1 A", "10 A"]);
        let wide = Axis::fit(Scale::Log, 0.0005, 12.0);
        assert_eq!(
            labels(wide),
            ["0.1 mA", "1 mA", "10 mA", "100 mA", "1 A", "10 A", "100 A"]
        );
        assert!((usual.height(0.01)).abs() < 1e-9);
        assert!((usual.height(10.0) - 1.0).abs() < 1e-9);
        assert!((usual.height(-5.0)).abs() < 1e-9);
    }

    #[test]
    fn a_linear_axis_begins_at_zero_and_has_round_steps() {
        assert_eq!(
            labels(Axis::fit(Scale::Linear, 0.05, 2.0)),
            ["0 mA", "500 mA", "1 A", "1.5 A", "2 A"]
        );
        assert_eq!(labels(Axis::fit(Scale::Linear, -0.02, 0.05))[0], "-20 mA");
    }

    #[test]
    fn times_are_round_and_their_labels_have_room() {
        let seen = times(0.0, 1800.0, 70);
        let words: Vec<&str> = seen.iter().map(|tick| tick.1.as_str()).collect();
        assert_eq!(words, ["0 min", "10 min", "20 min", "30 min"]);
        assert_eq!(times(3600.0, 9000.0, 40)[1].1, "2 h");
        assert_eq!(time_label(750, 30), "12:30");
        assert_eq!(time_label(4320, 120), "1 h 12");
    }
}
