//! What a command is told on its standard input when something happens (`assets/event.schema.json`).

use std::path::Path;

use chrono::{DateTime, FixedOffset};
use serde_json::{Value, json};

use super::{amps, level_a, level_u_a, moment, trial};
use crate::judge::{Judgement, words};
use crate::reading::Elapsed;
use crate::session::{MarkId, Session};

/// What happened, and when.
#[derive(Clone, Debug)]
pub struct Happening<'a> {
    /// Its name.
    pub name: &'static str,
    /// When, in the session's time.
    pub t: Elapsed,
    /// When, by the wall clock.
    pub at: DateTime<FixedOffset>,
    /// The trial that it is about.
    pub mark: Option<MarkId>,
    /// Where the session is recorded.
    pub session: &'a Path,
}

/// The event as one JSON value, with how the car stands then.
pub fn event(happening: &Happening<'_>, session: &Session, judgement: &Judgement) -> Value {
    let about = happening.mark;
    let about = about.and_then(|mark| judgement.trials.iter().find(|trial| trial.mark == mark));
    json!({
        "event": happening.name,
        "t_s": moment(happening.t),
        "at": happening.at.to_rfc3339(),
        "car": session.card().car,
        "session": happening.session.display().to_string(),
        "phase": judgement.now.phase.word(),
        "level_a": judgement.now.level.map(level_a),
        "u_a": judgement.now.level.map(level_u_a),
        "limit_a": amps(judgement.limit.value),
        "verdict": judgement.verdict.word(),
        "says": words::headline::headline(judgement, &session.out_now()),
        "trial": about.map(trial),
    })
}
