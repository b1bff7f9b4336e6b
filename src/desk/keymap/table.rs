//! The table itself.

use super::{Action, PanelAction};
use crate::desk::message::Key;
use crate::desk::panel::Panel;
use crate::session::mark::Did;

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
    row("lock", &[Key::Char('l')], Action::Mark(Did::Lock), "lock", "locked the car"),
    row("unlock", &[Key::Char('o')], Action::Mark(Did::Unlock), "unlock", "unlocked, or opened a door"),
    row("pull", &[Key::Char('p')], Action::Mark(Did::Pull), "pull", "pulled a fuse or relay"),
    row("refit", &[Key::Char('r')], Action::Mark(Did::Refit), "refit", "put it back"),
    row("unplug", &[Key::Char('u')], Action::Mark(Did::Unplug), "unplug", "parted a connector"),
    row("plug", &[Key::Char('i')], Action::Mark(Did::Plug), "plug in", "joined it again"),
    row("swap", &[Key::Char('s')], Action::Mark(Did::Swap), "swap", "fitted a new part"),
    row("zero", &[Key::Char('z')], Action::Mark(Did::Zero), "zero", "zeroed the clamp"),
    row("note", &[Key::Char('n')], Action::Mark(Did::Note), "note", "write something down"),
    row("lock-late", &[Key::Char('L')], Action::MarkLate(Did::Lock), "", "lock, unlock, zero: late"),
    more("unlock-late", &[Key::Char('O')], Action::MarkLate(Did::Unlock)),
    more("zero-late", &[Key::Char('Z')], Action::MarkLate(Did::Zero)),
    row("strike", &[Key::Backspace], Action::Strike, "strike", "withdraw the last mark"),
    row("marks", &[Key::Char('k')], Action::Panel(Panel::Marks), "marks", "list: move, rename, strike"),
    row("what-was", &[Key::Char('w')], Action::Panel(Panel::Steps), "steps", "steps that nobody marked"),
    row("fuses", &[Key::Char('x')], Action::Panel(Panel::Fuses), "fuses", "fuse map: pull, refit"),
    row("plan", &[Key::Char('d')], Action::Panel(Panel::Plan), "plan", "what to do next, and why"),
    row("sweep", &[Key::Char('v')], Action::Panel(Panel::Sweep), "", "millivolts across fuses"),
    row("run", &[Key::Char('a')], Action::Run, "", "announce a run, or end it"),
    row("card", &[Key::Char('j')], Action::Panel(Panel::Card), "", "this job: card, limits"),
    row("reading", &[Key::Char('m')], Action::Reading, "reading", "type a reading (or a digit)"),
    row("next-trial", &[Key::Tab, Key::Up], Action::NextTrial, "why", "select a trial: its why"),
    row("previous-trial", &[Key::BackTab, Key::Down], Action::PreviousTrial, "", "select a newer trial"),
    row("cursor", &[Key::Char('c')], Action::Cursor, "", "cursor: reads the plot"),
    row("earlier", &[Key::Left], Action::Earlier, "", "cursor or plot: move"),
    more("later", &[Key::Right], Action::Later),
    row("event-before", &[Key::Char('[')], Action::EventBefore, "", "cursor to step, mark, wake"),
    more("event-after", &[Key::Char(']')], Action::EventAfter),
    row("page-earlier", &[Key::PageUp], Action::PageEarlier, "", "plot earlier, later"),
    more("page-later", &[Key::PageDown], Action::PageLater),
    row("now", &[Key::Home, Key::End, Key::Char('0')], Action::ToNow, "", "back to now"),
    row("zoom-in", &[Key::Char('+'), Key::Char('=')], Action::ZoomIn, "", "shorter or longer time"),
    more("zoom-out", &[Key::Char('-'), Key::Char('_')], Action::ZoomOut),
    row("scale", &[Key::Char('g')], Action::Scale, "", "current axis: log or linear"),
    row("time-axis", &[Key::Char('t')], Action::TimeAxis, "", "time axis: what it counts"),
    row("far", &[Key::Char('f')], Action::Far, "far", "large: read from two metres"),
    row("mute", &[Key::Char('b')], Action::Mute, "", "all sounds off or on"),
    row("copy", &[Key::Char('y')], Action::Copy, "", "copy the finding"),
    row("theme", &[Key::Char('T')], Action::Theme, "", "colours: dark, light, none"),
    row("mouse", &[Key::Char('M')], Action::Mouse, "", "mouse on or off"),
    row("hints", &[Key::Char('h')], Action::Hints, "", "hints on or off"),
    row("export", &[Key::Char('e')], Action::Export, "", "write a report or a table"),
    row("help", &[Key::Char('?')], Action::Help, "help", "keys, words, cautions"),
    row("dismiss", &[Key::Esc], Action::Dismiss, "", "close page, clear caution"),
    row("quit", &[Key::Char('q'), Key::Ctrl('c')], Action::Quit, "quit", "quit (Ctrl-C too)"),
    row("suspend", &[Key::Ctrl('z')], Action::Suspend, "", "pause: to the command line"),
    row("redraw", &[Key::Ctrl('l')], Action::Redraw, "", "draw the screen anew"),
];

const LISTS: &[Panel] = &[Panel::Steps, Panel::Marks];
/// Those that are read, and scrolled where they are longer than the screen.
const PAGES: &[Panel] = &[Panel::Plan, Panel::Sweep, Panel::Cautions, Panel::Card];
const FUSES: &[Panel] = &[Panel::Fuses];

/// The keys of the lists: while one is open they go before those of the board.
#[rustfmt::skip]
pub(super) const PANEL_KEYS: &[(&[Panel], Binding<PanelAction>)] = &[
    (LISTS, row("row-up", &[Key::Up, Key::BackTab], PanelAction::Up, "select", "")),
    (LISTS, more("row-down", &[Key::Down, Key::Tab], PanelAction::Down)),
    (PAGES, row("page-up", &[Key::Up, Key::BackTab], PanelAction::Up, "scroll", "")),
    (PAGES, more("page-down", &[Key::Down, Key::Tab], PanelAction::Down)),
    (&[Panel::Plan], row("go", &[Key::Enter], PanelAction::Go, "do it", "")),
    (&[Panel::Card], row("timeout", &[Key::Enter], PanelAction::Timeout, "this car's own time-out", "")),
    (&[Panel::Sweep], row("probe", &[Key::Enter], PanelAction::Sweep, "read the fuses", "")),
    (FUSES, row("fuse-left", &[Key::Left], PanelAction::Left, "or its label: select", "")),
    (FUSES, more("fuse-right", &[Key::Right], PanelAction::Right)),
    (FUSES, more("fuse-up", &[Key::Up], PanelAction::Up)),
    (FUSES, more("fuse-down", &[Key::Down], PanelAction::Down)),
    (FUSES, row("fuse-take", &[Key::Enter], PanelAction::Take, "pull or refit", "")),
    (FUSES, row("fuse-probe", &[Key::Char('v'), Key::Tab], PanelAction::Sweep, "millivolts", "")),
    (&[Panel::Steps], row("claim", &[Key::Enter], PanelAction::Claim, "say what it was", "")),
    (&[Panel::Marks], row("rename", &[Key::Enter], PanelAction::Rename, "rename", "")),
    (&[Panel::Marks], row("move", &[Key::Char('m')], PanelAction::Move, "move to a step", "")),
    (&[Panel::Marks], row("strike", &[Key::Backspace, Key::Delete], PanelAction::Strike, "strike", "")),
];
