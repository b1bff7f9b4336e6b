//! `export`: a recorded file written as another kind.

use std::process::ExitCode;

use anyhow::Result;

use crate::shell::export;
use crate::shell::flags::Export;

pub(super) fn run(flags: &Export) -> Result<ExitCode> {
    export::write(&flags.file, &flags.to, &flags.csv.options())?;
    Ok(ExitCode::SUCCESS)
}
