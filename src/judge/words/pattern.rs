//! At which hours a car wakes, in words; and the rows of its wakes.

use chrono::TimeDelta;

use super::counted;
use crate::judge::finding::{Cycle, Wake};
use crate::judge::pattern::{DAY_S, Habit, Hour, Pattern, changed};
use crate::judge::{Judgement, rules};
use crate::reading::number::{f64_from_usize, round_to_i64};
use crate::reading::{Elapsed, quantity};

/// What a table of wakes has beside the time of each.
pub const HEADINGS: [&str; 4] = [
    "for",
    "up to",
    "charge above the settled level",
    "of a day's draw",
];

/// One row of it.
pub fn row(judgement: &Judgement, wake: &Wake) -> [String; 4] {
    [
        quantity::span(wake.lasts_s()),
        wake.peak_in_words(),
        wake.charge_in_words(),
        share(judgement, wake).unwrap_or_else(|| "-".into()),
    ]
}

/// A wake's share of a day's draw: `33 %`.
fn share(judgement: &Judgement, wake: &Wake) -> Option<String> {
    judgement.day_share(wake).map(percent)
}

/// The same wake in one line.
pub fn line(judgement: &Judgement, wake: &Wake, when: &str) -> String {
    let share = share(judgement, wake);
    let share = match share {
        Some(share) => format!(", {share} of a day's draw"),
        None if judgement.is_asked_about(wake) => ", left out: was that a hand?".into(),
        None => String::new(),
    };
    let clock = clock(judgement, wake.from).map_or_else(String::new, |at| format!(" ({at})"));
    format!("{}{clock}{share}", wake.in_words(when))
}

/// What the clock on the wall showed: `26 Nov 03:10:07`.
pub fn clock(judgement: &Judgement, t: Elapsed) -> Option<String> {
    let at = judgement
        .began?
        .checked_add_signed(TimeDelta::milliseconds(t.ms()))?;
    Some(at.format("%-d %b %H:%M:%S").to_string())
}

/// The pattern of the wakes, and what the last trial changed in them: a sentence each.
pub fn lines(judgement: &Judgement) -> Vec<String> {
    let pattern = judgement.pattern.as_ref();
    let pattern = pattern.map(|pattern| in_words(judgement, pattern));
    let changed = changed(&judgement.trials);
    let changed = changed.map(|trial| format!("what {} changed: {}", trial.deed(), trial.why()));
    pattern.into_iter().chain(changed).collect()
}

fn in_words(judgement: &Judgement, pattern: &Pattern) -> String {
    let of = |day_ah: f64| {
        let day = judgement
            .day_ah
            .filter(|day| pattern.in_force && day.best > 0.0);
        day.map_or_else(String::new, |day| {
            format!(", {} of all", fraction(day_ah / day.best))
        })
    };
    let all = |day_ah| format!("{} a day{}", ah(day_ah), of(day_ah));
    let count = counted(pattern.wakes);
    let watched = quantity::span(pattern.watched_s);
    let said = match &pattern.habit {
        Habit::Beat(cycle) => beat(cycle, &all(pattern.day_ah)),
        Habit::Hour(hour) => {
            let others = match pattern.wakes.saturating_sub(hour.wakes) {
                0 => String::new(),
                1 => "; one more at another hour".into(),
                more => format!("; {more} more at no certain hour"),
            };
            let near = near(hour);
            format!("{near}{}{others}", of(hour.day_ah))
        }
        Habit::None => match pattern.wakes {
            1 | 2 => format!(
                "{count} in {watched}: too few to tell whether they keep an hour; {}",
                all(pattern.day_ah)
            ),
            _ => format!(
                "{count} in {watched} at no certain hour: {}",
                all(pattern.day_ah)
            ),
        },
        Habit::TooShort => format!(
            "{count} in {watched} at rest: at which hour it wakes shows after {} or more",
            quantity::span(rules::PATTERN_WATCH_S)
        ),
        Habit::NoClock => format!(
            "{count} in {watched}: the record tells no date, so no hour of the day; {}",
            all(pattern.day_ah)
        ),
    };
    format!("{}{said}", of_state(pattern))
}

/// Which state it was, where that is not the present one.
fn of_state(pattern: &Pattern) -> String {
    match pattern.out.as_slice() {
        _ if pattern.in_force => String::new(),
        [] => "with nothing out: ".into(),
        out => format!("with {} out: ", out.join("+")),
    }
}

fn beat(cycle: &Cycle, day: &str) -> String {
    let every = quantity::span(cycle.period_s);
    format!("a wake every {every}, at any hour: {day}")
}

fn near(hour: &Hour) -> String {
    let at_min = round_to_i64(hour.at_s.rem_euclid(DAY_S) / 60.0) % 1440;
    let at = format!("{:02}:{:02}", at_min / 60, at_min % 60);
    let each = ah(hour.each_ah);
    if hour.days < hour.of_days {
        let (days, of) = (hour.days, hour.of_days);
        return format!("on {days} of {of} days a wake near {at}, {each} each");
    }
    match hour.wakes / hour.days.max(1) {
        0 | 1 => format!("one wake a day near {at} takes {each}"),
        more => {
            let taken = ah(hour.each_ah * f64_from_usize(more));
            format!("about {more} wakes a day near {at} take {taken}")
        }
    }
}

/// A charge, in the unit that suits it.
fn ah(ah: f64) -> String {
    if ah < 0.0995 {
        super::charge(ah * 3600.0)
    } else {
        format!("{ah:.2} Ah")
    }
}

fn percent(share: f64) -> String {
    let percent = share * 100.0;
    if percent < 0.95 {
        format!("{percent:.1} %")
    } else {
        format!("{percent:.0} %")
    }
}

/// A share as people say it, where one of their words is near enough.
fn fraction(share: f64) -> String {
    const NEAR: f64 = 0.015;
    let words = [
        (1.0 / 4.0, "a quarter"),
        (1.0 / 3.0, "a third"),
        (1.0 / 2.0, "half"),
        (2.0 / 3.0, "two thirds"),
    ];
    let near = words
        .iter()
        .find(|(value, _)| (share - value).abs() <= NEAR);
    near.map_or_else(|| percent(share), |(_, word)| (*word).to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hour(days: usize, of_days: usize, wakes: usize) -> Hour {
        Hour {
            at_s: 3.0 * 3600.0 + 601.0,
            within_s: 60.0,
            wakes,
            days,
            of_days,
            each_ah: 0.66,
            day_ah: 0.66,
        }
    }

    #[test]
    fn an_hour_is_said_as_people_say_it() {
        for (days, of_days, wakes, said) in [
            (3, 3, 3, "one wake a day near 03:10 takes 0.66 Ah"),
            (4, 5, 4, "on 4 of 5 days a wake near 03:10, 0.66 Ah each"),
            (3, 3, 6, "about 2 wakes a day near 03:10 take 1.32 Ah"),
        ] {
            assert_eq!(near(&hour(days, of_days, wakes)), said);
        }
        let midnight = Hour {
            at_s: DAY_S - 10.0,
            ..hour(3, 3, 3)
        };
        assert!(near(&midnight).contains("near 00:00"), "{midnight:?}");
    }

    #[test]
    fn a_share_is_a_word_only_where_the_word_is_near() {
        for (share, said) in [
            (0.332, "a third"),
            (0.36, "36 %"),
            (0.5, "half"),
            (0.004, "0.4 %"),
            (0.262, "a quarter"),
            (0.66, "two thirds"),
        ] {
            assert_eq!(fraction(share), said);
        }
    }

    #[test]
    fn a_state_that_is_past_is_named() {
        let mut pattern = Pattern {
            out: vec!["E19".into()],
            in_force: true,
            watched_s: 1.0,
            wakes: 1,
            day_ah: 0.1,
            habit: Habit::TooShort,
        };
        assert_eq!(of_state(&pattern), "");
        pattern.in_force = false;
        assert_eq!(of_state(&pattern), "with E19 out: ");
        pattern.out.clear();
        assert_eq!(of_state(&pattern), "with nothing out: ");
    }
}
