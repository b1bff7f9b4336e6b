//! `check`: is this session whole and unaltered?

use std::io::{self, Write};
use std::process::ExitCode;

use anyhow::Result;

use crate::reading::sanitize;
use crate::shell::files::session_file;
use crate::shell::flags::Check;

pub(super) fn run(flags: &Check) -> Result<ExitCode> {
    let report = session_file::check(&flags.file)?;
    let mut out = io::stdout().lock();
    let file = flags.file.display().to_string();
    writeln!(out, "{}: {report}", sanitize::text(&file))?;
    for damage in &report.damage {
        writeln!(out, "  {}", sanitize::text(&damage.to_string()))?;
    }
    Ok(if report.is_whole() {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    })
}
