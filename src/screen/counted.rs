//! What the labels of the time axis count from, and how they are written.

use chrono::{NaiveDate, TimeDelta};

use crate::chart::Window;
use crate::chart::ticks::{DAY_S, clock_label, round, span_label, step_s};
use crate::reading::{Elapsed, number};

/// Cells that a label takes with the room around it.
const LABEL: u16 = 14;

/// What the time axis counts from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Counted {
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

impl Counted {
    /// The labelled times of a stretch: the cell, of `cells` cells, and the label.
    pub fn ticks(self, window: Window, cells: u16) -> Vec<(u16, String)> {
        let zero_s = match self {
            Self::Elapsed => 0.0,
            Self::Clock { midnight_s, .. } => midnight_s,
            Self::Since { zero_s } => zero_s,
        };
        let step = step_s(window.span_s(), f64::from(cells / LABEL).max(1.0));
        let (from_s, to_s) = (window.from.secs() - zero_s, window.to.secs() - zero_s);
        round(from_s, to_s, step)
            .filter_map(|t_s| {
                let t = Elapsed::from_secs(zero_s + number::f64_from_i64(t_s));
                Some((window.cell(t, cells)?, self.label(t_s, step)))
            })
            .collect()
    }

    fn label(self, t_s: i64, step: i64) -> String {
        // A session's clock counts hours without end.
        let span = || span_label(t_s, step.min(DAY_S / 2));
        match self {
            Self::Elapsed => span(),
            // At midnight the day instead, where hours or days are labelled.
            Self::Clock { day, .. } if step >= 3600 && t_s.rem_euclid(DAY_S) == 0 => {
                let days = TimeDelta::try_days(t_s.div_euclid(DAY_S)).unwrap_or_default();
                let that = day.checked_add_signed(days).unwrap_or(day);
                that.format("%a %-d").to_string()
            }
            Self::Clock { .. } => clock_label(t_s, step),
            Self::Since { .. } => {
                let sign = if t_s < 0 { "" } else { "+" };
                format!("{sign}{}", span())
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ticks(counted: Counted, from_s: f64, to_s: f64, cells: u16) -> Vec<(u16, String)> {
        let (from, to) = (Elapsed::from_secs(from_s), Elapsed::from_secs(to_s));
        counted.ticks(Window { from, to }, cells)
    }

    fn words(counted: Counted, from_s: f64, to_s: f64, cells: u16) -> Vec<String> {
        let ticks = ticks(counted, from_s, to_s, cells).into_iter();
        ticks.map(|tick| tick.1).collect()
    }

    #[test]
    fn times_are_round_and_their_labels_have_room() {
        assert_eq!(
            words(Counted::Elapsed, 0.0, 1800.0, 70),
            ["0 min", "10 min", "20 min", "30 min"]
        );
        assert_eq!(words(Counted::Elapsed, 3600.0, 9000.0, 40)[1], "2 h");
    }

    #[test]
    fn the_time_of_day_has_round_labels_and_names_the_day_at_midnight() {
        // The session began at 08:10:07.
        let counted = Counted::Clock {
            midnight_s: -(8.0 * 3600.0 + 10.0 * 60.0 + 7.0),
            day: NaiveDate::from_ymd_opt(2026, 11, 25).unwrap(),
        };
        let words = |from_s, to_s| words(counted, from_s, to_s, 72);
        assert_eq!(words(0.0, 1800.0), ["08:20", "08:30", "08:40"]);
        assert_eq!(
            words(0.0, 10.0),
            ["08:10:08", "08:10:10", "08:10:12", "08:10:14", "08:10:16"]
        );
        assert_eq!(words(0.0, 86_400.0), ["12:00", "18:00", "Thu 26", "06:00"]);
        // 08:20 is 593 s after the beginning, of 1800 s in 72 cells.
        assert_eq!(ticks(counted, 0.0, 1800.0, 72)[0].0, 593 * 72 / 1800);
    }

    #[test]
    fn time_since_a_moment_has_a_sign() {
        let counted = Counted::Since { zero_s: 700.0 };
        assert_eq!(
            words(counted, 0.0, 1800.0, 72),
            ["-10 min", "+0 min", "+10 min"]
        );
    }
}
