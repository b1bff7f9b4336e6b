//! One record with everything a report says of it: the fold, the judgement, the clock on the wall.

use chrono::{DateTime, FixedOffset};

use super::times::{Times, Zone};
use crate::fuse::map;
use crate::judge::finding::{Phase, PhaseSpan};
use crate::judge::{self, Judgement};
use crate::reading::Elapsed;
use crate::session::timeline::out_after;
use crate::session::{Did, Entry, Fact, Mark, Placed, Session};

/// What the file itself tells besides its entries.
#[derive(Clone, Debug, Default)]
pub struct Source {
    /// The file's name, without its folder.
    pub file: String,
    /// When the record began; `None` when it does not say.
    pub started: Option<DateTime<FixedOffset>>,
    /// When recording went on after a stop.
    pub resumed: Vec<(Elapsed, DateTime<FixedOffset>)>,
    /// What there is to say about the file: damage passed over, a date that is missing.
    pub notices: Vec<String>,
}

/// A record, judged.
#[derive(Clone, Debug)]
pub struct Case {
    /// The one fold of it.
    pub session: Session,
    /// What it means.
    pub judgement: Judgement,
    /// Its wall-clock times.
    pub times: Times,
    /// Its file.
    pub source: Source,
    /// The same record up to where its repair began, when it holds one.
    pub before: Option<Box<Case>>,
}

impl Case {
    /// Judges a record that was folded from `source`.
    pub fn new(session: Session, source: Source, zone: Zone) -> Self {
        let times = Times::new(source.started, &source.resumed, session.last_t(), zone);
        Self {
            judgement: judge::judge(&session),
            session,
            times,
            source,
            before: None,
        }
    }

    /// When the last new part was fitted.
    pub fn repaired(&self) -> Option<Elapsed> {
        self.session.done(Did::Swap).next_back().map(Placed::at)
    }

    /// Where the state before the repair is to be judged: the end of the last settled stretch
    /// before the new part, of the car with everything in.
    pub fn cut(&self) -> Option<Elapsed> {
        let repaired = self.repaired()?;
        let is_whole = |span: &&PhaseSpan| self.out_before(span.from.plus_secs(1.0)).is_empty();
        let span = self
            .settled()
            .rev()
            .filter(|span| span.to <= repaired)
            .find(is_whole)?;
        // The phase may go on over a removal that changed little.
        let removals = self
            .session
            .marks()
            .filter(|placed| placed.mark.did.removes());
        let removed = removals.map(Placed::at).find(|at| *at > span.from);
        Some(removed.map_or(span.to, |at| at.min(span.to)))
    }

    /// From the first reading to the newest moment.
    pub fn stretch(&self) -> (Elapsed, Elapsed) {
        let first_mark = self.session.marks().next().map(Placed::at);
        let first = self.session.signal().first_t();
        let from = first.into_iter().chain(first_mark).min();
        (from.unwrap_or_default(), self.session.last_t())
    }

    /// The record as it was before its own repair, or all of it.
    pub fn unrepaired(&self) -> &Self {
        self.before.as_deref().unwrap_or(self)
    }

    /// The settled stretches, in order.
    pub fn settled(&self) -> impl DoubleEndedIterator<Item = &PhaseSpan> {
        let spans = self.judgement.phases.iter();
        spans.filter(|span| span.phase == Phase::Settled)
    }

    /// How long the state in force was watched at rest, wakes included, in seconds: as it was
    /// judged.
    pub fn watched_s(&self) -> f64 {
        self.judgement.average.map_or(0.0, |average| average.over_s)
    }

    /// How long the car was watched while settled, in seconds.
    pub fn asleep_s(&self) -> f64 {
        self.settled()
            .map(super::super::judge::finding::PhaseSpan::lasts_s)
            .sum()
    }

    /// A label with what the fuse map says it feeds: `E5 (wipers, washer pump)`.
    pub fn named(&self, label: &str) -> String {
        match map::find(self.session.fuses(), label) {
            Some(circuit) if !circuit.feeds.is_empty() => {
                format!("{label} ({})", circuit.feeds.join(", "))
            }
            Some(_) | None => label.to_owned(),
        }
    }

    /// The labels off their supply just before `t`.
    pub fn out_before(&self, t: Elapsed) -> Vec<&str> {
        out_after(self.session.marks().take_while(|placed| placed.at() < t))
    }

    /// Where a comparison begins to count: the last lock before the car first settled, else the
    /// first lock, else the start of the record.
    pub fn zero(&self) -> Elapsed {
        let settled = self.settled().next().map(|span| span.from);
        let locks = || self.session.done(Did::Lock).map(Placed::at);
        let before = settled.and_then(|settled| locks().rfind(|at| *at <= settled));
        let found = before.or_else(|| locks().next());
        found.unwrap_or_else(|| self.stretch().0)
    }
}

/// An entry as it counts for the state at `cut`: later readings do not, what was learned later of
/// the time before does.
pub fn known_at(cut: Elapsed, entry: Entry) -> Option<Entry> {
    let counts = match &entry.fact {
        Fact::Reading(_)
        | Fact::Volts(_)
        | Fact::Meter(_)
        | Fact::VoltsMeter(_)
        | Fact::Resumed(_)
        | Fact::Drop(_) => entry.t < cut,
        Fact::Mark(mark) => mark.done_at(entry.t) < cut,
        Fact::Strike(_) | Fact::Set(_) => true,
        Fact::Judged(_) | Fact::Seal(_) | Fact::Unknown => false,
    };
    counts.then(|| Entry {
        t: entry.t.min(cut),
        ..entry
    })
}

/// What was done, in one line: `pull L1+E12`, `note key in the kitchen`.
pub fn deed(mark: &Mark) -> String {
    mark.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::line;

    #[test]
    fn what_was_learned_later_of_the_time_before_counts() {
        let cut = Elapsed::from_secs(100.0);
        let kept = |text: &str| known_at(cut, line::read(text.as_bytes()).unwrap());
        for text in [
            r#"{"t":99.0,"a":0.05}"#,
            r#"{"t":150.0,"mark":{"id":1,"did":"pull","what":["D10"],"at":50.0}}"#,
            r#"{"t":150.0,"strike":1}"#,
            r#"{"t":150.0,"set":{"limit_a":0.03}}"#,
        ] {
            assert!(kept(text).is_some_and(|entry| entry.t <= cut), "{text}");
        }
        for text in [
            r#"{"t":100.0,"a":0.05}"#,
            r#"{"t":150.0,"mark":{"id":1,"did":"pull","what":["D10"]}}"#,
            r#"{"t":150.0,"meter":{"lost":"cable"}}"#,
        ] {
            assert_eq!(kept(text), None, "{text}");
        }
    }
}
