//! At which hours the car wakes, as a document.

use chrono::{SecondsFormat, TimeDelta};
use serde_json::{Value, json};

use super::figures::rounded;
use crate::judge::pattern::{Habit, Hour, Pattern, changed};
use crate::judge::{Judgement, words};
use crate::reading::Elapsed;

/// What the clock on the wall showed (RFC 3339), where anybody knows.
pub(super) fn clock(judgement: &Judgement, t: Elapsed) -> Option<String> {
    let since = TimeDelta::milliseconds(t.ms());
    let at = judgement.began?.checked_add_signed(since)?;
    Some(at.to_rfc3339_opts(SecondsFormat::Millis, false))
}

pub(super) fn pattern(judgement: &Judgement, pattern: &Pattern) -> Value {
    let (habit, hour) = match &pattern.habit {
        Habit::Beat(_) => ("beat", None),
        Habit::Hour(at) => ("hour", Some(hour(at))),
        Habit::None => ("none", None),
        Habit::TooShort => ("too short", None),
        Habit::NoClock => ("no clock", None),
    };
    json!({
        "habit": habit,
        "hour": hour,
        "out": pattern.out,
        "in_force": pattern.in_force,
        "watched_s": rounded(pattern.watched_s, 3),
        "wakes": pattern.wakes,
        "day_ah": rounded(pattern.day_ah, 6),
        "changed_by": changed(&judgement.trials).map(|trial| trial.mark.0),
        "why": words::pattern::lines(judgement),
    })
}

fn hour(hour: &Hour) -> Value {
    json!({
        "at_s": rounded(hour.at_s, 0),
        "within_s": rounded(hour.within_s, 0),
        "wakes": hour.wakes,
        "days": hour.days,
        "of_days": hour.of_days,
        "each_ah": rounded(hour.each_ah, 6),
        "day_ah": rounded(hour.day_ah, 6),
    })
}
