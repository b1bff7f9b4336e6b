//! `check`: is this session whole and unaltered?

use std::io::{self, Write};
use std::process::ExitCode;

use anyhow::Result;

use crate::shell::flags::Check;
use crate::shell::session_file;

pub(super) fn run(flags: &Check) -> Result<ExitCode> {
    let report = session_file::check(&flags.file)?;
    let mut out = io::stdout().lock();
    writeln!(out, "{}: {report}", flags.file.display())?;
    for damage in &report.damage {
        writeln!(out, "  {damage}")?;
    }
    Ok(if report.is_whole() {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    })
}
