//! A hunt told by hand: a session with its marks, and the judgement a test wants of it.

use crate::judge::Judgement;
use crate::judge::finding::{Finding, Manner, Phase, Trial};
use crate::judge::plan::Plan;
use crate::judge::reason::TrialReason;
use crate::reading::{Amps, Elapsed, Measured, Reading};
use crate::rehearsal::Story;
use crate::rehearsal::hints::{Hint, Step, hint};
use crate::rehearsal::play::header;
use crate::session::mark::{Did, parse_mark};
use crate::session::{Entry, Fact, Session};

/// The hunt so far.
pub(super) struct Told {
    pub(super) story: &'static Story,
    pub(super) session: Session,
    pub(super) judgement: Judgement,
}

impl Told {
    pub(super) fn new(story: &'static Story) -> Self {
        let session = Session::new(header(story, 1));
        let judgement = Judgement::nothing_yet(&session);
        let mut told = Self {
            story,
            session,
            judgement,
        };
        told.at(0.5, Phase::Awake);
        told
    }

    /// A reading at `t_s`, and the phase it is in.
    pub(super) fn at(&mut self, t_s: f64, phase: Phase) -> &mut Self {
        self.session.apply(&Entry::reading(Reading {
            t: Elapsed::from_secs(t_s),
            value: Measured::Amps(Amps::rounded(0.3, 3)),
        }));
        self.judgement.now.phase = phase;
        self.judgement.now.since = Elapsed::from_secs(t_s);
        self
    }

    pub(super) fn mark(&mut self, t_s: f64, text: &str) -> &mut Self {
        let mark = parse_mark(self.session.next_id(), text).unwrap();
        self.session.apply(&Entry {
            t: Elapsed::from_secs(t_s),
            fact: Fact::Mark(Box::new(mark)),
        });
        self
    }

    /// The finding of the last removal or refit, if there was one.
    pub(super) fn found(&mut self, finding: Finding, manner: Option<Manner>) -> &mut Self {
        let marks = self.session.all_marks().iter().rev();
        let mut tried = marks.filter(|placed| placed.mark.did.is_tried());
        let Some(placed) = tried.next() else {
            return self;
        };
        let mark = placed.mark.id;
        self.judgement.trials.retain(|trial| trial.mark != mark);
        self.judgement.trials.push(Trial {
            mark,
            t: placed.at(),
            did: placed.mark.did,
            what: placed.mark.what.clone(),
            before: None,
            after: None,
            change: None,
            first_look: None,
            finding,
            manner,
            with: Vec::new(),
            stands_at: None,
            reason: TrialReason::Same {
                for_s: 0.0,
                differs_a: None,
            },
        });
        self
    }

    /// The reason of the last finding.
    pub(super) fn because(&mut self, reason: TrialReason) -> &mut Self {
        self.judgement.trials.last_mut().unwrap().reason = reason;
        self
    }

    /// What the plan says from now on; nothing at all for no label.
    pub(super) fn planned(&mut self, did: Did, next: &[&str]) -> &mut Self {
        self.judgement.plan = Some(Plan {
            did: (!next.is_empty()).then_some(did),
            next: next.iter().map(|label| (*label).to_owned()).collect(),
            ..Plan::default()
        });
        self
    }

    pub(super) fn hint(&self) -> Hint {
        hint(self.story, &self.session, &self.judgement).unwrap()
    }

    pub(super) fn says(&self, step: Step, part: &str) {
        let hint = self.hint();
        assert!(
            hint.step == step && hint.text.contains(part),
            "{hint:?}, expected {step:?} with '{part}'"
        );
    }
}
