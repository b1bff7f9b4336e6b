//! The table itself.

use super::Action::{self, Record, Shell, View};
use super::PanelAction::{self, Change, Select};
use super::{MarkChange, RecordAction, ShellAction, ViewAction};
use crate::desk::{Key, Panel, Toward};
use crate::session::Did;

/// One row of a table.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Binding<A> {
    /// How the settings name it.
    pub(super) name: &'static str,
    /// The keys, any of them.
    pub(super) keys: &'static [Key],
    /// What they ask for.
    pub(super) action: A,
    /// Whether footer and help show it together with the row above.
    pub(super) joined: bool,
    /// One or two words for the footer; empty where the footer leaves it out.
    pub(super) label: &'static str,
    /// The line on the help page.
    pub(super) help: &'static str,
}

const fn row<A: Copy>(
    name: &'static str,
    keys: &'static [Key],
    action: A,
    label: &'static str,
    help: &'static str,
) -> Binding<A> {
    let joined = false;
    Binding {
        name,
        keys,
        action,
        joined,
        label,
        help,
    }
}

const fn more<A: Copy>(name: &'static str, keys: &'static [Key], action: A) -> Binding<A> {
    let joined = true;
    Binding {
        name,
        keys,
        action,
        joined,
        label: "",
        help: "",
    }
}

/// Every key of the board, in the order of the job.
#[rustfmt::skip]
pub(super) const KEYS: &[Binding<Action>] = &[
    row("lock", &[Key::Char('l')], Record(RecordAction::Mark(Did::Lock)), "lock", "locked the car"),
    row("unlock", &[Key::Char('o')], Record(RecordAction::Mark(Did::Unlock)), "unlock", "unlocked, or opened a door"),
    row("pull", &[Key::Char('p')], Record(RecordAction::Mark(Did::Pull)), "pull", "pulled a fuse or relay"),
    row("refit", &[Key::Char('r')], Record(RecordAction::Mark(Did::Refit)), "refit", "put it back"),
    row("unplug", &[Key::Char('u')], Record(RecordAction::Mark(Did::Unplug)), "unplug", "parted a connector"),
    row("plug", &[Key::Char('i')], Record(RecordAction::Mark(Did::Plug)), "plug in", "joined it again"),
    row("swap", &[Key::Char('s')], Record(RecordAction::Mark(Did::Swap)), "swap", "fitted a new part"),
    row("zero", &[Key::Char('z')], Record(RecordAction::Mark(Did::Zero)), "zero", "zeroed the clamp"),
    row("note", &[Key::Char('n')], Record(RecordAction::Mark(Did::Note)), "note", "write something down"),
    row("finish", &[Key::Char('F')], Record(RecordAction::Mark(Did::Finish)), "", "finish; leave a stretch out"),
    more("leave-out", &[Key::Char('X')], Record(RecordAction::Mark(Did::LeaveOut))),
    row("lock-late", &[Key::Char('L')], Record(RecordAction::MarkLate(Did::Lock)), "", "lock, unlock, zero: late"),
    more("unlock-late", &[Key::Char('O')], Record(RecordAction::MarkLate(Did::Unlock))),
    more("zero-late", &[Key::Char('Z')], Record(RecordAction::MarkLate(Did::Zero))),
    row("strike", &[Key::Backspace], Record(RecordAction::Strike), "strike", "withdraw the last mark"),
    row("marks", &[Key::Char('k')], View(ViewAction::Panel(Panel::Marks)), "marks", "list: move, rename, strike"),
    row("what-was", &[Key::Char('w')], View(ViewAction::Panel(Panel::Steps)), "steps", "steps that nobody marked"),
    row("fuses", &[Key::Char('x')], View(ViewAction::Panel(Panel::Fuses)), "fuses", "fuse map: pull, refit"),
    row("plan", &[Key::Char('d')], View(ViewAction::Panel(Panel::Plan)), "plan", "what to do next, and why"),
    row("sweep", &[Key::Char('v')], View(ViewAction::Panel(Panel::Sweep)), "", "fuse mV; battery's volts"),
    more("volts", &[Key::Char('V')], Record(RecordAction::Volts)),
    row("run", &[Key::Char('a')], Record(RecordAction::Run), "", "announce a run, or end it"),
    row("card", &[Key::Char('j')], View(ViewAction::Panel(Panel::Card)), "", "this job; the wakes"),
    more("wakes", &[Key::Char('W')], View(ViewAction::Panel(Panel::Wakes))),
    row("reading", &[Key::Char('m')], Record(RecordAction::Reading), "reading", "type a reading (or a digit)"),
    row("next-trial", &[Key::Tab, Key::Up], View(ViewAction::NextTrial), "why", "select a trial: its why"),
    row("previous-trial", &[Key::BackTab, Key::Down], View(ViewAction::PreviousTrial), "", "select a newer trial"),
    row("cursor", &[Key::Char('c')], View(ViewAction::Cursor), "", "cursor: reads the plot"),
    row("earlier", &[Key::Left], View(ViewAction::Earlier), "", "cursor or plot: move"),
    more("later", &[Key::Right], View(ViewAction::Later)),
    row("event-before", &[Key::Char('['), Key::Char('<')], View(ViewAction::EventBefore), "", "cursor to step, mark, wake"),
    more("event-after", &[Key::Char(']'), Key::Char('>')], View(ViewAction::EventAfter)),
    row("page-earlier", &[Key::PageUp], View(ViewAction::PageEarlier), "", "plot earlier, later"),
    more("page-later", &[Key::PageDown], View(ViewAction::PageLater)),
    row("now", &[Key::Home, Key::End, Key::Char('0')], View(ViewAction::ToNow), "", "back to now"),
    row("zoom-in", &[Key::Char('+'), Key::Char('=')], View(ViewAction::ZoomIn), "", "shorter or longer time"),
    more("zoom-out", &[Key::Char('-'), Key::Char('_')], View(ViewAction::ZoomOut)),
    row("scale", &[Key::Char('g')], View(ViewAction::Scale), "", "axes: log, linear; clock"),
    more("time-axis", &[Key::Char('t')], View(ViewAction::TimeAxis)),
    row("far", &[Key::Char('f')], View(ViewAction::Far), "far", "large: read from two metres"),
    row("mute", &[Key::Char('b')], View(ViewAction::Mute), "", "all sounds off or on"),
    row("copy", &[Key::Char('y')], Shell(ShellAction::Copy), "", "copy the finding"),
    row("theme", &[Key::Char('T')], Shell(ShellAction::Theme), "", "colours; mouse on or off"),
    more("mouse", &[Key::Char('M')], Shell(ShellAction::Mouse)),
    row("hints", &[Key::Char('h')], View(ViewAction::Hints), "", "hints on or off"),
    row("export", &[Key::Char('e')], Shell(ShellAction::Export), "", "report; file elsewhere"),
    more("go-on", &[Key::Char('G')], Shell(ShellAction::GoOn)),
    row("help", &[Key::Char('?')], View(ViewAction::Help), "help", "keys, words, cautions"),
    row("dismiss", &[Key::Esc], View(ViewAction::Dismiss), "", "close page, clear caution"),
    row("quit", &[Key::Char('q'), Key::Ctrl('c')], Shell(ShellAction::Quit), "quit", "quit (Ctrl-C too)"),
    row("suspend", &[Key::Ctrl('z')], Shell(ShellAction::Suspend), "", "pause; draw the screen anew"),
    more("redraw", &[Key::Ctrl('l')], Shell(ShellAction::Redraw)),
];

const LISTS: &[Panel] = &[Panel::Steps, Panel::Marks, Panel::Card];
/// Those that are read, and scrolled where they are longer than the screen.
const PAGES: &[Panel] = &[Panel::Plan, Panel::Sweep, Panel::Wakes, Panel::Cautions];
const FUSES: &[Panel] = &[Panel::Fuses];

/// The keys of the lists: while one is open they go before those of the board.
#[rustfmt::skip]
pub(super) const PANEL_KEYS: &[(&[Panel], Binding<PanelAction>)] = &[
    (LISTS, row("row-up", &[Key::Up, Key::BackTab], Select(Toward::Up), "select", "")),
    (LISTS, more("row-down", &[Key::Down, Key::Tab], Select(Toward::Down))),
    (PAGES, row("page-up", &[Key::Up, Key::BackTab], Select(Toward::Up), "scroll", "")),
    (PAGES, more("page-down", &[Key::Down, Key::Tab], Select(Toward::Down))),
    (&[Panel::Plan], row("go", &[Key::Enter], PanelAction::Go, "do it", "")),
    (&[Panel::Card], row("edit", &[Key::Enter], PanelAction::Edit, "change it", "")),
    (&[Panel::Sweep], row("probe", &[Key::Enter], PanelAction::Sweep, "read the fuses", "")),
    (FUSES, row("fuse-left", &[Key::Left], Select(Toward::Left), "or its label: select", "")),
    (FUSES, more("fuse-right", &[Key::Right], Select(Toward::Right))),
    (FUSES, more("fuse-up", &[Key::Up], Select(Toward::Up))),
    (FUSES, more("fuse-down", &[Key::Down], Select(Toward::Down))),
    (FUSES, row("fuse-take", &[Key::Enter], PanelAction::Take, "pull or refit", "")),
    (FUSES, row("fuse-probe", &[Key::Char('v'), Key::Tab], PanelAction::Sweep, "millivolts", "")),
    (&[Panel::Steps], row("claim", &[Key::Enter], PanelAction::Claim, "say what it was", "")),
    (&[Panel::Marks], row("rename", &[Key::Enter], Change(MarkChange::Rename), "rename", "")),
    (&[Panel::Marks], row("move", &[Key::Char('m')], Change(MarkChange::Move), "move to a step", "")),
    (&[Panel::Marks], row("note-on", &[Key::Char('n')], Change(MarkChange::Note), "note", "")),
    (&[Panel::Marks], row("strike", &[Key::Backspace, Key::Delete], Change(MarkChange::Strike), "strike", "")),
];
