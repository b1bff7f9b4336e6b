//! `check`: is this session whole and unaltered?

use std::fs::File;
use std::io::{self, BufReader, Write};
use std::process::ExitCode;

use anyhow::{Context, Result};

use crate::journal::seal;
use crate::shell::archive::expect_file;
use crate::shell::flags::Check;

pub(super) fn run(flags: &Check) -> Result<ExitCode> {
    expect_file(&flags.file)?;
    let name = flags.file.display().to_string();
    let file = File::open(&flags.file).with_context(|| name.clone())?;
    let report = seal::check(BufReader::new(file)).with_context(|| name.clone())?;
    let mut out = io::stdout().lock();
    writeln!(out, "{name}: {report}")?;
    for damage in &report.damage {
        writeln!(out, "  {damage}")?;
    }
    Ok(if report.is_whole() {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    })
}
