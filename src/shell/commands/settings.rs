//! `settings`: where the settings stand, and the file with every default.

use std::io::Write;
use std::path::Path;

use anyhow::Result;

use crate::shell::printed;
use crate::shell::settings;

/// What is printed is itself a settings file, so that it can be put where it says.
pub(super) fn run(given: Option<&Path>) -> Result<()> {
    let mut out = printed::out();
    let place = given.map(Path::to_owned).or_else(settings::place);
    match place {
        Some(path) => {
            let state = if path.exists() {
                "is there"
            } else {
                "is not there yet"
            };
            writeln!(out, "# {} ({state})", path.display())?;
        }
        None => writeln!(out, "# No place for it is known here: use --settings FILE")?,
    }
    out.write_all(settings::DEFAULT.as_bytes())?;
    // A file that cannot be used is told here too, where it is looked for.
    settings::load(given)?;
    Ok(())
}
