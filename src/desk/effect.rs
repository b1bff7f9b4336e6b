//! All that the desk can ask the shell to do.

use std::path::PathBuf;

use super::occasion::Occasion;
use crate::reading::Elapsed;
use crate::session::Entry;

/// One thing to do.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// Put this into the journal; it comes back as `Event::Appended` or `Event::Unsaved`.
    Record(Entry),
    /// Sound the bell.
    Bell(Bell),
    /// Tell those outside who asked for it.
    Tell(Occasion),
    /// Write the session as it stands to this file; the ending names the kind.
    Export {
        /// The file to write.
        to: PathBuf,
        /// Whether one that stands there already is replaced.
        replace: bool,
    },
    /// Go on recording in this file, which is new; in one beside the old one where none is named.
    GoOn(Option<PathBuf>),
    /// Read the fuse map in this file; it comes back as `Event::MapRead`.
    ReadMap(PathBuf),
    /// Put this on the clipboard.
    Copy(String),
    /// Take clicks for the board (`true`), or leave them to the terminal.
    Mouse(bool),
    /// Show the next set of colours.
    NextTheme,
    /// Send `Event::Tick` at this moment (the earliest asked for counts).
    WakeAt(Elapsed),
    /// Clear the terminal and draw every cell anew (Ctrl-L).
    Redraw,
    /// Hand the terminal back to the shell that started us (Ctrl-Z).
    Suspend,
    /// End the program.
    Quit,
}

/// What a bell means.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Bell {
    /// The current has settled.
    Settled,
    /// Something woke the car.
    Wake,
    /// The signal shows a pull, or another step that somebody may have made.
    PullSeen,
    /// A trial has its finding.
    Finding,
    /// The next fuse of a run is called for.
    Called,
    /// The meter is lost.
    MeterLost,
    /// The next reading is to be typed.
    ReadingDue,
}
