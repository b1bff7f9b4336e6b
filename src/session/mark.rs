//! What the technician did, as marks: the verbs, the labels, and which verbs disturb the car.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::reading::{Elapsed, named};

/// The number by which a later strike, claim or finding names a mark.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct MarkId(pub u32);

impl MarkId {
    /// The one after it.
    #[must_use]
    pub const fn next(self) -> Self {
        Self(self.0.saturating_add(1))
    }
}

/// The verb of a mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Did {
    /// Locked the car: the sleep time-out starts.
    Lock,
    /// Unlocked the car or opened a door.
    Unlock,
    /// Took a fuse or relay out.
    Pull,
    /// Put a fuse or relay back.
    Refit,
    /// Parted a connector, so that one component is off its circuit.
    Unplug,
    /// Joined the connector again.
    Plug,
    /// Put a new part in place of the old one.
    Swap,
    /// Zeroed the clamp.
    Zero,
    /// Wrote something down.
    Note,
}

/// What a verb is done to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DoneTo {
    /// A fuse, a relay or another part, which is named.
    Part(Handling),
    /// The car as a whole.
    Car,
    /// The meter.
    Meter,
    /// Nothing but what is written.
    Paper,
}

/// What happens to a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Handling {
    /// It comes off its supply.
    Out,
    /// It gets its supply back.
    Back,
    /// Another one takes its place.
    New,
}

named!(Did::word {
    Lock = "lock",
    Unlock = "unlock",
    Pull = "pull",
    Refit = "refit",
    Unplug = "unplug",
    Plug = "plug",
    Swap = "swap",
    Zero = "zero",
    Note = "note",
});

impl Did {
    /// What this is done to; everything else that is asked of a verb follows from it.
    pub const fn done_to(self) -> DoneTo {
        match self {
            Self::Pull | Self::Unplug => DoneTo::Part(Handling::Out),
            Self::Refit | Self::Plug => DoneTo::Part(Handling::Back),
            Self::Swap => DoneTo::Part(Handling::New),
            Self::Lock | Self::Unlock => DoneTo::Car,
            Self::Zero => DoneTo::Meter,
            Self::Note => DoneTo::Paper,
        }
    }

    /// Whether this removes something from the car or puts it back, and so is judged as a trial.
    pub const fn is_tried(self) -> bool {
        matches!(self.done_to(), DoneTo::Part(_))
    }

    /// Whether this takes something off its supply.
    pub const fn removes(self) -> bool {
        matches!(self.done_to(), DoneTo::Part(Handling::Out))
    }

    /// Whether this gives a circuit or part its supply back: modules start up and may wake the
    /// car (trade table 1.4, "fuse, relay or connector pulled or refitted").
    pub const fn restores(self) -> bool {
        self.is_tried() && !self.removes()
    }

    /// Whether this by itself restarts the sleep time-out. A pull does not: only a rise in the
    /// current after it would.
    pub const fn stirs(self) -> bool {
        matches!(self.done_to(), DoneTo::Car) || self.restores()
    }
}

/// One thing the technician did.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Mark {
    /// The mark's own number, unique in its session.
    pub id: MarkId,
    /// What was done.
    pub did: Did,
    /// To which fuses or parts, with the labels as they were typed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub what: Vec<String>,
    /// When it was done, if the mark was placed late.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        with = "super::seconds"
    )]
    pub at: Option<Elapsed>,
    /// The words of a note.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub text: String,
}

impl Mark {
    /// A mark that this was done just now, without a number yet.
    pub const fn new(did: Did) -> Self {
        Self {
            id: MarkId(0),
            did,
            what: Vec::new(),
            at: None,
            text: String::new(),
        }
    }

    /// When the thing was done, for a mark journalled at `t`.
    pub fn done_at(&self, t: Elapsed) -> Elapsed {
        self.at.unwrap_or(t)
    }
}

/// A mark, when it was journalled, and whether it was struck.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// The mark.
    pub mark: Mark,
    /// When the journal took it.
    pub noted: Elapsed,
    /// Whether a later strike withdrew it.
    pub struck: bool,
}

impl Placed {
    /// When the thing was done.
    #[must_use]
    pub fn at(&self) -> Elapsed {
        self.mark.done_at(self.noted)
    }
}

impl fmt::Display for Mark {
    /// The mark as a CSV cell writes it: `pull L5+E20`, `note key in the kitchen`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.did)?;
        if !self.what.is_empty() {
            write!(f, " {}", self.what.join("+"))?;
        }
        if !self.text.is_empty() {
            write!(f, " {}", self.text)?;
        }
        Ok(())
    }
}

/// Why a text is not a mark.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum MarkError {
    /// The first word is none of the verbs.
    #[error(
        "'{0}' is not a mark: expected lock, unlock, pull, refit, unplug, plug, swap, zero or note"
    )]
    Verb(String),
    /// A pull, refit, unplug, plug or swap of nothing.
    #[error("'{0}' of what? Expected a label after it, as in '{0} E12'")]
    NoLabel(Did),
}

/// Labels are trimmed, joined by `+` (a comma will do), and never hold control characters.
pub fn labels(text: &str) -> Vec<String> {
    text.split(['+', ','])
        .map(|label| {
            label
                .chars()
                .filter(|c| !c.is_control())
                .collect::<String>()
        })
        .map(|label| label.trim().to_owned())
        .filter(|label| !label.is_empty())
        .collect()
}

/// Reads a mark cell: `lock`, `pull D3+L8`, `note ...`.
///
/// # Errors
/// [`MarkError`] when the verb is unknown or a verb that needs a label has none.
pub fn parse_mark(id: MarkId, text: &str) -> Result<Mark, MarkError> {
    let text = text.trim();
    let (verb, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    let did = Did::spelled(verb).ok_or_else(|| MarkError::Verb(verb.to_owned()))?;
    let mut mark = Mark {
        id,
        ..Mark::new(did)
    };
    if did.is_tried() {
        mark.what = labels(rest);
        if mark.what.is_empty() {
            return Err(MarkError::NoLabel(did));
        }
    } else {
        rest.trim().clone_into(&mut mark.text);
    }
    Ok(mark)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_reads_back_as_it_was_written() {
        for cell in [
            "lock",
            "pull L16+D6",
            "refit L16",
            "unplug rear blower relay",
            "note key in the house",
        ] {
            assert_eq!(parse_mark(MarkId(1), cell).unwrap().to_string(), cell);
        }
    }

    #[test]
    fn a_pull_of_nothing_and_an_unknown_verb_are_named() {
        assert_eq!(
            parse_mark(MarkId(1), "pull"),
            Err(MarkError::NoLabel(Did::Pull))
        );
        let error = parse_mark(MarkId(1), "yank L16").unwrap_err().to_string();
        assert!(
            error.contains("'yank'") && error.contains("pull"),
            "{error}"
        );
    }

    #[test]
    fn labels_lose_control_characters_and_blanks() {
        assert_eq!(labels(" L16 + \u{1b}[31mD6 ++"), ["L16", "[31mD6"]);
    }
}
