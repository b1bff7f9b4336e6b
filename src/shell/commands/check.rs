//! `check`: is this session whole and unaltered?

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;

use anyhow::Result;

use crate::reading::sanitize;
use crate::shell::files::session_file;
use crate::shell::printed;

pub(super) fn run(file: &Path) -> Result<ExitCode> {
    let report = session_file::check(file)?;
    let mut out = printed::out();
    let name = file.display().to_string();
    writeln!(out, "{}: {report}", sanitize::text(&name))?;
    for damage in &report.damage {
        writeln!(out, "  {}", sanitize::text(&damage.to_string()))?;
    }
    Ok(ExitCode::from(u8::from(!report.is_whole())))
}
