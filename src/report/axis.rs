//! The two axes of the printed plot: decades of current, and round times of the day.

use super::times::Times;
use crate::reading::{Elapsed, number, quantity};

/// The current axis, in powers of ten of an ampere: a record holds amperes and milliamperes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Decades {
    low: f64,
    high: f64,
}

impl Decades {
    /// Nothing below is drawn: no ammeter on a car knows it.
    const FLOOR_A: f64 = 1e-4;

    /// The whole decades that hold everything between `min_a` and `max_a`, two at least.
    #[must_use]
    pub fn fit(min_a: f64, max_a: f64) -> Self {
        let low = min_a.max(Self::FLOOR_A).log10().floor().min(1.0);
        let high = max_a.max(Self::FLOOR_A).log10().ceil().min(4.0);
        Self {
            low,
            high: high.max(low + 2.0),
        }
    }

    /// How high `a` stands: 0 at the bottom, 1 at the top; what is not above zero, at the bottom.
    #[must_use]
    pub fn height(self, a: f64) -> f64 {
        let share = (a.max(1e-12).log10() - self.low) / (self.high - self.low);
        share.clamp(0.0, 1.0)
    }

    /// The current at the bottom, in ampere.
    #[must_use]
    pub fn bottom_a(self) -> f64 {
        10f64.powf(self.low)
    }

    /// The labelled currents, from the bottom up.
    #[must_use]
    pub fn labels(self) -> Vec<(f64, String)> {
        self.powers()
            .map(|power| 10f64.powf(power))
            .map(|a| (self.height(a), quantity::amount(a)))
            .collect()
    }

    /// The heights of twice and five times each decade.
    #[must_use]
    pub fn fine(self) -> Vec<f64> {
        self.powers()
            .filter(|power| *power < self.high - 0.5)
            .flat_map(|power| [2.0, 5.0].map(|times| self.height(times * 10f64.powf(power))))
            .collect()
    }

    fn powers(self) -> impl Iterator<Item = f64> {
        std::iter::successors(Some(self.low), |power| Some(power + 1.0))
            .take_while(move |power| *power < self.high + 0.5)
    }
}

/// A labelled moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Tick {
    /// When.
    pub t: Elapsed,
    /// The hour, or the day where only days are labelled.
    pub label: String,
    /// The day, where it is a new one.
    pub day: Option<String>,
}

/// Distances between labels, in seconds.
const STEPS_S: [i64; 17] = [
    5, 10, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10_800, 21_600, 43_200, 86_400, 172_800,
    604_800,
];

const DAY_S: i64 = 86_400;

fn step_s(span_s: f64, most: f64) -> i64 {
    let fits = |step: &i64| span_s / number::f64_from_i64(*step) <= most;
    STEPS_S.into_iter().find(fits).unwrap_or_else(|| {
        let days = number::round_to_i64((span_s / most / number::f64_from_i64(DAY_S)).ceil());
        days.max(1).saturating_mul(DAY_S)
    })
}

/// Beyond this between two labels no clock change matters any more, and a record with a wrong date
/// in it must not be combed hour by hour.
const AGES_S: i64 = 100 * DAY_S;

/// The labelled times of `from..=to`, `most` at most, round on the clock on the wall.
#[must_use]
pub fn times(times: &Times, from: Elapsed, to: Elapsed, most: f64) -> Vec<Tick> {
    let step = step_s(to.secs_since(from), most);
    // Offsets from UTC are whole quarters of an hour, so a coarser comb would miss a round hour.
    let is_ages = step > AGES_S;
    let comb_s = if is_ages {
        number::f64_from_i64(step)
    } else if step < 60 {
        1.0
    } else if step < 3600 {
        60.0
    } else {
        900.0
    };
    let Some(first) = first_round(times, from, number::round_to_i64(comb_s)) else {
        return Vec::new();
    };
    let mut day_before = None;
    std::iter::successors(Some(first), |t| Some(t.plus_secs(comb_s)))
        .take_while(|t| *t <= to)
        .filter_map(|t| {
            let (second, day) = times.of_day(t);
            let is_round = if is_ages {
                true
            } else if step < DAY_S {
                second % step == 0
            } else {
                second == 0 && day % (step / DAY_S) == 0
            };
            is_round.then(|| {
                let is_new = day_before.replace(day) != Some(day);
                tick(times, t, step, is_new)
            })
        })
        .collect()
}

/// The first moment from `from` on that is a whole multiple of `comb_s` on the wall.
fn first_round(times: &Times, from: Elapsed, comb_s: i64) -> Option<Elapsed> {
    // To the whole second of the wall first: a record begins at any millisecond.
    let part_ms = times.at(from).map_or_else(
        || from.ms().rem_euclid(1000),
        |at| i64::from(at.timestamp_subsec_millis()),
    );
    let whole = if part_ms == 0 {
        from
    } else {
        Elapsed::from_ms(from.ms().checked_add(1000 - part_ms)?)
    };
    let over = times.of_day(whole).0 % comb_s;
    let rest = if over == 0 { 0 } else { comb_s - over };
    Some(whole.plus_secs(number::f64_from_i64(rest)))
}

fn tick(times: &Times, t: Elapsed, step: i64, is_new: bool) -> Tick {
    let Some(at) = times.at(t) else {
        return Tick {
            t,
            label: since(t.secs(), step),
            day: None,
        };
    };
    let day = at.format("%a %-d %b").to_string();
    if step >= DAY_S {
        return Tick {
            t,
            label: day,
            day: None,
        };
    }
    let form = if step < 60 { "%H:%M:%S" } else { "%H:%M" };
    Tick {
        t,
        label: at.format(form).to_string(),
        day: is_new.then_some(day),
    }
}

/// The labelled times of a comparison, in seconds from its common start.
#[must_use]
pub fn spans(from_s: f64, to_s: f64, most: f64) -> Vec<(f64, String)> {
    let step = step_s(to_s - from_s, most);
    let width_s = number::f64_from_i64(step);
    let first = (from_s / width_s).ceil() * width_s;
    std::iter::successors(Some(first), |t_s| Some(t_s + width_s))
        .take_while(|t_s| *t_s <= to_s)
        .map(|t_s| (t_s, since(t_s, step)))
        .collect()
}

fn since(t_s: f64, step: i64) -> String {
    let (t_s, sign) = (number::round_to_i64(t_s), if t_s < 0.0 { "-" } else { "" });
    let s = t_s.saturating_abs();
    let (h, m) = (s / 3600, s / 60 % 60);
    if step >= DAY_S {
        format!("{sign}{} d", s / DAY_S)
    } else if step < 60 {
        format!("{sign}{}:{m:02}:{:02}", h, s % 60)
    } else if h == 0 {
        format!("{sign}{m} min")
    } else if m == 0 {
        format!("{sign}{h} h")
    } else {
        format!("{sign}{h} h {m:02}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{DateTime, FixedOffset, Utc};

    /// Central European time around 25 October 2026 (Directive 2000/84/EC).
    fn central(at: DateTime<Utc>) -> FixedOffset {
        let ends = DateTime::parse_from_rfc3339("2026-10-25T01:00:00Z").unwrap();
        FixedOffset::east_opt(if at < ends { 7200 } else { 3600 }).unwrap()
    }

    fn labels(started: &str, from_s: f64, to_s: f64) -> Vec<String> {
        let started = DateTime::parse_from_rfc3339(started).unwrap();
        let to = Elapsed::from_secs(to_s);
        let clock = Times::new(Some(started), &[], to, central);
        let day = |day: Option<String>| day.map(|day| format!(" {day}")).unwrap_or_default();
        times(&clock, Elapsed::from_secs(from_s), to, 8.0)
            .into_iter()
            .map(|tick| tick.label + &day(tick.day))
            .collect()
    }

    #[test]
    fn labels_are_round_on_the_wall_and_name_each_day_once() {
        assert_eq!(
            labels("2026-11-25T22:07:13.250+01:00", 0.0, 14_400.0),
            [
                "22:30 Wed 25 Nov",
                "23:00",
                "23:30",
                "00:00 Thu 26 Nov",
                "00:30",
                "01:00",
                "01:30",
                "02:00"
            ]
        );
    }

    #[test]
    fn the_hour_that_comes_twice_is_labelled_twice() {
        assert_eq!(
            labels("2026-10-25T00:30:00+02:00", 0.0, 18_000.0),
            ["01:00 Sun 25 Oct", "02:00", "02:00", "03:00", "04:00"]
        );
    }

    #[test]
    fn weeks_have_days() {
        let week = labels("2026-11-23T08:00:00+01:00", 0.0, 604_800.0);
        assert_eq!(week.len(), 7);
        assert_eq!(week[0], "Tue 24 Nov");
    }

    #[test]
    fn decades_hold_everything_and_two_at_least() {
        let axis = Decades::fit(0.031, 4.2);
        let labels: Vec<String> = axis.labels().into_iter().map(|label| label.1).collect();
        assert_eq!(labels, ["10 mA", "100 mA", "1 A", "10 A"]);
        assert!((axis.height(0.01)).abs() < 1e-9 && (axis.height(10.0) - 1.0).abs() < 1e-9);
        assert!(axis.height(-1.0).abs() < 1e-9);
        assert_eq!(Decades::fit(0.05, 0.06).labels().len(), 3);
        assert_eq!(axis.fine().len(), 6);
    }

    #[test]
    fn a_comparison_counts_from_its_start() {
        let labels: Vec<String> = spans(-600.0, 14_400.0, 9.0)
            .into_iter()
            .map(|t| t.1)
            .collect();
        assert_eq!(
            labels,
            [
                "0 min", "30 min", "1 h", "1 h 30", "2 h", "2 h 30", "3 h", "3 h 30", "4 h"
            ]
        );
    }
}
