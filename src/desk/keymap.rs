//! The one table of keys: what is pressed, what the footer shows and what the help page says all
//! come from here.

use super::message::Key;
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
    /// Show a shorter stretch.
    ZoomIn,
    /// Show a longer stretch.
    ZoomOut,
    /// Look at what was earlier.
    Earlier,
    /// Look at what was later.
    Later,
    /// Follow the present again.
    ToNow,
    /// Select the next trial, newest first.
    NextTrial,
    /// Select the trial before.
    PreviousTrial,
    /// The help page.
    Help,
    /// Hints on or off.
    Hints,
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

/// One row of the table.
#[derive(Clone, Copy, Debug)]
pub struct Binding {
    /// The keys, any of them.
    pub keys: &'static [Key],
    /// What they ask for.
    pub action: Action,
    /// The keys as footer and help write them; empty where the row above speaks for both.
    pub shown: &'static str,
    /// One or two words for the footer; empty where the footer leaves it out.
    pub label: &'static str,
    /// The line on the help page.
    pub help: &'static str,
}

const fn row(
    keys: &'static [Key],
    action: Action,
    shown: &'static str,
    label: &'static str,
    help: &'static str,
) -> Binding {
    Binding {
        keys,
        action,
        shown,
        label,
        help,
    }
}

/// Every key of the board, in the order of the job.
#[rustfmt::skip]
pub const KEYS: &[Binding] = &[
    row(&[Key::Char('l')], Action::Mark(Did::Lock), "l", "lock", "locked the car"),
    row(&[Key::Char('o')], Action::Mark(Did::Unlock), "o", "unlock", "unlocked, or opened a door"),
    row(&[Key::Char('p')], Action::Mark(Did::Pull), "p", "pull", "pulled a fuse or relay"),
    row(&[Key::Char('r')], Action::Mark(Did::Refit), "r", "refit", "put it back"),
    row(&[Key::Char('u')], Action::Mark(Did::Unplug), "u", "unplug", "parted a connector"),
    row(&[Key::Char('i')], Action::Mark(Did::Plug), "i", "plug in", "joined it again"),
    row(&[Key::Char('s')], Action::Mark(Did::Swap), "s", "swap", "fitted a new part"),
    row(&[Key::Char('z')], Action::Mark(Did::Zero), "z", "zero", "zeroed the clamp"),
    row(&[Key::Char('n')], Action::Mark(Did::Note), "n", "note", "write something down"),
    row(&[Key::Backspace], Action::Strike, "Bksp", "strike", "withdraw the last mark"),
    row(&[Key::Char('m')], Action::Reading, "m", "reading", "type a reading (or a digit)"),
    row(&[Key::Char('L')], Action::MarkLate(Did::Lock), "L O Z", "", "lock, unlock, zero: late"),
    row(&[Key::Char('O')], Action::MarkLate(Did::Unlock), "", "", ""),
    row(&[Key::Char('Z')], Action::MarkLate(Did::Zero), "", "", ""),
    row(&[Key::Tab, Key::Up], Action::NextTrial, "Tab", "trials", "select a trial: its why"),
    row(&[Key::BackTab, Key::Down], Action::PreviousTrial, "Down", "", "select a newer trial"),
    row(&[Key::Char('g')], Action::Scale, "g", "scale", "current axis: log or linear"),
    row(&[Key::Char('+'), Key::Char('=')], Action::ZoomIn, "+ -", "zoom", "shorter or longer time"),
    row(&[Key::Char('-'), Key::Char('_')], Action::ZoomOut, "", "", ""),
    row(&[Key::Left, Key::PageUp], Action::Earlier, "Left Right", "", "look at earlier or later"),
    row(&[Key::Right, Key::PageDown], Action::Later, "", "", ""),
    row(&[Key::Home, Key::End, Key::Char('0')], Action::ToNow, "Home", "", "back to now"),
    row(&[Key::Char('h')], Action::Hints, "h", "", "hints on or off"),
    row(&[Key::Char('e')], Action::Export, "e", "export", "write a report or a table"),
    row(&[Key::Char('?')], Action::Help, "?", "help", "this page"),
    row(&[Key::Esc], Action::Dismiss, "Esc", "", "close page, clear caution"),
    row(&[Key::Char('q'), Key::Ctrl('c')], Action::Quit, "q", "quit", "quit (Ctrl-C too)"),
    row(&[Key::Ctrl('z')], Action::Suspend, "^Z", "", "pause: to the command line"),
    row(&[Key::Ctrl('l')], Action::Redraw, "^L", "", "draw the screen anew"),
];

/// What `key` asks for. With a meter that is read by eye, a digit begins a reading.
#[must_use]
pub fn action(key: Key, manual: bool) -> Option<Action> {
    if manual && matches!(key, Key::Char(c) if c.is_ascii_digit()) {
        return Some(Action::Reading);
    }
    KEYS.iter()
        .find(|binding| binding.keys.contains(&key))
        .map(|binding| binding.action)
        .filter(|action| manual || *action != Action::Reading)
}

/// The rows that apply: typing readings only with a meter that is read by eye.
pub fn rows(manual: bool) -> impl Iterator<Item = &'static Binding> {
    KEYS.iter()
        .filter(move |binding| manual || binding.action != Action::Reading)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_key_means_two_things() {
        let all: Vec<Key> = KEYS.iter().flat_map(|row| row.keys).copied().collect();
        for (n, key) in all.iter().enumerate() {
            assert!(!all[n + 1..].contains(key), "{key:?} stands twice");
        }
    }

    #[test]
    fn every_verb_has_a_key() {
        for did in Did::ALL {
            assert!(
                KEYS.iter().any(|row| row.action == Action::Mark(did)),
                "{did}"
            );
        }
    }

    #[test]
    fn readings_are_typed_only_where_the_meter_is_read_by_eye() {
        assert_eq!(action(Key::Char('0'), true), Some(Action::Reading));
        assert_eq!(action(Key::Char('0'), false), Some(Action::ToNow));
        assert_eq!(action(Key::Char('m'), false), None);
        assert!(rows(true).count() > rows(false).count());
    }
}
