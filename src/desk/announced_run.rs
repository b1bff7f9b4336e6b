//! A run: fuses pulled one after another by hands that are far from the keys. Either nobody knows
//! when each came out, and each fall stays open; or the bell calls for each in turn, and a fall
//! between two calls is that of the fuse that was called.

use super::{label, typed_answer};
use crate::judge::finding::LevelStep;
use crate::reading::Elapsed;
use crate::session::mark::{self, Did, Mark};

/// More fuses than this are no walk along a fuse box.
const MAX_FUSES: usize = 200;

/// Time to walk from the keys to the fuse box before the first call, in seconds. Common practice,
/// no source.
const WALK_S: f64 = 30.0;

/// Hands cannot find, pull and put down a fuse faster than this, in seconds; and a first look
/// needs as much. Common practice, no source.
const FASTEST_CALL_S: f64 = 8.0;

/// A bell that rings so much later than it was due was held up by something: a lid that was shut.
const LATE_S: f64 = 2.0;

/// So soon after a call nobody has pulled what it names: a fall is of the call before. In seconds;
/// common practice, no source.
const REACTION_S: f64 = 2.0;

/// A small fall is seen no later than this, in seconds: what a slow detector needs.
const SEEN_S: f64 = 20.0;

/// A fuse that was called, and when it came out as far as that is known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Claim {
    /// Which.
    pub label: String,
    /// When; `None` where more than one fall came while it was called.
    pub at: Option<Elapsed>,
}

/// An announced run.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Its fuses, in order.
    pub labels: Vec<String>,
    /// When it was announced.
    pub since: Elapsed,
    call: Option<Call>,
}

/// The bell that calls for each fuse.
#[derive(Clone, Debug, PartialEq)]
struct Call {
    every_s: f64,
    next: Elapsed,
    /// When each was called, in order.
    called: Vec<Elapsed>,
    /// How many of them are marked.
    marked: usize,
}

impl Run {
    /// Reads `D1-D9`, `D1-D4+L2` or `D1-D9 every 20s`, announced at `now`.
    ///
    /// # Errors
    /// In words, what is missing or wrong.
    pub fn parse(text: &str, now: Elapsed) -> Result<Self, String> {
        let (labels, every_s) = match text.rsplit_once(" every ") {
            Some((labels, every)) => (labels, Some(typed_answer::span_s(every)?)),
            None => (text, None),
        };
        if let Some(every_s) = every_s.filter(|every_s| *every_s < FASTEST_CALL_S) {
            return Err(format!(
                "{every_s} s is too quick for hands: expected at least {FASTEST_CALL_S} s"
            ));
        }
        Ok(Self {
            labels: expand(labels)?,
            since: now,
            call: every_s.map(|every_s| Call {
                every_s,
                next: now.plus_secs(WALK_S),
                called: Vec::new(),
                marked: 0,
            }),
        })
    }

    /// The same run, announced at `now`: typing it took a while.
    #[must_use]
    pub fn from_now(mut self, now: Elapsed) -> Self {
        self.since = now;
        self.call = self.call.map(|call| Call {
            next: now.plus_secs(WALK_S),
            ..call
        });
        self
    }

    /// The same run with its labels spelled as `spell` does.
    #[must_use]
    pub fn spelled(mut self, spell: impl Fn(String) -> String) -> Self {
        self.labels = self.labels.into_iter().map(spell).collect();
        self
    }

    /// Whether the bell calls for its fuses.
    pub const fn is_called(&self) -> bool {
        self.call.is_some()
    }

    /// The fuse that is called next; `None` when all were, or nothing is called.
    pub fn next_label(&self) -> Option<&str> {
        let call = self.call.as_ref()?;
        self.labels.get(call.called.len()).map(String::as_str)
    }

    /// How many have been called, and of how many.
    pub fn progress(&self) -> (usize, usize) {
        let called = self.call.as_ref().map_or(0, |call| call.called.len());
        (called, self.labels.len())
    }

    /// When the bell calls for the next fuse.
    pub fn next_call(&self) -> Option<Elapsed> {
        self.next_label()?;
        self.call.as_ref().map(|call| call.next)
    }

    /// The announcement, as the journal keeps it.
    pub fn announcement(&self) -> Mark {
        Mark {
            what: self.labels.clone(),
            every_s: self.call.as_ref().map(|call| call.every_s),
            ..Mark::new(Did::Run)
        }
    }

    /// The fuse whose call is due at `now`.
    pub fn call(&mut self, now: Elapsed) -> Option<String> {
        let label = self.next_label()?.to_owned();
        let call = self.call.as_mut().filter(|call| call.next <= now)?;
        // While the lid was shut nobody heard a call, and nobody pulled.
        let heard = now.secs_since(call.next) <= LATE_S;
        let at = if heard { call.next } else { now };
        call.called.push(at);
        call.next = at.plus_secs(call.every_s);
        Some(label)
    }

    /// When the next called fuse can be marked: by then its fall would have been seen.
    pub fn next_mark(&self) -> Option<Elapsed> {
        let call = self.call.as_ref()?;
        let ends = call.ends(call.marked)?;
        Some(ends.plus_secs(SEEN_S))
    }

    /// The called fuses that can be marked at `now`, by the `steps` that the signal shows.
    pub fn marks(&mut self, now: Elapsed, steps: &[LevelStep]) -> Vec<Claim> {
        let mut claims = Vec::new();
        while self.next_mark().is_some_and(|at| at <= now) {
            claims.extend(self.mark_next(steps));
        }
        claims
    }

    /// The called fuses that are not marked yet, when the run is broken off.
    pub fn rest(&mut self, steps: &[LevelStep]) -> Vec<Claim> {
        let left = |run: &Self| run.call.as_ref().is_some_and(|c| c.marked < c.called.len());
        let mut claims = Vec::new();
        while left(self) {
            claims.extend(self.mark_next(steps));
        }
        claims
    }

    /// Whether every fuse was called and marked.
    pub fn is_done(&self) -> bool {
        let marked = self.call.as_ref().map(|call| call.marked);
        marked.is_some_and(|marked| marked >= self.labels.len())
    }

    fn mark_next(&mut self, steps: &[LevelStep]) -> Option<Claim> {
        let call = self.call.as_mut()?;
        let called = *call.called.get(call.marked)?;
        let [from, to] = [called, call.ends(call.marked)?].map(|t| t.plus_secs(REACTION_S));
        let label = self.labels.get(call.marked)?.clone();
        call.marked += 1;
        let in_slot = |step: &&LevelStep| step.to_a < step.from_a && step.t >= from && step.t < to;
        let mut falls = steps.iter().filter(in_slot);
        let at = match (falls.next(), falls.next()) {
            (None, _) => Some(called),
            (Some(fall), None) => (fall.mark.is_none() && !fall.in_gap).then_some(fall.t),
            (Some(_), Some(_)) => None,
        };
        Some(Claim { label, at })
    }
}

impl Call {
    /// When the call for the fuse of this number gives way to the next one.
    fn ends(&self, number: usize) -> Option<Elapsed> {
        let called = self.called.get(number)?;
        let next = self.called.get(number + 1);
        Some(next.copied().unwrap_or(called.plus_secs(self.every_s)))
    }
}

/// `D1-D4+L2` as its labels, in order.
fn expand(text: &str) -> Result<Vec<String>, String> {
    let mut labels: Vec<String> = Vec::new();
    for part in mark::labels(text) {
        match part.split_once('-') {
            Some((first, last)) if label::next(first).is_some() => {
                labels.extend(between(first.trim(), last.trim())?);
            }
            Some(_) | None => labels.push(part),
        }
    }
    if labels.is_empty() {
        return Err("type the fuses in order, as in D1-D9 or D1+D2+L7".into());
    }
    if labels.len() > MAX_FUSES {
        return Err(format!(
            "{} fuses: expected at most {MAX_FUSES}",
            labels.len()
        ));
    }
    for (n, label) in labels.iter().enumerate() {
        if labels.iter().take(n).any(|earlier| earlier == label) {
            return Err(format!("{label} stands there twice"));
        }
    }
    Ok(labels)
}

/// The labels from `first` to `last`; the box behind the last one is that of all.
fn between(first: &str, last: &str) -> Result<Vec<String>, String> {
    if let Some((last, lid)) = last.split_once(' ') {
        let labels = between(first, last)?.into_iter();
        return Ok(labels.map(|label| format!("{label} {lid}")).collect());
    }
    let all = std::iter::successors(Some(first.to_owned()), |label| label::next(label));
    let mut labels: Vec<String> = Vec::new();
    for label in all.take(MAX_FUSES) {
        let is_last = label == last;
        labels.push(label);
        if is_last {
            return Ok(labels);
        }
    }
    Err(format!(
        "{first}-{last}: counting up from {first} never comes to {last}"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn labels(text: &str) -> Vec<String> {
        Run::parse(text, Elapsed::ZERO).unwrap().labels
    }

    fn step(t_s: f64, from_a: f64, to_a: f64) -> LevelStep {
        LevelStep {
            t: Elapsed::from_secs(t_s),
            from_a,
            to_a,
            in_gap: false,
            mark: None,
        }
    }

    #[test]
    fn a_run_is_announced_as_it_is_walked() {
        assert_eq!(labels("E9-E11+L2"), ["E9", "E10", "E11", "L2"]);
        assert_eq!(labels("rear box 7"), ["rear box 7"]);
        assert_eq!(labels("E9-E10 rear"), ["E9 rear", "E10 rear"]);
        assert_eq!(labels("E-pump"), ["E-pump"]);
        for (text, named) in [
            ("", "in order"),
            ("L8-L3", "never comes to L3"),
            ("D5-D7+D6", "twice"),
            ("D5-D7 every 2s", "too quick"),
            ("D5-D7 every now", "'now'"),
        ] {
            let refused = Run::parse(text, Elapsed::ZERO).unwrap_err();
            assert!(refused.contains(named), "{text:?}: {refused}");
        }
    }

    fn called() -> Run {
        let mut run = Run::parse("E23-E25 every 20s", Elapsed::ZERO).unwrap();
        for t_s in [30.0, 50.0, 70.0] {
            assert!(run.call(Elapsed::from_secs(t_s)).is_some());
        }
        run
    }

    fn marked(steps: &[LevelStep]) -> Vec<(String, Option<f64>)> {
        let claims = called().marks(Elapsed::from_secs(110.0), steps);
        let of = |claim: Claim| (claim.label, claim.at.map(Elapsed::secs));
        claims.into_iter().map(of).collect()
    }

    #[test]
    fn the_bell_calls_for_each_in_turn() {
        let mut run = Run::parse("E23-E24 every 20s", Elapsed::ZERO).unwrap();
        assert_eq!(run.next_call(), Some(Elapsed::from_secs(30.0)));
        assert_eq!(run.call(Elapsed::from_secs(29.0)), None);
        assert_eq!(run.call(Elapsed::from_secs(31.0)).as_deref(), Some("E23"));
        assert_eq!((run.next_label(), run.progress()), (Some("E24"), (1, 2)));
        // A lid that was shut for a minute: nobody heard a call meanwhile.
        assert_eq!(run.call(Elapsed::from_secs(110.0)).as_deref(), Some("E24"));
        assert_eq!(run.call(Elapsed::from_secs(999.0)), None);
        assert_eq!(run.next_mark(), Some(Elapsed::from_secs(130.0)));
    }

    /// A fuse without a fall was out when it was called, one with a fall where it fell.
    #[test]
    fn a_fall_between_two_calls_is_that_of_the_fuse_that_was_called() {
        let fall = step(61.0, 0.19, 0.12);
        let rise = step(36.0, 0.12, 0.19);
        let expected = [
            ("E23".to_owned(), Some(30.0)),
            ("E24".to_owned(), Some(61.0)),
            ("E25".to_owned(), Some(70.0)),
        ];
        assert_eq!(marked(&[rise, fall]), expected);
    }

    /// Hands need a moment from the call to the fuse.
    #[test]
    fn a_fall_right_after_a_call_is_of_the_one_before() {
        let at = |t_s: f64| {
            let marked = marked(&[step(t_s, 0.19, 0.12)]);
            marked.into_iter().find(|(_, at)| *at == Some(t_s))
        };
        assert_eq!(at(51.5).unwrap().0, "E23");
        assert_eq!(at(52.5).unwrap().0, "E24");
    }

    #[test]
    fn two_falls_in_one_call_are_nobodys() {
        let falls = [step(55.0, 0.19, 0.15), step(60.0, 0.15, 0.12)];
        assert_eq!(marked(&falls)[1], ("E24".to_owned(), None));
    }

    /// A small fall is seen late: until then nothing is said of the fuse.
    #[test]
    fn a_fuse_is_marked_once_its_fall_would_have_been_seen() {
        let mut run = called();
        let marked = |run: &mut Run, t_s: f64| run.marks(Elapsed::from_secs(t_s), &[]).len();
        assert_eq!((marked(&mut run, 69.0), marked(&mut run, 70.0)), (0, 1));
        assert!(!run.is_done());
        assert_eq!(run.rest(&[]).len(), 2, "broken off");
        assert!(run.is_done());
    }
}
