//! The two axes: where a current stands, and which round values and times are labelled.

use chrono::{NaiveDate, TimeDelta};

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
const STEPS_S: [i64; 20] = [
    1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14_400, 21_600, 43_200, 86_400,
    172_800, 604_800,
];

/// What the labels of the time axis count from, and how they are written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Times {
    /// From the beginning of the session.
    Elapsed,
    /// The time of day; what the day's midnight is in seconds of the session, and its date.
    Clock {
        /// Midnight of the first day.
        midnight_s: f64,
        /// That day.
        day: NaiveDate,
    },
    /// From this moment, in seconds of the session.
    Since {
        /// The moment.
        zero_s: f64,
    },
}

impl Times {
    const fn zero_s(self) -> f64 {
        match self {
            Self::Elapsed => 0.0,
            Self::Clock { midnight_s, .. } => midnight_s,
            Self::Since { zero_s } => zero_s,
        }
    }

    fn label(self, t_s: i64, step: i64) -> String {
        match self {
            Self::Elapsed => time_label(t_s, step),
            Self::Clock { day, .. } => clock_label(day, t_s, step),
            Self::Since { .. } => {
                let sign = if t_s < 0 { '-' } else { '+' };
                format!("{sign}{}", time_label(t_s.saturating_abs(), step))
            }
        }
    }
}

/// The labelled times of a stretch: seconds since the session began, and the label.
#[must_use]
pub fn times(from_s: f64, to_s: f64, room: u16, counted: Times) -> Vec<(f64, String)> {
    let span_s = to_s - from_s;
    let most = f64::from(room / 14).max(1.0);
    let step = STEPS_S
        .into_iter()
        .find(|step| span_s / number::f64_from_i64(*step) <= most)
        .unwrap_or(604_800);
    let step_s = number::f64_from_i64(step);
    let zero_s = counted.zero_s();
    let first = ((from_s - zero_s) / step_s).ceil() * step_s;
    std::iter::successors(Some(first), |t_s| Some(t_s + step_s))
        .take_while(|t_s| *t_s <= to_s - zero_s)
        .take(64)
        .map(|t_s| (t_s + zero_s, counted.label(number::round_to_i64(t_s), step)))
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

/// The time of day; at midnight the day instead, where hours or days are labelled.
fn clock_label(day: NaiveDate, t_s: i64, step: i64) -> String {
    const DAY_S: i64 = 86_400;
    if step >= 3600 && t_s.rem_euclid(DAY_S) == 0 {
        let days = TimeDelta::try_days(t_s.div_euclid(DAY_S)).unwrap_or_default();
        let that = day.checked_add_signed(days).unwrap_or(day);
        return that.format("%a %-d").to_string();
    }
    let part = |by: i64, of: i64| t_s.div_euclid(by).rem_euclid(of);
    let (hours, minutes, seconds) = (part(3600, 24), part(60, 60), part(1, 60));
    if step < 60 {
        format!("{hours:02}:{minutes:02}:{seconds:02}")
    } else {
        format!("{hours:02}:{minutes:02}")
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
        let seen = times(0.0, 1800.0, 70, Times::Elapsed);
        let words: Vec<&str> = seen.iter().map(|tick| tick.1.as_str()).collect();
        assert_eq!(words, ["0 min", "10 min", "20 min", "30 min"]);
        assert_eq!(times(3600.0, 9000.0, 40, Times::Elapsed)[1].1, "2 h");
        assert_eq!(time_label(750, 30), "12:30");
        assert_eq!(time_label(4320, 120), "1 h 12");
    }

    #[test]
    fn the_time_of_day_has_round_labels_and_names_the_day_at_midnight() {
        let day = NaiveDate::from_ymd_opt(2026, 11, 25).unwrap();
        // The session began at 08:10:07.
        let midnight_s = -(8.0 * 3600.0 + 10.0 * 60.0 + 7.0);
        let counted = Times::Clock { midnight_s, day };
        let words = |from_s, to_s| -> Vec<String> {
            let ticks = times(from_s, to_s, 72, counted);
            ticks.into_iter().map(|tick| tick.1).collect()
        };
        assert_eq!(words(0.0, 1800.0), ["08:20", "08:30", "08:40"]);
        assert_eq!(
            words(0.0, 10.0),
            ["08:10:08", "08:10:10", "08:10:12", "08:10:14", "08:10:16"]
        );
        assert_eq!(words(0.0, 86_400.0), ["12:00", "18:00", "Thu 26", "06:00"]);
        let first = times(0.0, 1800.0, 72, counted)[0].0;
        assert!((first - 593.0).abs() < 1e-9, "{first}");
    }

    #[test]
    fn time_since_a_moment_has_a_sign() {
        let ticks = times(0.0, 1800.0, 72, Times::Since { zero_s: 700.0 });
        let words: Vec<&str> = ticks.iter().map(|tick| tick.1.as_str()).collect();
        assert_eq!(words, ["-10 min", "+0 min", "+10 min"]);
    }
}
