//! `man`: the manual pages as files, where `man` looks for them below a folder.

use std::fs;
use std::io::Write;
use std::path::Path;

use anyhow::{Context, Result};

use crate::shell::files::whole::Growing;
use crate::shell::man_pages;

pub(super) fn run(folder: &Path) -> Result<()> {
    for page in man_pages::all()? {
        let section = folder.join(page.folder);
        fs::create_dir_all(&section).with_context(|| section.display().to_string())?;
        let path = section.join(&page.file);
        let place = || path.display().to_string();
        let mut out = Growing::beside(&path).with_context(place)?;
        out.write_all(&page.roff).with_context(place)?;
        out.replace(&path).with_context(place)?;
    }
    Ok(())
}
