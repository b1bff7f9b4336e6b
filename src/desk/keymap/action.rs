//! What keys can ask for, by what it touches: the record, the picture, or the world around them.

use crate::desk::{Panel, Toward};
use crate::session::Did;

/// What a key asks for while no prompt is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Action {
    /// Something for the record: only where the session is recorded.
    Record(RecordAction),
    /// Something about the picture.
    View(ViewAction),
    /// Something for the program around the board.
    Shell(ShellAction),
}

/// What a key wants recorded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RecordAction {
    /// Place a mark; those that need a name ask for it.
    Mark(Did),
    /// Place a mark that lies in the past: asks how long ago.
    MarkLate(Did),
    /// Withdraw the last mark.
    Strike,
    /// Type a reading (only with a meter that is read by eye).
    Reading,
    /// Type the battery's voltage.
    Volts,
    /// Announce a run of pulls, or end it.
    Run,
}

/// What a key wants to see.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ViewAction {
    /// Logarithmic or linear current axis.
    Scale,
    /// What the time axis counts.
    TimeAxis,
    /// Show a shorter stretch.
    ZoomIn,
    /// Show a longer stretch.
    ZoomOut,
    /// The cursor, or the picture, towards the beginning.
    Earlier,
    /// The cursor, or the picture, towards the present.
    Later,
    /// The picture towards the beginning.
    PageEarlier,
    /// The picture towards the present.
    PageLater,
    /// Follow the present again.
    ToNow,
    /// The cursor on or off.
    Cursor,
    /// The cursor to the step, mark or wake before it.
    EventBefore,
    /// The cursor to the step, mark or wake after it.
    EventAfter,
    /// Select the next trial, newest first.
    NextTrial,
    /// Select the trial before.
    PreviousTrial,
    /// The value over the whole screen.
    Far,
    /// A list over the board, or no more.
    Panel(Panel),
    /// The help pages.
    Help,
    /// Hints on or off.
    Hints,
    /// All sounds off or on.
    Mute,
    /// Close what is open, clear what has been read.
    Dismiss,
}

/// What a key wants of the program around the board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ShellAction {
    /// The next set of colours.
    Theme,
    /// The present finding to the clipboard.
    Copy,
    /// Clicks to the board or to the terminal.
    Mouse,
    /// Write the session to a file of another kind.
    Export,
    /// Go on recording in another file.
    GoOn,
    /// End the program.
    Quit,
    /// Hand the terminal back for a while.
    Suspend,
    /// Draw everything anew.
    Redraw,
}

/// What a key asks for while a list is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PanelAction {
    /// The row or position that way.
    Select(Toward),
    /// Pull the selected fuse, or put it back.
    Take,
    /// Do what the plan says.
    Go,
    /// Read millivolts, fuse by fuse.
    Sweep,
    /// Change what stands in the selected row of the card.
    Edit,
    /// Say what the step was.
    Claim,
    /// Do this to the selected mark.
    Change(MarkChange),
}

/// What can be done to an old mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MarkChange {
    /// Give it another verb or name.
    Rename,
    /// Put it to another time.
    Move,
    /// Write something down about it.
    Note,
    /// Withdraw it.
    Strike,
}
