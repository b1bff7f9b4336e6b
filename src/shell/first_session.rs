//! Whether somebody records for the first time: a file beside the settings says that they have. Without a
//! place for it nobody is taken for a beginner.

use std::fs;

use super::settings;

const NAME: &str = "first-session-begun";

/// Whether this is the first session of this user; the next one is not.
pub(super) fn begins() -> bool {
    let Some(path) = settings::place().map(|path| path.with_file_name(NAME)) else {
        return false;
    };
    if path.exists() {
        return false;
    }
    if let Some(folder) = path.parent() {
        // A folder that cannot be written costs another session with hints.
        let _ = fs::create_dir_all(folder).and_then(|()| fs::write(&path, ""));
    }
    true
}
