//! Entries: the raw facts of a session, in the past tense. What they mean is derived elsewhere.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::{Card, Doubt, Mark, MarkId};
use crate::reading::{Elapsed, Measured, Reading, Volts};

/// What stands on the first line of a session.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Header {
    /// When the session began, with the local offset.
    pub started: DateTime<FixedOffset>,
    /// What was known when it began.
    pub card: Card,
    /// What measured.
    pub meter: MeterCard,
}

/// What is known of the meter when a session begins.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct MeterCard {
    /// The meter URI, as given.
    pub uri: String,
    /// The wire format in use.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub format: Option<String>,
    /// The URI of the second meter, which reads the battery's volts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volts: Option<String>,
}

/// The format of a table of seconds: the date of its file stands in for when it began.
pub const UNDATED: &str = "csv without a date";

impl MeterCard {
    /// Whether nobody knows at which hour the record began.
    pub fn tells_no_date(&self) -> bool {
        self.format.as_deref() == Some(UNDATED)
    }

    /// Whether its readings are typed from a display.
    pub fn is_by_eye(&self) -> bool {
        self.uri.starts_with("manual:")
    }
}

/// One fact and the moment at which it was known.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// When.
    pub t: Elapsed,
    /// What.
    pub fact: Fact,
}

impl Entry {
    /// The entry that records `reading`.
    pub const fn reading(reading: Reading) -> Self {
        Self {
            t: reading.t,
            fact: Fact::Reading(reading.value),
        }
    }
}

/// Everything that can be recorded.
#[derive(Clone, Debug, PartialEq)]
pub enum Fact {
    /// The meter said this.
    Reading(Measured),
    /// The technician did this.
    Mark(Box<Mark>),
    /// The mark with this number was a mistake.
    Strike(MarkId),
    /// The technician read millivolts across a fuse.
    Drop(Box<FuseDrop>),
    /// The card changed; only the named fields.
    Set(Box<Card>),
    /// Something happened to the meter or its connection.
    Meter(MeterEvent),
    /// The battery stood at this voltage.
    Volts(Volts),
    /// Something happened to the second meter, which reads the battery's volts.
    VoltsMeter(MeterEvent),
    /// Recording went on after a stop, at this wall-clock time.
    Resumed(DateTime<FixedOffset>),
    /// What the record showed when it ended, by the rules of then.
    Judged(Box<Judged>),
    /// The file was sealed here.
    Seal(Seal),
    /// Written by a newer program or by hand: kept in the file, without effect.
    Unknown,
}

/// Millivolts read across a fuse in its slot; a later one with the same label takes its place.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct FuseDrop {
    /// The fuse, as it was typed.
    pub what: String,
    /// What the meter showed, in millivolts.
    pub mv: f64,
    /// One count of that meter, in millivolts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step_mv: Option<f64>,
    /// The fuse's own resistance when somebody measured it, in ohm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ohms: Option<f64>,
    /// Its style, where the fuse map does not say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub style: Option<String>,
    /// Its rating in ampere, where the fuse map does not say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_a: Option<f64>,
}

/// What can happen to a meter besides a reading.
#[derive(Clone, Debug, PartialEq)]
pub enum MeterEvent {
    /// The connection went away; why.
    Lost(String),
    /// It came back; where.
    Back(String),
    /// The range or unit changed; to what.
    Range(String),
    /// The display was frozen: HOLD, MIN/MAX or relative mode. `false` when it ended.
    Held(bool),
    /// The meter measured AC or another quantity. `false` when it ended.
    Ac(bool),
    /// The meter was set to switch itself off when nobody touches it. `false` when it no longer was.
    AutoOff(bool),
    /// The meter's own cell was low.
    LowCell,
    /// Something about the meter was doubted. `on` is `false` when the cause was gone.
    Doubt {
        /// What.
        doubt: Doubt,
        /// Whether it was doubted from now on.
        on: bool,
    },
    /// Time passed without evidence: a laptop asleep, a clock set; why, and how long in seconds.
    Gap {
        /// In words.
        why: String,
        /// How long, in seconds.
        for_s: f64,
    },
}

impl MeterEvent {
    /// Whether what comes next is not joined to what came before.
    pub const fn hides_the_current(&self) -> bool {
        match self {
            // A clock that was set is told as a gap of no length: session time lost nothing.
            Self::Gap { for_s, .. } => *for_s > 0.0,
            Self::Lost(_) | Self::Held(true) | Self::Ac(true) => true,
            Self::Back(_)
            | Self::Range(_)
            | Self::Held(false)
            | Self::Ac(false)
            | Self::AutoOff(_)
            | Self::LowCell
            | Self::Doubt { .. } => false,
        }
    }
}

/// What was said of a record when it ended. Every judgement is made anew; this only tells whether it
/// would have been another one by earlier rules.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Judged {
    /// The edition of the rules.
    pub rules: String,
    /// The verdict, in a word.
    pub verdict: String,
}

/// The hash chain over everything before it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Seal {
    /// Lines before the seal, the header included.
    pub lines: u64,
    /// SHA-256 over all bytes before the seal line, in hex.
    pub sha256: String,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A week of them waits between two threads: what is rare and large stands elsewhere.
    #[test]
    fn an_entry_is_three_quarters_of_a_cache_line() {
        assert!(size_of::<Entry>() <= 48);
    }
}
