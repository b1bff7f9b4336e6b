//! Whether the regular wakes of a car stopped when something was taken out: the answer to "what
//! wakes it", which no settled level gives.

use crate::judge::Judgement;
use crate::judge::finding::{Phase, Trial};
use crate::reading::Elapsed;

/// This many periods without a wake, watched while settled, say that they stopped: wakes that keep
/// a beat would have come twice. Common practice, no source.
const PERIODS: f64 = 2.0;

/// The last wake before the deed may lie this many periods back; else they had stopped before it.
const STALE: f64 = 1.5;

/// What the wakes did after something was taken out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Waking {
    /// None came any more.
    Stopped {
        /// How long it was watched for them, in seconds.
        watched_s: f64,
        /// How often they had come before, in seconds.
        every_s: f64,
    },
    /// They went on.
    WentOn,
}

/// What the regular wakes did between this trial and the next; `None` when there were none before
/// it, or it was not watched for long enough.
#[must_use]
pub fn after(judgement: &Judgement, trial: &Trial) -> Option<Waking> {
    let every_s = judgement.cycles.first()?.period_s;
    let last = judgement.wakes.iter().rfind(|wake| wake.to <= trial.t)?;
    let end = judgement.phases.last()?.to;
    let nexts = judgement.trials.iter().map(|next| next.t);
    let until = nexts.filter(|t| *t > trial.t).min().unwrap_or(end);
    let mut wakes = judgement.wakes.iter();
    if wakes.any(|wake| wake.from > trial.t && wake.from < until) {
        return Some(Waking::WentOn);
    }
    if watched_s(judgement, last.to, trial.t) > STALE * every_s {
        return None;
    }
    let watched_s = watched_s(judgement, trial.t, until);
    (watched_s >= PERIODS * every_s).then_some(Waking::Stopped { watched_s, every_s })
}

/// How long the car was seen settled in a stretch, in seconds: only there a wake shows.
fn watched_s(judgement: &Judgement, from: Elapsed, to: Elapsed) -> f64 {
    let watched = judgement
        .phases
        .iter()
        .filter(|span| matches!(span.phase, Phase::Settled | Phase::Stirring));
    watched
        .map(|span| span.to.min(to).secs_since(span.from.max(from)).max(0.0))
        .sum()
}
