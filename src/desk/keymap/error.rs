//! What can be wrong with keys that the settings give.

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
