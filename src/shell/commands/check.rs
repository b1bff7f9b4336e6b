//! `check`: is this session whole and unaltered?

use std::io::{self, Write};
use std::process::ExitCode;

use anyhow::Result;

use crate::reading::harmless;
use crate::shell::flags::Check;
use crate::shell::session_file;

pub(super) fn run(flags: &Check) -> Result<ExitCode> {
    let report = session_file::check(&flags.file)?;
    let mut out = io::stdout().lock();
    let file = flags.file.display().to_string();
    writeln!(out, "{}: {report}", harmless::text(&file))?;
    for damage in &report.damage {
        writeln!(out, "  {}", harmless::text(&damage.to_string()))?;
    }
    Ok(if report.is_whole() {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    })
}
