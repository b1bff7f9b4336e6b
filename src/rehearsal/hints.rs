//! Short hints that lead a first-time user through one whole hunt, of a rehearsal or on a real car.
//!
//! Pure, and no judge of its own: what to do is what the plan and the phase say already, why is
//! what the trials say. Only where the plan is silent (a car that is low at rest) does the story's
//! own lesson name the next fuse or part. What the lines say stands in `lines`, what is said of a real car
//! in `real`.

mod lines;
mod real;

pub use real::lead;

use super::story::Story;
use crate::judge::Judgement;
use crate::judge::finding::{Finding, Phase, Trial, Verdict};
use crate::judge::reason::TrialReason;
use crate::session::{Did, DoneTo, Placed, Session};

/// Where in the hunt a hint stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Step {
    /// This is to be done, and marked.
    Do(Did),
    /// Hands off: something has to settle or to be watched.
    Wait,
    /// Finished: export and quit.
    Done,
}

/// One hint.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hint {
    /// Where in the hunt it stands.
    pub step: Step,
    /// One or two short sentences.
    pub text: String,
}

fn say(step: Step, text: impl Into<String>) -> Hint {
    let text = text.into();
    Hint { step, text }
}

fn wait(text: impl Into<String>) -> Hint {
    say(Step::Wait, text)
}

/// The hint for this moment; `None` until the meter has spoken.
pub fn hint(story: &Story, session: &Session, judgement: &Judgement) -> Option<Hint> {
    let hunt = HuntSoFar {
        story: Some(story),
        session,
        judgement,
    };
    (session.readings() > 0).then(|| hunt.hint())
}

/// The hunt so far.
#[derive(Clone, Copy, Debug)]
struct HuntSoFar<'a> {
    /// `None` of a real car.
    story: Option<&'a Story>,
    session: &'a Session,
    judgement: &'a Judgement,
}

impl<'a> HuntSoFar<'a> {
    fn hint(&self) -> Hint {
        let tried = self.last(Did::is_tried);
        if let Some(label) = tried.and_then(|placed| self.stranger(placed)) {
            return wait(lines::no_such_label(label));
        }
        let trial = tried.and_then(|placed| self.trial(placed));
        let judged = trial.filter(|trial| trial.finding != Finding::NotYet);
        let touched = self.last(|did| did.done_to() == DoneTo::Car);
        if touched.is_none_or(|placed| placed.mark.did == Did::Unlock) {
            return self.while_open(touched, tried, judged);
        }
        let is_closed_since = touched.map(Placed::at) > tried.map(Placed::at);
        match (tried, judged) {
            (Some(placed), None) => wait(self.pending(placed, trial, is_closed_since)),
            // What a trial was judged by may be left for the next one, but nothing is bought on it.
            (_, Some(_))
                if self.judgement.now.phase == Phase::Plateau
                    && !is_closed_since
                    && self.planned().is_some_and(|(did, _)| did != Did::Swap) =>
            {
                self.go_on(judged)
            }
            _ => match lines::waiting(&self.judgement.now, self.session.last_t()) {
                Some(text) => wait(text),
                None => self.go_on(judged),
            },
        }
    }

    fn last(&self, wanted: impl Fn(Did) -> bool) -> Option<&'a Placed> {
        self.session
            .marks()
            .rev()
            .find(|placed| wanted(placed.mark.did))
    }

    /// The first label of a mark that this car does not have.
    fn stranger(&self, placed: &'a Placed) -> Option<&'a str> {
        let story = self.story?;
        let mut labels = placed.mark.what.iter().map(String::as_str);
        labels.find(|label| story.known(label).is_none())
    }

    fn trial(&self, placed: &Placed) -> Option<&'a Trial> {
        let mut trials = self.judgement.trials.iter();
        trials.find(|trial| trial.mark == placed.mark.id)
    }

    /// What the plan says next.
    fn planned(&self) -> Option<(Did, String)> {
        let plan = self.judgement.plan.as_ref()?;
        let did = plan.did.filter(|_| !plan.next.is_empty())?;
        Some((did, plan.next.join("+")))
    }

    /// The car is open: before the first lock, or for the part.
    fn while_open(
        &self,
        opened: Option<&Placed>,
        tried: Option<&Placed>,
        judged: Option<&Trial>,
    ) -> Hint {
        let since = |opened: &Placed| tried.is_some_and(|tried| tried.at() > opened.at());
        if opened.is_some_and(since) {
            return say(Step::Do(Did::Lock), lines::CLOSE_AGAIN);
        }
        match self.planned() {
            Some((did @ (Did::Unplug | Did::Swap), what)) => say(
                Step::Do(did),
                lines::order(did, &what, judged, self.judgement),
            ),
            Some(_) | None => say(Step::Do(Did::Lock), lines::LOCK),
        }
    }

    /// What was done last is not judged yet.
    fn pending(&self, placed: &Placed, trial: Option<&Trial>, is_closed_since: bool) -> String {
        let reason = trial.map(|trial| &trial.reason);
        if let Some(TrialReason::WakesOpen {
            watched_s,
            needed_s,
            ..
        }) = reason
        {
            return lines::watch_on(needed_s - watched_s);
        }
        let did = placed.mark.did;
        let asleep = lines::waiting(&self.judgement.now, self.session.last_t());
        asleep
            .filter(|_| is_closed_since && did != Did::Swap)
            .unwrap_or_else(|| lines::pending(did, trial.and_then(|trial| trial.first_look)))
    }

    fn go_on(&self, judged: Option<&Trial>) -> Hint {
        match (self.planned(), &self.judgement.plan) {
            (Some((did, what)), _) => self.order(did, &what, judged),
            (None, Some(_)) => wait(lines::READ_THE_PLAN),
            (None, None) => match self.story {
                Some(story) => self.by_lesson(story, judged),
                None => self.by_verdict(judged),
            },
        }
    }

    fn order(&self, did: Did, what: &str, judged: Option<&Trial>) -> Hint {
        let is_opened = self.story.is_some_and(|story| story.lesson.opened);
        if is_opened && matches!(did, Did::Unplug | Did::Swap) {
            return say(Step::Do(Did::Unlock), lines::open_for(did, what));
        }
        say(
            Step::Do(did),
            lines::order(did, what, judged, self.judgement),
        )
    }

    /// The plan has nothing to say of a car that rests low: what the story has to teach.
    fn by_lesson(&self, story: &Story, judged: Option<&Trial>) -> Hint {
        let lesson = &story.lesson;
        let untried = |did, taught: &[&'static str]| self.untried(story, did, taught);
        if let Some(part) = judged.filter(|trial| trial.did == Did::Unplug && lowers(trial)) {
            return self.order(Did::Swap, &part.what.join("+"), judged);
        }
        if let Some((back, what)) = self.still_out() {
            return self.order(back, &what, judged);
        }
        let is_healthy = lesson.culprits.is_empty();
        let mended = self.last(|did| did == Did::Swap).is_some();
        match self.judgement.verdict {
            Verdict::Below if mended || is_healthy && judged.is_some() => {
                say(Step::Done, lines::done(mended))
            }
            Verdict::Below if is_healthy => {
                let what = untried(Did::Pull, &lesson.tries);
                self.order(Did::Pull, what, judged)
            }
            Verdict::Above => match self.accused() {
                Some((Did::Unplug, part)) => self.order(Did::Swap, &part, judged),
                Some(_) => self.order(Did::Unplug, untried(Did::Unplug, &lesson.parts), judged),
                None => self.order(Did::Pull, untried(Did::Pull, &lesson.tries), judged),
            },
            Verdict::Below | Verdict::CannotTell | Verdict::NotSettled => {
                wait(lines::LOOK_FOR_WAKES)
            }
        }
    }

    /// What is still out, fuses first, and the verb that brings it back.
    fn still_out(&self) -> Option<(Did, String)> {
        let out = self.session.out_now();
        let with = |removed: Did, back: Did| {
            let mut labels = out.clone();
            labels.retain(|label| {
                let mut marks = self.session.marks().rev();
                let last = marks.find(|placed| placed.mark.what.iter().any(|what| what == label));
                last.is_some_and(|placed| placed.mark.did == removed)
            });
            (!labels.is_empty()).then(|| (back, labels.join("+")))
        };
        with(Did::Pull, Did::Refit).or_else(|| with(Did::Unplug, Did::Plug))
    }

    /// The last removal since the last repair that brought the current down.
    fn accused(&self) -> Option<(Did, String)> {
        let trials = self.judgement.trials.iter().rev();
        let mut since = trials.take_while(|trial| trial.did != Did::Swap);
        let found = since.find(|trial| trial.did.removes() && lowers(trial))?;
        Some((found.did, found.what.join("+")))
    }

    /// The first of these that this was not done to; the last one when it was done to all.
    fn untried(&self, story: &Story, did: Did, taught: &[&'static str]) -> &'static str {
        let done = |label: &str| {
            let mut marks = self.session.marks().filter(|placed| placed.mark.did == did);
            marks.any(|placed| {
                let mut what = placed.mark.what.iter();
                what.any(|typed| story.known(typed) == Some(label))
            })
        };
        let open = taught.iter().find(|label| !done(label));
        open.or(taught.last()).copied().unwrap_or_default()
    }
}

const fn lowers(trial: &Trial) -> bool {
    matches!(trial.finding, Finding::Clears | Finding::Lowers)
}

#[cfg(test)]
mod tests;
