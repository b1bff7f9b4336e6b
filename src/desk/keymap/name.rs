//! Keys as text: how the settings write them and how footer and help show them.

use super::KeyError;
use crate::desk::Key;

const NAMED: [(&str, &str, Key); 14] = [
    ("Enter", "Enter", Key::Enter),
    ("Esc", "Esc", Key::Esc),
    ("Backspace", "Bksp", Key::Backspace),
    ("Delete", "Del", Key::Delete),
    ("Tab", "Tab", Key::Tab),
    ("Shift-Tab", "S-Tab", Key::BackTab),
    ("Left", "Left", Key::Left),
    ("Right", "Right", Key::Right),
    ("Up", "Up", Key::Up),
    ("Down", "Down", Key::Down),
    ("PageUp", "PgUp", Key::PageUp),
    ("PageDown", "PgDn", Key::PageDown),
    ("Home", "Home", Key::Home),
    ("End", "End", Key::End),
];

pub(super) fn parse(text: &str) -> Result<Key, KeyError> {
    let unknown = || KeyError::NoSuchKey(text.to_owned());
    if let Some((_, _, key)) = NAMED
        .iter()
        .find(|(name, _, _)| name.eq_ignore_ascii_case(text))
    {
        return Ok(*key);
    }
    let one = |text: &str| {
        let mut chars = text.chars();
        let first = chars.next().filter(|c| !c.is_control());
        first.filter(|_| chars.next().is_none())
    };
    match text.strip_prefix("Ctrl-") {
        // A terminal cannot tell Ctrl-I, Ctrl-J and Ctrl-M from Tab, Line Feed and Enter.
        Some(rest) => one(rest)
            .map(|c| c.to_ascii_lowercase())
            .filter(|c| c.is_ascii_lowercase() && !matches!(c, 'i' | 'j' | 'm'))
            .map(Key::Ctrl)
            .ok_or_else(unknown),
        None => one(text).map(Key::Char).ok_or_else(unknown),
    }
}

/// As the settings write it.
pub(super) fn of(key: Key) -> String {
    if let Key::Char(c) = key {
        c.to_string()
    } else if let Key::Ctrl(c) = key {
        format!("Ctrl-{c}")
    } else {
        word(key, |row| row.0)
    }
}

/// As the footer shows it.
pub(super) fn short(key: Key) -> String {
    if key == Key::Char(' ') {
        "Space".into()
    } else if let Key::Char(c) = key {
        c.to_string()
    } else if let Key::Ctrl(c) = key {
        format!("^{}", c.to_ascii_uppercase())
    } else {
        word(key, |row| row.1)
    }
}

/// The name of a key that is no character.
fn word(key: Key, pick: impl Fn(&(&'static str, &'static str, Key)) -> &'static str) -> String {
    NAMED
        .iter()
        .find(|(_, _, named)| *named == key)
        .map(|row| pick(row).to_owned())
        .unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_reads_back() {
        let keys = NAMED.iter().map(|row| row.2);
        for key in keys.chain([Key::Char('L'), Key::Char('?'), Key::Ctrl('z')]) {
            assert_eq!(parse(&of(key)), Ok(key));
            assert!(!short(key).is_empty());
        }
        for text in ["", "ab", "Ctrl-", "Ctrl-m", "Ctrl-1", "\t"] {
            assert!(parse(text).is_err(), "{text:?}");
        }
    }
}
