//! What happens at the car that somebody away from the bench wants to hear of.

use std::collections::HashSet;

use super::LinkState;
use crate::judge::Judgement;
use crate::judge::finding::{Finding, Phase, Verdict};
use crate::reading::Elapsed;
use crate::session::MarkId;

/// One of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Occasion {
    /// The current has settled.
    Settled,
    /// Something woke the car.
    Woke,
    /// The trial of this mark has its finding.
    Finding(MarkId),
    /// The meter is lost.
    MeterLost,
    /// The sleep time-out has run.
    TimeOut,
    /// The verdict is above the limit.
    Above,
}

impl Occasion {
    /// Their names, in the order of a hunt.
    pub const NAMES: [&'static str; 6] = [
        "settled",
        "woke",
        "finding",
        "meter-lost",
        "time-out",
        "above",
    ];

    /// The mark of the trial that it is about.
    pub const fn mark(self) -> Option<MarkId> {
        match self {
            Self::Finding(mark) => Some(mark),
            Self::Settled | Self::Woke | Self::MeterLost | Self::TimeOut | Self::Above => None,
        }
    }

    /// How flags, settings and files name it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Settled => "settled",
            Self::Woke => "woke",
            Self::Finding(_) => "finding",
            Self::MeterLost => "meter-lost",
            Self::TimeOut => "time-out",
            Self::Above => "above",
        }
    }
}

/// What became true between two judgements, made at `from` and `to`.
pub(super) fn between(
    (before, from): (&Judgement, Elapsed),
    (after, to): (&Judgement, Elapsed),
) -> Vec<Occasion> {
    let entered = |phase: Phase| after.now.phase == phase && before.now.phase != phase;
    // A wake too short to show as a phase is heard of only once it is over.
    let missed = before.now.phase != Phase::Stirring && after.wakes.len() > before.wakes.len();
    let timeouts = [before.now.timeout_at, after.now.timeout_at];
    let is_past = |at: Elapsed| from < at && at <= to;
    let is_above = |judgement: &Judgement| judgement.verdict == Verdict::Above;
    let mut became = Vec::new();
    if entered(Phase::Settled) {
        became.push(Occasion::Settled);
    }
    if entered(Phase::Stirring) || missed {
        became.push(Occasion::Woke);
    }
    let said_before: HashSet<MarkId> = said(before).collect();
    let new = said(after).filter(|mark| !said_before.contains(mark));
    became.extend(new.map(Occasion::Finding));
    if timeouts.into_iter().flatten().any(is_past) {
        became.push(Occasion::TimeOut);
    }
    if is_above(after) && !is_above(before) {
        became.push(Occasion::Above);
    }
    became
}

fn said(judgement: &Judgement) -> impl Iterator<Item = MarkId> {
    let said = judgement.trials.iter();
    let said = said.filter(|trial| trial.finding != Finding::NotYet);
    said.map(|trial| trial.mark)
}

/// Whether this state of the link is one without readings that was none before.
pub(super) const fn is_loss(before: &LinkState, after: &LinkState) -> bool {
    is_lost(after) && !is_lost(before)
}

const fn is_lost(state: &LinkState) -> bool {
    match state {
        LinkState::Lost(_)
        | LinkState::Silent
        | LinkState::Unreadable(_)
        | LinkState::Waiting(_) => true,
        LinkState::Opening(_) | LinkState::Receiving(_) | LinkState::Ended => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge;
    use crate::session::{Header, Session};

    fn judged() -> Judgement {
        judge::live(&Session::new(Header::default()))
    }

    #[test]
    fn the_time_out_is_told_once_when_it_has_run() {
        let at = Elapsed::from_secs;
        let mut waiting = judged();
        waiting.now.timeout_at = Some(at(100.0));
        let told = |before: &Judgement, from, after: &Judgement, to| {
            between((before, at(from)), (after, at(to)))
        };
        assert_eq!(told(&waiting, 98.0, &waiting, 99.0), []);
        assert_eq!(told(&waiting, 99.0, &waiting, 100.0), [Occasion::TimeOut]);
        assert_eq!(told(&waiting, 100.0, &waiting, 101.0), []);
        // Asleep by then: nothing is waited for any more.
        let over = judged();
        assert_eq!(told(&waiting, 99.0, &over, 101.0), [Occasion::TimeOut]);
    }

    #[test]
    fn a_verdict_and_a_phase_are_told_when_they_become_true() {
        let at = |judgement, t| (judgement, Elapsed::from_secs(t));
        let before = judged();
        let mut after = judged();
        after.verdict = Verdict::Above;
        after.now.phase = Phase::Settled;
        let became = between(at(&before, 1.0), at(&after, 2.0));
        assert_eq!(became, [Occasion::Settled, Occasion::Above]);
        assert_eq!(between(at(&after, 2.0), at(&after, 3.0)), []);
    }

    #[test]
    fn every_name_is_that_of_one() {
        let all = [
            Occasion::Settled,
            Occasion::Woke,
            Occasion::Finding(MarkId(1)),
            Occasion::MeterLost,
            Occasion::TimeOut,
            Occasion::Above,
        ];
        assert_eq!(all.map(Occasion::name), Occasion::NAMES);
    }
}
