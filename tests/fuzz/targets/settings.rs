//! The settings: what they were read to does not hang on how the file is written, and no key means
//! two things.

use lullboard::desk::Key;
use lullboard::shell::settings::{Settings, parse};

/// The text of a settings file.
pub fn settings(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let settings: Settings = match parse(&text) {
        Ok(settings) => settings,
        Err(why) => {
            let words = why.to_string();
            assert!(!words.is_empty() && !words.contains('\n'), "{words:?}");
            return;
        }
    };
    let keys = &settings.habits.keys;
    assert!(keys.check().is_ok());
    let table: toml::Table = text.parse().expect("it was read once");
    let again = parse(&table.to_string()).ok();
    assert_eq!(again.as_ref(), Some(&settings), "{table}");
    // There is always a way out and a way to the help.
    let shown = keys.shown(false, false);
    for label in ["quit", "help"] {
        let row = shown.iter().find(|row| row.label == label);
        assert!(row.is_some_and(|row| !row.keys.is_empty()), "{label}");
    }
    let _ = keys.action(Key::Enter, true);
}
