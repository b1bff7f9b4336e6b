//! What keys can ask for.

use crate::desk::panel::Panel;
use crate::session::mark::Did;

/// What a key asks for while no prompt is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Action {
    /// Place a mark; those that need a name ask for it.
    Mark(Did),
    /// Place a mark that lies in the past: asks how long ago.
    MarkLate(Did),
    /// Withdraw the last mark.
    Strike,
    /// Type a reading (only with a meter that is read by eye).
    Reading,
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
    /// Announce a run of pulls, or end it.
    Run,
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
    /// The next set of colours.
    Theme,
    /// The present finding to the clipboard.
    Copy,
    /// Clicks to the board or to the terminal.
    Mouse,
    /// Write the session to a file of another kind.
    Export,
    /// Close what is open, clear what has been read.
    Dismiss,
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
    /// The row above.
    Up,
    /// The row below.
    Down,
    /// The position before.
    Left,
    /// The position after.
    Right,
    /// Pull the selected fuse, or put it back.
    Take,
    /// Do what the plan says.
    Go,
    /// Read millivolts, fuse by fuse.
    Sweep,
    /// Take the time-out that the car itself showed.
    Timeout,
    /// Say what the step was.
    Claim,
    /// Give the mark another verb or name.
    Rename,
    /// Put the mark to another time.
    Move,
    /// Withdraw the mark.
    Strike,
}
