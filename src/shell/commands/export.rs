//! `export`: a recorded file written as another kind.

use std::process::ExitCode;

use anyhow::Result;

use crate::shell::counter::Counter;
use crate::shell::export;
use crate::shell::flags::Export;

pub(super) fn run(flags: &Export) -> Result<ExitCode> {
    let mut counter = Counter::new();
    let written = export::write(
        &flags.file,
        &flags.to,
        &flags.csv.options(),
        &mut |percent| {
            counter.show(percent);
        },
    );
    counter.clear();
    written?;
    Ok(ExitCode::SUCCESS)
}
