//! A run: fuses pulled one after another by hands that are far from the keys. It is announced
//! before; then either each step seen in the signal is claimed for the next fuse, or the bell
//! calls for each fuse in turn, so that one without any draw has its mark too.

use super::{label, typed_answer};
use crate::judge::finding::LevelStep;
use crate::reading::Elapsed;
use crate::session::mark;

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

/// A fuse that was pulled, as far as the run knows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Claim {
    /// Which.
    pub label: String,
    /// When.
    pub at: Elapsed,
}

/// An announced run.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Its fuses, in order.
    pub labels: Vec<String>,
    done: usize,
    /// Steps up to this moment are claimed, or older than the run.
    after: Elapsed,
    call: Option<Call>,
}

/// The bell that calls for each fuse.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Call {
    every_s: f64,
    next: Elapsed,
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
        let labels = expand(labels)?;
        Ok(Self {
            labels,
            done: 0,
            after: now,
            call: every_s.map(|every_s| Call {
                every_s,
                next: now.plus_secs(WALK_S),
            }),
        })
    }

    /// The same run, announced at `now`: typing it took a while.
    #[must_use]
    pub fn from_now(mut self, now: Elapsed) -> Self {
        self.after = now;
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

    /// The fuse that comes next; `None` when all have been pulled.
    pub fn next_label(&self) -> Option<&str> {
        self.labels.get(self.done).map(String::as_str)
    }

    /// How many have been pulled, and of how many.
    pub fn progress(&self) -> (usize, usize) {
        (self.done, self.labels.len())
    }

    /// When the bell calls for the next fuse; `None` when steps are claimed instead.
    pub fn next_call(&self) -> Option<Elapsed> {
        self.call
            .filter(|_| self.next_label().is_some())
            .map(|call| call.next)
    }

    /// The announcement, as the journal keeps it.
    pub fn announcement(&self) -> String {
        let labels = self.labels.join("+");
        match self.call {
            Some(call) => format!("run: {labels}, called every {} s", call.every_s),
            None => format!("run: {labels}, each claimed at its step"),
        }
    }

    /// Claims the falls that nobody marked, in the order in which they came. A rise is no pull,
    /// and a change inside a gap could hold several.
    pub fn see(&mut self, steps: &[LevelStep]) -> Vec<Claim> {
        if self.call.is_some() {
            return Vec::new();
        }
        let mut claims = Vec::new();
        for step in steps {
            let is_pull = step.to_a < step.from_a && step.mark.is_none() && !step.in_gap;
            if step.t > self.after
                && is_pull
                && let Some(claim) = self.claim(step.t)
            {
                claims.push(claim);
            }
        }
        claims
    }

    /// The call that is due at `now`.
    pub fn call(&mut self, now: Elapsed) -> Option<Claim> {
        let call = self.call.filter(|call| call.next <= now)?;
        // While the lid was shut nobody heard a call, and nobody pulled.
        let heard = now.secs_since(call.next) <= LATE_S;
        let at = if heard { call.next } else { now };
        let claim = self.claim(at)?;
        self.call = Some(Call {
            next: at.plus_secs(call.every_s),
            ..call
        });
        Some(claim)
    }

    fn claim(&mut self, at: Elapsed) -> Option<Claim> {
        let label = self.labels.get(self.done)?.clone();
        self.done = self.done.saturating_add(1);
        self.after = self.after.max(at);
        Some(Claim { label, at })
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

fn between(first: &str, last: &str) -> Result<Vec<String>, String> {
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
    use crate::session::mark::MarkId;

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

    #[test]
    fn each_fall_is_claimed_once_and_in_order() {
        let mut run = Run::parse("L14-L16", Elapsed::from_secs(100.0)).unwrap();
        let mut steps = vec![step(50.0, 0.31, 0.22), step(110.0, 0.22, 0.19)];
        let claimed = run.see(&steps);
        assert_eq!(claimed.len(), 1, "what came before the run is not its own");
        assert_eq!(claimed.first().unwrap().label, "L14");
        assert!(run.see(&steps).is_empty(), "claimed already");
        steps.extend([
            step(120.0, 0.19, 0.31),
            LevelStep {
                in_gap: true,
                ..step(125.0, 0.31, 0.19)
            },
            LevelStep {
                mark: Some(MarkId(7)),
                ..step(130.0, 0.19, 0.12)
            },
            step(140.0, 0.12, 0.06),
        ]);
        let claimed = run.see(&steps);
        let expected = Claim {
            label: "L15".into(),
            at: Elapsed::from_secs(140.0),
        };
        assert_eq!(claimed, [expected]);
        assert_eq!((run.next_label(), run.progress()), (Some("L16"), (2, 3)));
    }

    #[test]
    fn a_called_run_marks_every_fuse_when_it_is_called() {
        let mut run = Run::parse("E23-E24 every 20s", Elapsed::ZERO).unwrap();
        assert_eq!(run.next_call(), Some(Elapsed::from_secs(30.0)));
        assert_eq!(run.call(Elapsed::from_secs(29.0)), None);
        assert!(run.see(&[step(10.0, 0.2, 0.1)]).is_empty());
        assert_eq!(run.call(Elapsed::from_secs(31.0)).unwrap().label, "E23");
        assert_eq!(run.next_call(), Some(Elapsed::from_secs(50.0)));
        let last = run.call(Elapsed::from_secs(50.0)).unwrap();
        assert_eq!(
            (last.label.as_str(), last.at),
            ("E24", Elapsed::from_secs(50.0))
        );
        assert_eq!(
            (run.next_call(), run.call(Elapsed::from_secs(99.0))),
            (None, None)
        );
    }
}
