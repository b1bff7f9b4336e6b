//! The one table of keys: what is pressed, what the footer shows, what the help page says and
//! what the settings may change all come from here.

mod action;
mod name;
mod table;

use super::{Key, Panel};
pub use action::{Action, MarkChange, PanelAction, RecordAction, ShellAction, ViewAction};
use table::{Binding, KEYS, PANEL_KEYS};

/// The keys in force: the table, and what the settings changed in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Keymap {
    rows: Vec<(&'static Binding<Action>, Vec<Key>)>,
}

/// A row as footer and help show it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShownKeys {
    /// The keys.
    pub keys: String,
    /// One or two words for the footer; empty where the footer leaves it out.
    pub label: &'static str,
    /// The line on the help page.
    pub help: &'static str,
}

/// Why keys cannot be used as the settings say.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum KeyError {
    /// No such entry in the table.
    #[error("there is no key named '{name}': expected one of {expected}")]
    NoSuchName {
        /// What was found.
        name: String,
        /// Every name.
        expected: String,
    },
    /// Not a key.
    #[error(
        "'{0}' is no key: expected one character, or Ctrl-x, Enter, Esc, Tab, Shift-Tab, \
         Backspace, Delete, Up, Down, Left, Right, PageUp, PageDown, Home, End"
    )]
    NoSuchKey(String),
    /// One key for two things.
    #[error("the key {key} means both '{first}' and '{second}': give one of them another")]
    Twice {
        /// The key.
        key: String,
        /// The one thing.
        first: &'static str,
        /// The other.
        second: &'static str,
    },
    /// Nothing would be left to quit or to get help with.
    #[error("'{0}' needs a key")]
    NoKey(&'static str),
}

impl KeyError {
    /// Whether the error is about the entry of this name.
    pub fn names(&self, entry: &str) -> bool {
        match self {
            Self::Twice { first, second, .. } => [*first, *second].contains(&entry),
            Self::NoSuchName { name, .. } => name == entry,
            Self::NoKey(name) => *name == entry,
            Self::NoSuchKey(_) => false,
        }
    }
}

impl Default for Keymap {
    fn default() -> Self {
        let row = |row: &'static Binding<Action>| (row, row.keys.to_vec());
        Self {
            rows: KEYS.iter().map(row).collect(),
        }
    }
}

impl Keymap {
    /// What `key` asks for. With a meter that is read by eye, a number begins a reading.
    pub fn action(&self, key: Key, manual: bool) -> Option<Action> {
        if manual && matches!(key, Key::Char('0'..='9' | '.' | ',')) {
            return Some(Action::Record(RecordAction::Reading));
        }
        self.rows
            .iter()
            .find(|(_, keys)| keys.contains(&key))
            .map(|(row, _)| row.action)
            .filter(|action| manual || *action != Action::Record(RecordAction::Reading))
    }

    /// The first key for this, as the footer shows it; empty when there is none.
    pub fn key_of(&self, action: Action) -> String {
        self.rows
            .iter()
            .filter(|(row, _)| row.action == action)
            .find_map(|(_, keys)| keys.first().copied())
            .map(name::short)
            .unwrap_or_default()
    }

    /// Gives the entry `name` these keys instead of its own.
    ///
    /// # Errors
    /// [`KeyError`] when there is no such entry or no such key.
    pub fn bind<T: AsRef<str>>(&mut self, name: &str, keys: &[T]) -> Result<(), KeyError> {
        let keys: Vec<Key> = keys
            .iter()
            .map(|text| name::parse(text.as_ref()))
            .collect::<Result<_, _>>()?;
        let Some((row, bound)) = self.rows.iter_mut().find(|(row, _)| row.name == name) else {
            let names: Vec<&str> = KEYS.iter().map(|row| row.name).collect();
            return Err(KeyError::NoSuchName {
                name: name.to_owned(),
                expected: names.join(", "),
            });
        };
        if keys.is_empty()
            && matches!(
                row.action,
                Action::Shell(ShellAction::Quit) | Action::View(ViewAction::Help)
            )
        {
            return Err(KeyError::NoKey(row.name));
        }
        *bound = keys;
        Ok(())
    }

    /// Whether every key means one thing.
    ///
    /// # Errors
    /// [`KeyError::Twice`] names the first key that does not.
    pub fn check(&self) -> Result<(), KeyError> {
        let all: Vec<(&'static str, Key)> = self
            .rows
            .iter()
            .flat_map(|(row, keys)| keys.iter().map(|key| (row.name, *key)))
            .collect();
        for (n, (second, key)) in all.iter().enumerate() {
            if let Some((first, _)) = all.iter().take(n).find(|(_, other)| other == key) {
                return Err(KeyError::Twice {
                    key: name::of(*key),
                    first,
                    second,
                });
            }
        }
        Ok(())
    }

    /// The rows that apply, those that belong together as one: typing readings only with a meter
    /// that is read by eye, marks only where the session is recorded.
    pub fn shown(&self, manual: bool, read_only: bool) -> Vec<ShownKeys> {
        let applies = |action: Action| match action {
            Action::Record(RecordAction::Reading) => manual && !read_only,
            Action::Record(_) => !read_only,
            Action::View(_) | Action::Shell(_) => true,
        };
        let rows = self.rows.iter().filter(|(row, _)| applies(row.action));
        joined(rows.map(|(row, keys)| (*row, keys.first().copied())))
    }
}

/// What `key` asks for while `panel` is open; `None` leaves it to the table of the board.
pub fn panel_action(panel: Panel, key: Key) -> Option<PanelAction> {
    PANEL_KEYS
        .iter()
        .filter(|(panels, _)| panels.contains(&panel))
        .find(|(_, row)| row.keys.contains(&key))
        .map(|(_, row)| row.action)
}

/// The keys of an open list, for the footer; `None` where it takes none of its own. Those of the
/// board act there too, but what the list takes is to be seen.
pub fn panel_shown(panel: Panel) -> Option<Vec<ShownKeys>> {
    let rows = PANEL_KEYS
        .iter()
        .filter(|(panels, _)| panels.contains(&panel))
        .map(|(_, row)| (row, row.keys.first().copied()));
    let mut shown = joined(rows);
    if shown.is_empty() {
        return None;
    }
    shown.push(ShownKeys {
        keys: name::short(Key::Esc),
        label: "close",
        help: "",
    });
    Some(shown)
}

/// Rows that belong together become one; rows without a key are left out.
fn joined<'a, A: 'a>(rows: impl Iterator<Item = (&'a Binding<A>, Option<Key>)>) -> Vec<ShownKeys> {
    let mut shown: Vec<ShownKeys> = Vec::new();
    for (row, key) in rows {
        let key = key.map(name::short);
        if row.joined {
            if let (Some(above), Some(key)) = (shown.last_mut(), key) {
                above.keys = format!("{} {key}", above.keys);
            }
        } else {
            shown.push(ShownKeys {
                keys: key.unwrap_or_default(),
                label: row.label,
                help: row.help,
            });
        }
    }
    shown.retain(|row| !row.keys.is_empty());
    shown
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::mark::Did;

    #[test]
    fn no_key_means_two_things() {
        assert_eq!(Keymap::default().check(), Ok(()));
        let mut keys = Keymap::default();
        keys.bind("note", &["p"]).unwrap();
        let said = keys.check().unwrap_err().to_string();
        assert!(
            said.contains("the key p means both 'pull' and 'note'"),
            "{said}"
        );
    }

    #[test]
    fn every_verb_has_a_key() {
        for did in Did::ALL {
            let action = if did == Did::Run {
                RecordAction::Run
            } else {
                RecordAction::Mark(did)
            };
            let mut rows = KEYS.iter();
            assert!(
                rows.any(|row| row.action == Action::Record(action)),
                "{did}"
            );
        }
    }

    #[test]
    fn readings_are_typed_only_where_the_meter_is_read_by_eye() {
        let keys = Keymap::default();
        assert_eq!(
            keys.action(Key::Char('0'), true),
            Some(Action::Record(RecordAction::Reading))
        );
        assert_eq!(
            keys.action(Key::Char('0'), false),
            Some(Action::View(ViewAction::ToNow))
        );
        assert_eq!(keys.action(Key::Char('m'), false), None);
        assert!(keys.shown(true, false).len() > keys.shown(false, false).len());
        assert!(keys.shown(false, true).len() < keys.shown(false, false).len());
    }

    #[test]
    fn another_key_is_taken_shown_and_its_old_one_is_free() {
        let mut keys = Keymap::default();
        keys.bind("lock", &["F", "Ctrl-k"]).unwrap();
        assert_eq!(
            keys.action(Key::Char('F'), false),
            Some(Action::Record(RecordAction::Mark(Did::Lock)))
        );
        assert_eq!(
            keys.action(Key::Ctrl('k'), false),
            Some(Action::Record(RecordAction::Mark(Did::Lock)))
        );
        assert_eq!(keys.action(Key::Char('l'), false), None);
        assert_eq!(
            keys.shown(false, false).first().map(|row| row.keys.clone()),
            Some("F".into())
        );
    }

    #[test]
    fn names_that_are_none_are_told() {
        let mut keys = Keymap::default();
        assert!(
            keys.bind("locks", &["x"])
                .unwrap_err()
                .to_string()
                .contains("lock")
        );
        assert!(keys.bind("lock", &["Hyper-x"]).is_err());
        assert!(keys.bind::<&str>("quit", &[]).is_err());
        assert!(keys.bind::<&str>("zoom-in", &[]).is_ok());
    }

    #[test]
    fn names_of_entries_are_unique() {
        for (n, row) in KEYS.iter().enumerate() {
            assert!(KEYS.iter().skip(n + 1).all(|other| other.name != row.name));
        }
    }
}
