//! What can be asked, and what an answer to it can be. How keys make the one into the other is the
//! prompt's work.

use std::path::PathBuf;

use super::amend::{Amend, Amended};
use super::probe::{FuseAsked, Probed};
use crate::desk::Run;
use crate::desk::typing::{Typed, Unit};
use crate::reading::{Elapsed, Volts};
use crate::session::card::Field;
use crate::session::{Card, Did, Mark, MarkId};

/// What is being asked.
#[derive(Clone, Debug, PartialEq)]
pub enum Ask {
    /// The name, the time or the words of a mark.
    Mark(Did),
    /// What the meter shows, and what a number without a unit is.
    Reading(Unit),
    /// What stands on the battery's posts.
    Volts,
    /// Where to write.
    Export,
    /// Where to go on recording.
    Elsewhere,
    /// Whether to withdraw a mark or a typed reading.
    Strike {
        /// Which.
        what: Withdrawn,
        /// The same in words, with its time.
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
    /// What stands in a field of the card.
    Field {
        /// Which.
        field: &'static Field,
        /// What stands there now; empty when nothing does.
        now: String,
    },
    /// Whether to end, while a session is being recorded.
    Quit {
        /// Where.
        place: String,
        /// What becomes of what is not on disk.
        unsaved: Option<String>,
    },
}

impl Ask {
    /// Whether it is answered with one key and takes no text.
    pub const fn is_yes_no(&self) -> bool {
        matches!(self, Self::Strike { .. } | Self::Quit { .. })
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
            Self::Reading(_) => {
                "READING: what does the meter show? As in 43m, 0.043, 1.2A, OL".into()
            }
            Self::Volts => "VOLTS: what stands on the battery's posts? As in 12.41V".into(),
            Self::Export => "EXPORT to which file? .html, .md, .svg, .csv, .json".into(),
            Self::Elsewhere => "ELSEWHERE: go on recording in which new file? On another disk, \
                if this one takes nothing"
                .into(),
            Self::Strike { named, .. } => format!("STRIKE {named}?"),
            Self::Amend(amend) => amend.question(),
            Self::Probe(probe) => probe.question(),
            Self::Field { field, now } => {
                let stands = if now.is_empty() { "nothing yet" } else { now };
                format!(
                    "{}, now {stands}. {}",
                    field.label.to_uppercase(),
                    field.help
                )
            }
            Self::Run => "RUN: which fuses in order? As in E5-E16, or E5-E16 every 20s".into(),
            Self::RunOver => "RUN OVER: which fuses came out? As in E5-E9".into(),
            Self::Quit {
                unsaved: Some(unsaved),
                ..
            } => format!("QUIT? {unsaved}"),
            Self::Quit { place, .. } => format!("QUIT? {place} is being recorded."),
        }
    }

    /// What Enter sets on the card.
    pub(super) fn sets(&self, change: &Card) -> String {
        let Self::Field { field, .. } = self else {
            return String::new();
        };
        let shown = field.show(change).unwrap_or_default();
        format!("Enter sets {}: {shown}", field.label)
    }

    /// What Esc does.
    pub const fn on_esc(&self) -> &'static str {
        if matches!(self, Self::Probe(_)) {
            "ends the sweep"
        } else if matches!(self, Self::Field { .. }) {
            "leaves it as it is"
        } else {
            "records nothing"
        }
    }
}

/// What can be withdrawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Withdrawn {
    /// A mark.
    Mark(MarkId),
    /// What was typed at this moment.
    Reading(Elapsed),
}

/// What a finished prompt means.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// A mark, and how long ago it was done, in seconds; now when that is not said.
    Mark(Mark, Option<f64>),
    /// Record this reading.
    Reading(Typed),
    /// Record this voltage of the battery.
    Volts(Volts),
    /// Write this file.
    Export(PathBuf),
    /// Go on recording in this file.
    Elsewhere(PathBuf),
    /// Withdraw this.
    Strike(Withdrawn),
    /// Place this mark, perhaps instead of another.
    Amended(Amended),
    /// Change the card by this.
    Field(Box<Card>),
    /// Read the fuse map in this file.
    Map(PathBuf),
    /// Nothing was typed: all stays as it is.
    Unchanged,
    /// Begin this run.
    Run(Run),
    /// End the run in which these came out.
    RunOver(Vec<String>),
    /// Take this reading across a fuse, or none.
    Probed(FuseAsked, Probed),
    /// End the program.
    Quit,
}
