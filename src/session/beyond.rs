//! What no car can have in its record: more labels than it has fuses, a label as long as a page.
//! It is left out and counted by name: a file is read to its end whatever it says, and costs no
//! more time or room than one that a car can make.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use super::volts::BATTERY_V;
use super::{Entry, Fact, FuseDrop, Mark, MarkId, MeterEvent, Session};
use crate::fuse::map::{self, Circuit, LABEL_CHARS, MOST};
use crate::reading::Elapsed;

/// A text of more characters is no note (common practice, no source).
const TEXT_CHARS: usize = 10_000;
/// Nobody does or reads more at one car (common practice, no source).
const MARKS: usize = 20_000;
const DROPS: usize = 20_000;
const EVENTS: usize = 100_000;
const FIGURES: usize = 1000;

/// A reading this long after everything before it, without a resume between them, has a wrong
/// time: no single recording is left alone for a month.
const LEAP_MAX_S: f64 = 30.0 * 86_400.0;

/// One kind of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum TooMuch {
    /// A part that was taken out or put back, and none that is named.
    NoLabel,
    /// More labels in one mark than a car has fuses.
    LabelsOfMark,
    /// A new label after as many as a car has.
    Labels,
    /// A label that nobody reads.
    LongLabel,
    /// A text that nobody reads.
    LongText,
    /// More marks than anybody makes.
    Marks,
    /// More fuses read than a car has, or oftener than anybody does.
    Drops,
    /// More of what happened to the meter than matters.
    Events,
    /// Volts that no 12 V battery gives.
    Volts,
    /// More of what cannot be on a card than anybody reads.
    Figures,
}

impl fmt::Display for TooMuch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoLabel => f.write_str("pulls, refits and the like of nothing"),
            Self::LabelsOfMark => write!(f, "marks of more than {MOST} labels"),
            Self::Labels => write!(f, "marks with a label beyond the first {MOST}"),
            Self::LongLabel => write!(f, "labels of more than {LABEL_CHARS} characters"),
            Self::LongText => write!(f, "texts of more than {TEXT_CHARS} characters"),
            Self::Marks => write!(f, "marks beyond the first {MARKS}"),
            Self::Drops => write!(
                f,
                "drops of fuses beyond {MOST}, or beyond {DROPS} readings"
            ),
            Self::Events => write!(f, "events of the meter beyond the first {EVENTS}"),
            Self::Volts => {
                let (least, most) = (BATTERY_V.start(), BATTERY_V.end());
                write!(f, "voltages below {least} V or above {most} V")
            }
            Self::Figures => write!(f, "figures of the card beyond the first {FIGURES}"),
        }
    }
}

/// How much of each was left out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct LeftOut {
    counts: BTreeMap<TooMuch, u64>,
}

impl LeftOut {
    /// Whether there is room for this; counts it if not.
    pub(super) fn has_room(&mut self, asked: Result<(), TooMuch>) -> bool {
        if let Err(beyond) = asked {
            *self.counts.entry(beyond).or_default() += 1;
        }
        asked.is_ok()
    }

    /// One line for each kind.
    pub(super) fn lines(&self) -> impl Iterator<Item = String> + '_ {
        let counts = self.counts.iter();
        counts.map(|(beyond, count)| format!("{beyond}, which no car has: {count} left out"))
    }
}

/// Which names a record knows: a label as it is spelled, by what it is compared by.
#[derive(Clone, Debug, Default)]
pub(super) struct KnownNames {
    mapped: BTreeMap<String, String>,
    marked: BTreeMap<String, String>,
    read: BTreeSet<String>,
    standing: BTreeSet<MarkId>,
    marks: usize,
}

impl KnownNames {
    /// Learns the labels of a fuse map in place of those of an earlier one: as the lid prints them,
    /// and as the journal keeps them.
    pub(super) fn map(&mut self, fuses: &mut [Circuit]) {
        map::as_printed(fuses);
        // Of two spellings the first counts.
        let named = fuses.iter().rev().flat_map(|circuit| {
            [circuit.kept(), circuit.label.clone()].map(|known| (known, &circuit.label))
        });
        self.mapped = named
            .map(|(known, label)| (map::folded(&known), label.clone()))
            .collect();
    }

    /// The label as the fuse map or an earlier mark spells it.
    pub(super) fn spelled(&self, label: &str) -> Option<&str> {
        let folded = map::folded(label);
        let known = self.mapped.get(&folded);
        known
            .or_else(|| self.marked.get(&folded))
            .map(String::as_str)
    }

    /// Takes a mark in, its labels spelled as they are known.
    pub(super) fn mark(&mut self, mark: &mut Mark) -> Result<(), TooMuch> {
        if self.marks >= MARKS {
            return Err(TooMuch::Marks);
        }
        if mark.did.is_tried() && mark.what.is_empty() {
            return Err(TooMuch::NoLabel);
        }
        if mark.what.len() > MOST {
            return Err(TooMuch::LabelsOfMark);
        }
        if mark.what.iter().any(|label| is_long(label, LABEL_CHARS)) {
            return Err(TooMuch::LongLabel);
        }
        if is_long(&mark.text, TEXT_CHARS) {
            return Err(TooMuch::LongText);
        }
        let folded: Vec<String> = mark.what.iter().map(|label| map::folded(label)).collect();
        let new: BTreeSet<&String> = folded
            .iter()
            .filter(|label| !self.marked.contains_key(*label))
            .collect();
        if self.marked.len() + new.len() > MOST {
            return Err(TooMuch::Labels);
        }
        for label in &mut mark.what {
            if let Some(known) = self.spelled(label) {
                *label = known.to_owned();
            }
        }
        for (label, folded) in mark.what.iter().zip(folded) {
            self.marked.entry(folded).or_insert_with(|| label.clone());
        }
        self.marks += 1;
        self.standing.insert(mark.id);
        Ok(())
    }

    /// Whether a mark of this number still stood until now.
    pub(super) fn strike(&mut self, id: MarkId) -> bool {
        self.standing.remove(&id)
    }

    /// Takes the reading across a fuse in; `count` are known.
    pub(super) fn drop(&mut self, drop: &FuseDrop, count: usize) -> Result<(), TooMuch> {
        let style = drop.style.as_deref().unwrap_or_default();
        if is_long(&drop.what, LABEL_CHARS) || is_long(style, LABEL_CHARS) {
            return Err(TooMuch::LongLabel);
        }
        let folded = map::folded(&drop.what);
        let is_new = !self.read.contains(&folded);
        if count >= DROPS || is_new && self.read.len() >= MOST {
            return Err(TooMuch::Drops);
        }
        self.read.insert(folded);
        Ok(())
    }
}

/// Whether an event of the meter is worth keeping beside `count` others.
pub(super) fn event(event: &MeterEvent, count: usize) -> Result<(), TooMuch> {
    let text = match event {
        MeterEvent::Lost(text)
        | MeterEvent::Back(text)
        | MeterEvent::Range(text)
        | MeterEvent::Gap { why: text, .. } => text,
        MeterEvent::Held(_)
        | MeterEvent::Ac(_)
        | MeterEvent::AutoOff(_)
        | MeterEvent::LowCell
        | MeterEvent::Doubt { .. } => "",
    };
    if is_long(text, TEXT_CHARS) {
        return Err(TooMuch::LongText);
    }
    (count < EVENTS).then_some(()).ok_or(TooMuch::Events)
}

/// Whether a figure that a card cannot hold is worth naming beside `count` others.
pub(super) fn figure(count: usize) -> Result<(), TooMuch> {
    (count < FIGURES).then_some(()).ok_or(TooMuch::Figures)
}

/// Without counting them all where bytes say enough.
fn is_long(text: &str, chars: usize) -> bool {
    text.len() > chars && text.chars().nth(chars).is_some()
}

impl Session {
    /// Time in a record runs forward, and never leaps: one wrong stamp must not move the rest.
    pub(super) fn is_out_of_order(&self, entry: &Entry) -> bool {
        let leaps = |t: Elapsed| t.secs_since(self.last_t).abs() > LEAP_MAX_S;
        match &entry.fact {
            Fact::Reading(_) => self
                .last_reading
                .is_some_and(|(last_t, _)| entry.t < last_t || leaps(entry.t)),
            Fact::Volts(_) => !self.volts.follows(entry.t) || leaps(entry.t),
            // What was done may be noted late; long before the session or long after it cannot be.
            Fact::Mark(mark) => {
                let cannot_be = |at: Elapsed| {
                    at.secs() < -LEAP_MAX_S || at.secs_since(self.last_t) > LEAP_MAX_S
                };
                leaps(entry.t) || mark.at.is_some_and(cannot_be)
            }
            // A session may go on after a long time.
            Fact::Resumed(_) => false,
            Fact::Strike(_)
            | Fact::Drop(_)
            | Fact::Set(_)
            | Fact::Meter(_)
            | Fact::VoltsMeter(_)
            | Fact::Judged(_)
            | Fact::Seal(_)
            | Fact::Unknown => leaps(entry.t),
        }
    }
}
