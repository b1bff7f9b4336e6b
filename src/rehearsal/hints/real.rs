//! Hints on a real car, of which no story tells what is wrong: what to look at before the lock, then what
//! plan, phase and trials say, as in a rehearsal.

use super::{Hint, HuntSoFar, Step, lines, lowers, say, wait};
use crate::judge::Judgement;
use crate::judge::finding::{Trial, Verdict};
use crate::session::{Did, Session, tick};

/// The hint for this moment of a real session.
pub fn lead(session: &Session, judgement: &Judgement) -> Option<Hint> {
    if let Some(open) = tick::open(session) {
        return Some(say(Step::Do(Did::Note), lines::tick(open)));
    }
    let story = None;
    let hunt = HuntSoFar {
        story,
        session,
        judgement,
    };
    (session.readings() > 0).then(|| hunt.hint())
}

impl HuntSoFar<'_> {
    /// The plan has nothing to say, and there is no lesson: what the verdict asks for.
    pub(super) fn by_verdict(&self, judged: Option<&Trial>) -> Hint {
        if let Some(part) = judged.filter(|trial| trial.did == Did::Unplug && lowers(trial)) {
            return self.order(Did::Swap, &part.what.join("+"), judged);
        }
        match (self.judgement.verdict, self.accused()) {
            (Verdict::Below, _) => self.low(judged),
            (Verdict::Above, Some((Did::Unplug, part))) => self.order(Did::Swap, &part, judged),
            (Verdict::Above, Some((_, fuse))) => {
                say(Step::Do(Did::Unplug), lines::unplug_on(&fuse))
            }
            (Verdict::Above, None) => say(Step::Do(Did::Pull), lines::PULL_ONE),
            (Verdict::CannotTell | Verdict::NotSettled, _) => wait(lines::READ_THE_VERDICT),
        }
    }

    /// Low enough: what is still out goes back first.
    fn low(&self, judged: Option<&Trial>) -> Hint {
        if let Some((back, what)) = self.still_out() {
            return self.order(back, &what, judged);
        }
        let mended = self.last(|did| did == Did::Swap).is_some();
        say(
            Step::Done,
            if mended {
                lines::done(true)
            } else {
                lines::LOW
            },
        )
    }
}
