//! What can be asked, and what an answer to it can be. How keys make the one into the other is the
//! prompt's work.

use std::path::PathBuf;

use super::amend::{Amend, Amended};
use super::probe::{FuseAsked, Probed};
use crate::desk::Run;
use crate::judge::words;
use crate::reading::{Measured, Volts, capitalised, quantity};
use crate::session::{Did, Mark, MarkId};

/// What is being asked.
#[derive(Clone, Debug, PartialEq)]
pub enum Ask {
    /// The name, the time or the words of a mark.
    Mark(Did),
    /// What the meter shows.
    Reading,
    /// What stands on the battery's posts.
    Volts,
    /// Where to write.
    Export,
    /// Whether to withdraw a mark.
    Strike {
        /// Which.
        id: MarkId,
        /// The mark in words, with its time.
        named: String,
    },
    /// A mark made or changed afterwards.
    Amend(Amend),
    /// The millivolts across a fuse.
    Probe(FuseAsked),
    /// Which fuses a run takes, in order.
    Run,
    /// Which fuses came out in the run that is under way.
    RunOver,
    /// Whether to take the time-out that the car itself showed.
    Timeout {
        /// What it would be, in seconds.
        to_s: f64,
        /// How long the car was seen to need, in seconds.
        took_s: Option<f64>,
    },
    /// Whether to end, while a session is being recorded; where.
    Quit(String),
}

impl Ask {
    /// Whether it is answered with one key and takes no text.
    pub const fn is_yes_no(&self) -> bool {
        matches!(
            self,
            Self::Strike { .. } | Self::Timeout { .. } | Self::Quit(_)
        )
    }

    /// The question itself.
    pub fn question(&self) -> String {
        match self {
            Self::Mark(did) => {
                let verb = did.word().to_uppercase();
                match did {
                    Did::Pull | Did::Refit => format!("{verb} which fuse?"),
                    Did::Unplug | Did::Plug | Did::Swap => format!("{verb} which part?"),
                    Did::Note => format!("{verb}: what is worth keeping?"),
                    Did::LeaveOut => {
                        format!("{verb} from when to when? As in 0:10:41 to 0:10:52, @5m to @2m")
                    }
                    Did::Finish => {
                        format!(
                            "{verb} the work? What follows is no evidence. Earlier: @2m, @14:02"
                        )
                    }
                    Did::Lock | Did::Unlock | Did::Run | Did::Zero => {
                        format!("{verb} how long ago? As in @40s or @2m")
                    }
                }
            }
            Self::Reading => "READING: what does the meter show? As in 52m, 0.052, 1.2A, OL".into(),
            Self::Volts => "VOLTS: what stands on the battery's posts? As in 12.41V".into(),
            Self::Export => "EXPORT to which file? .html, .md, .svg, .csv, .json".into(),
            Self::Strike { named, .. } => format!("STRIKE {named}?"),
            Self::Amend(amend) => amend.question(),
            Self::Probe(probe) => probe.question(),
            Self::Timeout { to_s, took_s } => {
                let took = took_s.map(words::draw::took).unwrap_or_default();
                let to = quantity::span(*to_s);
                format!("SET the sleep time-out to {to}? {}", capitalised(&took))
            }
            Self::Run => "RUN: which fuses in order? As in E5-E16, or E5-E16 every 20s".into(),
            Self::RunOver => "RUN OVER: which fuses came out? As in E5-E9".into(),
            Self::Quit(place) => format!("QUIT? {place} is being recorded."),
        }
    }

    /// What Esc does.
    pub const fn on_esc(&self) -> &'static str {
        if matches!(self, Self::Probe(_)) {
            "ends the sweep"
        } else {
            "records nothing"
        }
    }
}

/// What a finished prompt means.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// A mark, and how long ago it was done, in seconds; now when that is not said.
    Mark(Mark, Option<f64>),
    /// Record this reading.
    Reading(Measured),
    /// Record this voltage of the battery.
    Volts(Volts),
    /// Write this file.
    Export(PathBuf),
    /// Withdraw this mark.
    Strike(MarkId),
    /// Place this mark, perhaps instead of another.
    Amended(Amended),
    /// Take this sleep time-out, in seconds.
    Timeout(f64),
    /// Begin this run.
    Run(Run),
    /// End the run in which these came out.
    RunOver(Vec<String>),
    /// Take this reading across a fuse, or none.
    Probed(FuseAsked, Probed),
    /// End the program.
    Quit,
}
