//! All that can happen to the desk. Whoever sees a thing stamps it.

use std::path::PathBuf;

use super::left_alone::Machine;
use crate::fuse::map::Circuit;
use crate::reading::Elapsed;
use crate::session::{Entry, Fact};

/// Something that happened, and when.
#[derive(Clone, Debug, PartialEq)]
pub struct Message {
    /// When it was seen.
    pub t: Elapsed,
    /// What it was.
    pub event: Event,
}

/// What can happen.
#[derive(Clone, Debug, PartialEq)]
pub enum Event {
    /// A key was pressed.
    Key(Key),
    /// The plot was clicked at this moment of the session.
    Pointed(Elapsed),
    /// This position of the open panel was clicked.
    Chosen(usize),
    /// The wheel was turned over the plot: up shows a shorter stretch.
    Wheel {
        /// Away from the hand.
        up: bool,
    },
    /// A click, in columns and rows; the face turns it into [`Event::Pointed`].
    Click(u16, u16),
    /// Text was pasted.
    Paste(String),
    /// The terminal has this many columns and rows now.
    Resized(u16, u16),
    /// The journal holds these entries.
    Appended(Vec<Entry>),
    /// The journal could not write these entries; why. They are shown all the same, and kept to
    /// be written when the disk takes them.
    Unsaved(Vec<Entry>, String),
    /// The journal has caught up: all that was unsaved is on disk now.
    CaughtUp,
    /// The journal takes no more from the meters, and all that came has been told.
    ToldAll,
    /// The session file is no longer where it was: it can go on in another.
    Astray,
    /// The session goes on in this file, which holds all of the old one but so many bytes; or why
    /// it does not.
    Moved(Result<(PathBuf, u64), String>),
    /// A line with a mark, from a script.
    Line(String),
    /// A command that was to be run when something happened did not do it; which and why.
    CommandFailed(String),
    /// What the machine says of itself, which a record left alone depends on.
    Machine(Machine),
    /// The connection to the meter.
    Link(LinkState),
    /// The connection to the second meter, which reads the battery's volts.
    VoltsLink(LinkState),
    /// So many of the meter's messages were not understood since the session began.
    NotUnderstood(u64),
    /// A deadline asked for by `Effect::WakeAt` came.
    Tick,
    /// An export has come this far, in percent.
    Exporting(u8),
    /// An export ended: the file, or the reason.
    Exported(Result<PathBuf, String>),
    /// The file to export to stands there already, and was left alone.
    ExportExists(PathBuf),
    /// A fuse map was read, or why not.
    MapRead(Result<Vec<Circuit>, String>),
    /// A worker stopped that should not have; which and why.
    WorkerDied {
        /// Which.
        name: String,
        /// Its last words.
        why: String,
    },
    /// The system asks the program to end.
    Terminate,
    /// The system asks the program to stop until it goes on.
    Suspend,
    /// The program goes on after a stop.
    Continued,
}

impl Event {
    /// Whether a hand waits to see what became of it: its picture comes at once, not at the pace of the
    /// readings.
    pub fn is_awaited(&self) -> bool {
        match self {
            Self::Key(_)
            | Self::Pointed(_)
            | Self::Chosen(_)
            | Self::Wheel { .. }
            | Self::Click(..)
            | Self::Paste(_)
            | Self::Resized(..) => true,
            Self::Appended(entries) | Self::Unsaved(entries, _) => {
                entries.iter().any(|entry| is_by_hand(&entry.fact))
            }
            Self::CaughtUp
            | Self::ToldAll
            | Self::Astray
            | Self::Moved(_)
            | Self::Line(_)
            | Self::CommandFailed(_)
            | Self::Machine(_)
            | Self::Link(_)
            | Self::VoltsLink(_)
            | Self::NotUnderstood(_)
            | Self::Tick
            | Self::Exporting(_)
            | Self::Exported(_)
            | Self::ExportExists(_)
            | Self::MapRead(_)
            | Self::WorkerDied { .. }
            | Self::Terminate
            | Self::Suspend
            | Self::Continued => false,
        }
    }
}

const fn is_by_hand(fact: &Fact) -> bool {
    matches!(
        fact,
        Fact::Mark(_) | Fact::Strike(_) | Fact::Drop(_) | Fact::Set(_)
    )
}

/// The connection to the meter, in the words the board shows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LinkState {
    /// Looking for it or opening it; where.
    Opening(String),
    /// Readings come; from where.
    Receiving(String),
    /// Open, but nothing came for a while.
    Silent,
    /// Bytes come that are no readings: a few of them in hex, and the mend.
    Unreadable(String),
    /// It answers, but gives no current until someone does something: what, in words.
    Waiting(String),
    /// Gone; why. It is looked for again.
    Lost(String),
    /// The source has ended (a pipe closed, a replay is over).
    Ended,
}

/// A key, free of any terminal library.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Key {
    /// A printable character, shift already applied.
    Char(char),
    /// A character with Ctrl held.
    Ctrl(char),
    /// Enter.
    Enter,
    /// Escape.
    Esc,
    /// Backspace.
    Backspace,
    /// Delete.
    Delete,
    /// Tab.
    Tab,
    /// Shift-Tab.
    BackTab,
    /// Arrow left.
    Left,
    /// Arrow right.
    Right,
    /// Arrow up.
    Up,
    /// Arrow down.
    Down,
    /// Page up.
    PageUp,
    /// Page down.
    PageDown,
    /// Home.
    Home,
    /// End.
    End,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::Measured;
    use crate::session::{Did, Mark};

    #[test]
    fn a_hand_is_awaited_and_a_meter_is_not() {
        let entry = |fact| Entry {
            t: Elapsed::ZERO,
            fact,
        };
        let reading = || entry(Fact::Reading(Measured::Over));
        let mark = entry(Fact::Mark(Box::new(Mark::new(Did::Lock))));
        for (event, expected) in [
            (Event::Key(Key::Char('p')), true),
            (Event::Resized(80, 24), true),
            (Event::Appended(vec![reading(), mark.clone()]), true),
            (Event::Unsaved(vec![mark], "full".into()), true),
            (Event::Appended(vec![reading()]), false),
            (Event::Tick, false),
        ] {
            assert_eq!(event.is_awaited(), expected, "{event:?}");
        }
    }
}
