//! One record with everything a report says of it: the fold, the judgement, the clock on the wall.

use chrono::{DateTime, FixedOffset};

use super::times::{Times, Zone};
use crate::judge::finding::{Phase, PhaseSpan};
use crate::judge::{self, Judgement};
use crate::reading::Elapsed;
use crate::session::Session;
use crate::session::mark::{Did, Mark};

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
}

impl Case {
    /// Judges a record that was folded from `source`.
    #[must_use]
    pub fn new(session: Session, source: Source, zone: Zone) -> Self {
        let times = Times::new(source.started, &source.resumed, session.last_t(), zone);
        Self {
            judgement: judge::judge(&session),
            session,
            times,
            source,
        }
    }

    /// From the first reading to the newest moment.
    #[must_use]
    pub fn stretch(&self) -> (Elapsed, Elapsed) {
        let first_mark = self.session.marks().next().map(crate::session::Placed::at);
        let first = self.session.signal().first_t();
        let from = first.into_iter().chain(first_mark).min();
        (from.unwrap_or_default(), self.session.last_t())
    }

    /// The settled stretches, in order.
    pub fn settled(&self) -> impl DoubleEndedIterator<Item = &PhaseSpan> {
        let spans = self.judgement.phases.iter();
        spans.filter(|span| span.phase == Phase::Settled)
    }

    /// How long the car was watched while settled, in seconds.
    #[must_use]
    pub fn asleep_s(&self) -> f64 {
        self.settled()
            .map(|span| span.to.secs_since(span.from))
            .sum()
    }

    /// The labels off their supply just before `t`.
    #[must_use]
    pub fn out_before(&self, t: Elapsed) -> Vec<&str> {
        let mut out: Vec<&str> = Vec::new();
        for placed in self.session.marks().take_while(|placed| placed.at() < t) {
            for label in &placed.mark.what {
                out.retain(|other| other != label);
                if placed.mark.did.removes() {
                    out.push(label);
                }
            }
        }
        out
    }

    /// Where a comparison begins to count: the last lock before the car first settled, else the
    /// first lock, else the start of the record.
    #[must_use]
    pub fn zero(&self) -> Elapsed {
        let settled = self.settled().next().map(|span| span.from);
        let locks = self
            .session
            .marks()
            .filter(|placed| placed.mark.did == Did::Lock);
        let locks: Vec<Elapsed> = locks.map(crate::session::Placed::at).collect();
        let before = locks
            .iter()
            .rev()
            .find(|t| settled.is_some_and(|settled| **t <= settled));
        let found = before.or_else(|| locks.first()).copied();
        found.unwrap_or_else(|| self.stretch().0)
    }
}

/// What was done, in one line: `pull B4+B2`, `note key in the kitchen`.
#[must_use]
pub fn deed(mark: &Mark) -> String {
    mark.to_string()
}
