//! The labelled times of an axis: how far apart, which are round, how they are written.

use crate::reading::number;

/// A day, in seconds.
pub const DAY_S: i64 = 86_400;

/// Distances between labelled times, in seconds.
const STEPS_S: [i64; 21] = [
    1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10_800, 14_400, 21_600, 43_200,
    DAY_S, 172_800, 604_800,
];

/// The smallest distance that leaves `most` labels on `span_s` seconds; whole days beyond a week.
pub fn step_s(span_s: f64, most: f64) -> i64 {
    let fits = |step: &i64| span_s / number::f64_from_i64(*step) <= most;
    STEPS_S.into_iter().find(fits).unwrap_or_else(|| {
        let days = number::round_to_i64((span_s / most / number::f64_from_i64(DAY_S)).ceil());
        days.saturating_mul(DAY_S)
    })
}

/// The whole multiples of `step` seconds in `from_s..=to_s`.
pub fn round(from_s: f64, to_s: f64, step: i64) -> impl Iterator<Item = i64> {
    let steps = |s: f64| s / number::f64_from_i64(step);
    let first = number::round_to_i64(steps(from_s).ceil());
    let last = number::round_to_i64(steps(to_s).floor());
    (first..=last).map(move |n| n.saturating_mul(step))
}

/// A span: minutes while that is plain, hours and whole days above, seconds only where they differ.
pub fn span_label(t_s: i64, step: i64) -> String {
    let sign = if t_s < 0 { "-" } else { "" };
    let (hours, minutes, seconds) = parts(t_s.saturating_abs());
    match (hours, minutes) {
        (_, _) if step >= DAY_S => format!("{sign}{} d", hours / 24),
        (0, _) if step < 60 => format!("{sign}{minutes}:{seconds:02}"),
        (_, _) if step < 60 => format!("{sign}{hours}:{minutes:02}:{seconds:02}"),
        (0, _) => format!("{sign}{minutes} min"),
        (_, 0) => format!("{sign}{hours} h"),
        (_, _) => format!("{sign}{hours} h {minutes:02}"),
    }
}

/// The time of day, `t_s` seconds after some midnight.
pub fn clock_label(t_s: i64, step: i64) -> String {
    let (hours, minutes, seconds) = parts(t_s.rem_euclid(DAY_S));
    if step < 60 {
        format!("{hours:02}:{minutes:02}:{seconds:02}")
    } else {
        format!("{hours:02}:{minutes:02}")
    }
}

const fn parts(t_s: i64) -> (i64, i64, i64) {
    (t_s / 3600, t_s / 60 % 60, t_s % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round_and_leave_room() {
        assert_eq!(step_s(1800.0, 5.0), 600);
        assert_eq!(step_s(604_800.0, 8.0), DAY_S);
        assert_eq!(step_s(100.0 * 86_400.0, 8.0), 13 * DAY_S);
        assert_eq!(round(-7.0, 12.0, 5).collect::<Vec<_>>(), [-5, 0, 5, 10]);
        assert_eq!(round(0.0, 10.0, 10).collect::<Vec<_>>(), [0, 10]);
    }

    #[test]
    fn labels_say_no_more_than_differs() {
        assert_eq!(span_label(750, 30), "12:30");
        assert_eq!(span_label(3725, 5), "1:02:05");
        assert_eq!(span_label(4320, 120), "1 h 12");
        assert_eq!(span_label(-600, 600), "-10 min");
        assert_eq!(span_label(172_800, DAY_S), "2 d");
        assert_eq!(span_label(172_800, 43_200), "48 h");
        assert_eq!(clock_label(-3600, 3600), "23:00");
        assert_eq!(clock_label(8 * 3600 + 7, 5), "08:00:07");
    }
}
