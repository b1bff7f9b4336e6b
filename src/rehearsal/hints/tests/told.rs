//! A hunt told by hand: a session with its marks, and the judgement a test wants of it.

use crate::judge::Judgement;
use crate::judge::finding::{Finding, Manner, Phase, Trial, Wake};
use crate::reading::{Amps, Elapsed, Measured, Reading};
use crate::rehearsal::hints::{Hint, Step, hint};
use crate::rehearsal::{Story, play};
use crate::session::Session;
use crate::session::entry::{Entry, Fact};
use crate::session::mark::parse_mark;

/// The hunt so far.
pub(super) struct Told {
    pub(super) story: &'static Story,
    pub(super) session: Session,
    pub(super) judgement: Judgement,
}

impl Told {
    pub(super) fn new(story: &'static Story) -> Self {
        let session = Session::new(play(story, 1).0);
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
            fact: Fact::Mark(mark),
        });
        self
    }

    /// The finding of the last mark.
    pub(super) fn found(&mut self, finding: Finding, manner: Option<Manner>) -> &mut Self {
        let placed = self.session.last_noted().unwrap();
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
            reason: crate::judge::reason::TrialReason::Same {
                for_s: 0.0,
                differs_a: None,
            },
            why: String::new(),
        });
        self
    }

    pub(super) fn woke(&mut self, from_s: f64) -> &mut Self {
        self.judgement.wakes.push(Wake {
            from: Elapsed::from_secs(from_s),
            to: Elapsed::from_secs(from_s + 15.0),
            peak_a: 0.9,
            charge_as: 13.0,
            over: false,
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
