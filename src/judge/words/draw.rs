//! What the car draws, in words: the settled current, a day of it, how long the battery stands it,
//! and the limit and time-out that it is held against.

use super::join;
use crate::battery::implied::{Explains, Implied};
use crate::battery::standing;
use crate::judge::Judgement;
use crate::judge::finding::{Level, SettledNow};
use crate::judge::limit::{Origin, Sourced};
use crate::judge::standing::{Complaint, StandingTime};
use crate::reading::band::Band;
use crate::reading::{number, quantity};

impl SettledNow {
    /// The average with its U, or with its ends where few wakes make it lopsided.
    pub fn average_in_words(&self) -> String {
        let Level { a, u_a } = self.average;
        let band = self.average_band();
        if band.low <= a - u_a {
            return quantity::level(a, u_a);
        }
        let [a, low, high] = [band.best, band.low.max(0.0), band.high].map(quantity::current);
        format!("{a} ({low} to {high})")
    }
}

/// What the car came down to; of one that never rests, its average.
pub fn settled(judgement: &Judgement) -> String {
    match (judgement.settled, judgement.average) {
        (Some(settled), _) => format!("settled at {}", drawn(judgement, &settled)),
        (None, Some(average)) => format!(
            "not settled, {} on average over {}",
            average.level.in_words(),
            quantity::span(average.over_s)
        ),
        (None, None) => "not settled".into(),
    }
}

/// The level and, where it is another, the average.
pub fn drawn(judgement: &Judgement, settled: &SettledNow) -> String {
    let level = Some(settled.level.in_words());
    join([level, average(judgement, settled)], ", ")
}

/// The average where it is another than the level: for its wakes, or since the level moved.
pub fn average(judgement: &Judgement, settled: &SettledNow) -> Option<String> {
    let average = settled.average_in_words();
    let watched = judgement.average.filter(|watched| watched.wakes == 0);
    let over = watched.map(|watched| quantity::span(watched.over_s));
    let why = over.map_or_else(|| "with its wakes".into(), |over| format!("over {over}"));
    (average != settled.level.in_words()).then(|| format!("{average} on average {why}"))
}

/// What the car draws in a day.
pub fn day(day_ah: Band) -> String {
    format!("in a day it draws {}", day_alone(day_ah))
}

/// The same as a cell of a table.
pub fn day_alone(day_ah: Band) -> String {
    let [best, low, high] = [day_ah.best, day_ah.low, day_ah.high];
    format!("{best:.2} Ah ({low:.2} to {high:.2})")
}

/// How long the car stands with what was measured.
pub fn stands(time: &StandingTime) -> String {
    let from = if time.from_rest {
        "from the charge that its rest voltage tells"
    } else {
        "from a full charge"
    };
    let days = standing::in_words(time.average_days);
    format!("with that draw the car stands {days} {from}")
}

/// What the complaint implies and, once measured, whether it was found.
pub fn complaint(complaint: &Complaint) -> String {
    implied(&complaint.implied, complaint.measured_a)
}

/// What would explain that a battery went flat and, once measured, whether it does.
pub fn implied(implied: &Implied, measured_a: Option<f64>) -> String {
    let [best, low, high] = [implied.draw_a.best, implied.draw_a.low, implied.draw_a.high];
    let [best, low, high] = [best, low, high].map(quantity::current);
    let so = measured_a.map(|a| {
        let measured = quantity::current(a);
        match implied.explained_by(a) {
            Explains::TooLittle => format!(
                "{measured} is too little for it: look for a draw that comes and goes, test the battery and its charging"
            ),
            Explains::Yes => format!("{measured} does"),
            Explains::TooMuch => format!(
                "{measured} would have done it sooner: ask how long it stood, and whether the draw is always there"
            ),
        }
    });
    let flat = quantity::span(implied.flat_after_s);
    let means =
        format!("flat after {flat}: {best} on average would explain that ({low} to {high})");
    join([Some(means), so], "; ")
}

/// A limit or a time-out, shown as `value`, with where it came from.
pub fn sourced(value: &str, from: Origin) -> String {
    format!("{value} ({})", from.word())
}

/// A limit: a chosen one as it was chosen, a computed one to three figures.
pub fn limit_alone(limit: Sourced) -> String {
    match limit.from {
        Origin::Card | Origin::Usual => quantity::amount(limit.value),
        Origin::Reserve | Origin::Standing => quantity::amount(three_figures(limit.value)),
    }
}

fn three_figures(a: f64) -> f64 {
    let scale = 10f64.powf(2.0 - a.abs().log10().floor());
    if scale.is_finite() {
        (a * scale).round() / scale
    } else {
        a
    }
}

/// The limit with where it came from.
pub fn limit(limit: Sourced) -> String {
    sourced(&limit_alone(limit), limit.from)
}

/// The sleep time-out in force.
pub fn timeout(timeout: Sourced) -> String {
    sourced(&quantity::span(timeout.value), timeout.from)
}

/// What the limit would be by the rules that are not in force, where that is another figure.
pub fn other_limits(judgement: &Judgement) -> Option<String> {
    let in_force = limit_alone(judgement.limit);
    let others = judgement.other_limits.iter().copied();
    let others = others.filter(|other| limit_alone(*other) != in_force);
    let words: Vec<String> = others.map(limit).collect();
    (!words.is_empty()).then(|| format!("by other rules {}", words.join(", ")))
}

/// Which of limit and time-out are nobody's figure for this car.
pub fn usual(judgement: &Judgement) -> Vec<String> {
    let named = [
        ("limit", limit(judgement.limit), judgement.limit.from),
        (
            "sleep time-out",
            timeout(judgement.timeout),
            judgement.timeout.from,
        ),
    ];
    let usual = named
        .into_iter()
        .filter(|(.., from)| *from == Origin::Usual);
    usual
        .map(|(what, figure, _)| format!("{what} {figure}: the trade's, not this car's"))
        .collect()
}

/// How long this car took to sleep, and what that says of its time-out.
pub fn learned(judgement: &Judgement) -> Option<String> {
    let took_s = judgement.sleep_took_s?;
    Some(format!("{}; {}", took(took_s), own_timeout(judgement)?))
}

/// How long this car took to sleep.
pub fn took(took_s: f64) -> String {
    format!("this car took {} to sleep", quantity::span(took_s))
}

/// What its own sleep says of its time-out.
pub fn own_timeout(judgement: &Judgement) -> Option<String> {
    let learned_s = judgement.learned_timeout_s?;
    let learned = quantity::span(learned_s);
    let in_force = quantity::span(judgement.timeout.value);
    Some(if learned == in_force {
        format!("its time-out of {learned} goes by that")
    } else if learned_s < judgement.timeout.value {
        format!("{learned} would do as its time-out")
    } else {
        format!("{learned} would be safer than the time-out of {in_force}")
    })
}

/// How to set that time-out, where another is in force.
pub fn learned_flag(judgement: &Judgement) -> Option<String> {
    let learned_s = judgement.learned_timeout_s?;
    let is_other = quantity::span(learned_s) != quantity::span(judgement.timeout.value);
    let minutes = number::round_to_i64(learned_s / 60.0);
    is_other.then(|| format!("--sleep-timeout {minutes}m"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::Session;
    use crate::session::card::Card;
    use crate::session::entry::{Header, MeterCard};

    fn implied_by(battery: &str, flat_after_h: f64) -> Implied {
        Implied::new(&battery.parse().unwrap(), flat_after_h * 3600.0).unwrap()
    }

    #[test]
    fn the_complaint_says_whether_the_measured_current_explains_it() {
        let of = implied_by("agm,70Ah", 14.0);
        let words = implied(&of, None);
        assert!(
            words.starts_with("flat after 14 h: 2.00 A on average"),
            "{words}"
        );
        for (measured_a, word) in [(0.18, "too little"), (1.8, "1.80 A does"), (8.0, "sooner")] {
            let words = implied(&of, Some(measured_a));
            assert!(words.contains(word), "{words}");
        }
    }

    #[test]
    fn every_rule_of_the_limit_is_named_with_its_figure() {
        let card = Card {
            limit_a: Some(0.08),
            battery: "agm,60Ah,rc:120".parse().ok(),
            required_standing_s: Some(21.0 * 86_400.0),
            ..Card::default()
        };
        let session = |card| {
            let started = chrono::DateTime::UNIX_EPOCH.fixed_offset();
            let meter = MeterCard::default();
            Judgement::nothing_yet(&Session::new(Header {
                started,
                card,
                meter,
            }))
        };
        let by_reserve = Card {
            limit_a: None,
            ..card.clone()
        };
        assert_eq!(
            other_limits(&session(card)).unwrap(),
            "by other rules 30 mA (reserve capacity), 46 mA (standing time), 50 mA (usual figure)"
        );
        let reserve = session(by_reserve);
        assert_eq!(limit(reserve.limit), "30 mA (reserve capacity)");
        let usual = Card {
            limit_a: Some(0.05),
            ..Card::default()
        };
        for said in [session(usual), session(Card::default())] {
            assert_eq!(other_limits(&said), None);
        }
    }

    #[test]
    fn a_standing_time_says_what_it_counts_from() {
        let time = StandingTime {
            average_days: Band::new(22.0, 30.0, 44.0),
            level_days: Band::exact(30.0),
            from_rest: false,
        };
        assert_eq!(
            stands(&time),
            "with that draw the car stands 30 days (22 to 44) from a full charge"
        );
        let told = StandingTime {
            from_rest: true,
            ..time
        };
        assert!(stands(&told).ends_with("its rest voltage tells"));
    }
}
