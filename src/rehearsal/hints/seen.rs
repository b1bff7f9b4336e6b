//! What can be known of a hunt so far, in the questions that the hints ask. No wording here.

use crate::judge::Judgement;
use crate::judge::finding::{Finding, Manner, Phase, Trial, Verdict};
use crate::reading::Elapsed;
use crate::rehearsal::story::Story;
use crate::session::mark::Did;
use crate::session::{Placed, Session};

/// A regular wake that has not come for this many of its periods is gone.
const PERIODS_WITHOUT: f64 = 2.5;

/// So many wakes show that they are regular; three intervals between them.
const WAKES_TO_SEE: usize = 4;

/// A part that gets its supply back wakes the car once by itself: for so long, in seconds, a wake
/// says nothing.
const OWN_WAKE_S: f64 = 60.0;

/// What happened between a removal and now, in a story whose car wakes by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Rest {
    /// It woke.
    Woke,
    /// It did not, but not for long enough to tell.
    TooSoon { more_s: f64 },
    /// It did not, for long enough.
    Quiet,
}

/// The hunt so far.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seen<'a> {
    story: &'a Story,
    session: &'a Session,
    judgement: &'a Judgement,
}

impl<'a> Seen<'a> {
    pub(super) const fn new(
        story: &'a Story,
        session: &'a Session,
        judgement: &'a Judgement,
    ) -> Self {
        Self {
            story,
            session,
            judgement,
        }
    }

    pub(super) fn is_locked(&self) -> bool {
        self.last(|placed| matches!(placed.mark.did, Did::Lock | Did::Unlock))
            .is_some_and(|placed| placed.mark.did == Did::Lock)
    }

    fn last(&self, wanted: impl Fn(&Placed) -> bool) -> Option<&'a Placed> {
        self.session.marks().rev().find(|placed| wanted(placed))
    }

    pub(super) fn last_tried(&self) -> Option<&'a Placed> {
        self.last(|placed| placed.mark.did.is_tried())
    }

    /// The first label of a mark that this car does not have.
    pub(super) fn stranger(&self, placed: &'a Placed) -> Option<&'a str> {
        placed
            .mark
            .what
            .iter()
            .map(String::as_str)
            .find(|label| self.story.known(label).is_none())
    }

    pub(super) const fn phase(&self) -> Phase {
        self.judgement.now.phase
    }

    pub(super) const fn verdict(&self) -> Verdict {
        self.judgement.verdict
    }

    /// Seconds until the sleep time-out has run; `None` when it has, or when nothing started it.
    pub(super) fn timeout_left_s(&self) -> Option<f64> {
        let left_s = self
            .judgement
            .now
            .timeout_at?
            .secs_since(self.session.last_t());
        (left_s > 0.0).then_some(left_s)
    }

    pub(super) const fn is_healthy(&self) -> bool {
        self.story.lesson.culprits.is_empty()
    }

    /// Whether more than one circuit carries the fault.
    pub(super) const fn is_shared(&self) -> bool {
        self.story.lesson.culprits.len() > 1
    }

    /// The part to replace; none in a healthy car.
    pub(super) fn part(&self) -> Option<&'static str> {
        self.story.lesson.parts.last().copied()
    }

    /// The first part of the lesson that was not unplugged; the one to replace when all were.
    pub(super) fn next_part(&self) -> Option<&'static str> {
        let mut parts = self.story.lesson.parts.iter().copied();
        let untried = parts.find(|part| self.last_moved(Did::Unplug, part).is_none());
        untried.or_else(|| self.part())
    }

    /// The last mark that did this to this fuse or part.
    fn last_moved(&self, did: Did, label: &str) -> Option<&'a Placed> {
        self.last(|placed| placed.mark.did == did && self.names(placed, label))
    }

    /// Whether unplugging the part to replace accused it.
    pub(super) fn is_part_found(&self) -> bool {
        let unplugged = self
            .part()
            .and_then(|part| self.last_moved(Did::Unplug, part));
        unplugged.is_some_and(|unplugged| {
            if self.wakes_by_itself() {
                self.rest_after(unplugged) == Rest::Quiet
            } else {
                matches!(self.finding(unplugged), Finding::Clears | Finding::Lowers)
            }
        })
    }

    /// Whether the part can be reached only in the opened car.
    pub(super) const fn is_behind_trim(&self) -> bool {
        self.story.lesson.opened
    }

    /// What was last done to the part to replace, and whether that was since the car was opened.
    pub(super) fn part_in_open_car(&self) -> Option<(Did, bool)> {
        let part = self.part()?;
        let moved = self.last(|placed| placed.mark.did.is_tried() && self.names(placed, part))?;
        let opened = self.last(|placed| placed.mark.did == Did::Unlock);
        let since = opened.is_none_or(|opened| moved.at() > opened.at());
        Some((moved.mark.did, since))
    }

    /// What is off its supply now, as this car calls it: `l7` out and `L7` in again is in.
    pub(super) fn out_now(&self) -> Vec<&'static str> {
        let mut out: Vec<&'static str> = Vec::new();
        for placed in self.session.marks() {
            let labels = placed.mark.what.iter();
            for label in labels.filter_map(|label| self.story.known(label)) {
                out.retain(|other| *other != label);
                if placed.mark.did.removes() {
                    out.push(label);
                }
            }
        }
        out
    }

    fn names(&self, placed: &Placed, wanted: &str) -> bool {
        placed
            .mark
            .what
            .iter()
            .any(|label| self.story.known(label) == Some(wanted))
    }

    pub(super) fn is_culprit(&self, placed: &Placed) -> bool {
        let culprits = self.story.lesson.culprits;
        culprits.iter().any(|fuse| self.names(placed, fuse))
    }

    pub(super) fn is_the_part(&self, placed: &Placed) -> bool {
        self.part().is_some_and(|part| self.names(placed, part))
    }

    fn trial(&self, placed: &Placed) -> Option<&'a Trial> {
        let trials = &self.judgement.trials;
        trials.iter().find(|trial| trial.mark == placed.mark.id)
    }

    pub(super) fn finding(&self, placed: &Placed) -> Finding {
        self.trial(placed)
            .map_or(Finding::NotYet, |trial| trial.finding)
    }

    pub(super) fn first_look_a(&self, placed: &Placed) -> Option<f64> {
        Some(self.trial(placed)?.first_look?.a)
    }

    pub(super) fn came_late(&self, placed: &Placed) -> bool {
        let manner = self.trial(placed).and_then(|trial| trial.manner);
        matches!(manner, Some(Manner::Late | Manner::Both))
    }

    /// Whether a finding, or the absence of wakes while it was out, accused this fuse.
    fn is_found(&self, fuse: &str) -> bool {
        let mut pulls = self
            .session
            .marks()
            .filter(|placed| placed.mark.did == Did::Pull && self.names(placed, fuse));
        if self.wakes_by_itself() {
            return pulls.any(|pull| self.rest_after(pull) == Rest::Quiet);
        }
        pulls.any(|pull| matches!(self.finding(pull), Finding::Clears | Finding::Lowers))
    }

    pub(super) fn all_found(&self) -> bool {
        let culprits = self.story.lesson.culprits;
        !culprits.is_empty() && culprits.iter().all(|fuse| self.is_found(fuse))
    }

    /// A fuse that carries a share of the fault and was not accused yet.
    pub(super) fn other_culprit(&self) -> Option<&'static str> {
        let mut culprits = self.story.lesson.culprits.iter().copied();
        culprits.find(|fuse| !self.is_found(fuse))
    }

    /// The first fuse of the lesson that was not pulled; the last one when all were.
    pub(super) fn next_try(&self) -> &'static str {
        let tries = self.story.lesson.tries;
        let untried = tries.iter().find(|fuse| {
            let mut marks = self.session.marks();
            !marks.any(|placed| placed.mark.did == Did::Pull && self.names(placed, fuse))
        });
        untried
            .or(self.other_culprit().as_ref())
            .or(tries.last())
            .copied()
            .unwrap_or_default()
    }

    pub(super) const fn wakes_by_itself(&self) -> bool {
        !self.story.wakers.is_empty()
    }

    pub(super) fn has_shown_its_wakes(&self) -> bool {
        !self.judgement.cycles.is_empty() || self.judgement.wakes.len() >= WAKES_TO_SEE
    }

    /// Whether the car woke between this mark and the next one that restores something.
    pub(super) fn rest_after(&self, placed: &Placed) -> Rest {
        let from = placed.at();
        let until = self
            .session
            .marks()
            .map(|later| (later.at(), later.mark.did))
            .find(|(at, did)| *at > from && did.stirs())
            .map_or(self.session.last_t(), |(at, _)| at);
        let own_s = if placed.mark.did.restores() {
            OWN_WAKE_S
        } else {
            0.0
        };
        let within = |t: Elapsed| t > from.plus_secs(own_s) && t < until;
        let stirring = self.phase() == Phase::Stirring && within(self.judgement.now.since);
        if stirring || self.judgement.wakes.iter().any(|wake| within(wake.from)) {
            return Rest::Woke;
        }
        let longest_s = self.story.wakers.iter().map(|waker| waker.period_s);
        let wanted_s = PERIODS_WITHOUT * longest_s.fold(0.0, f64::max);
        let more_s = wanted_s - until.secs_since(from);
        if more_s > 0.0 {
            Rest::TooSoon { more_s }
        } else {
            Rest::Quiet
        }
    }
}
