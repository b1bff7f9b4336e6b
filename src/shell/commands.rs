//! The commands, one file each: what `flags` read, done.

mod check;
mod completions;
mod drop;
mod export;
mod follow;
mod help;
mod judge;
mod man;
mod meters;
mod open;
mod record;
mod rehearse;
mod settings;
mod standing;
mod start;

use std::path::Path;
use std::process::ExitCode;

use anyhow::Result;

use super::flags::{Command, CsvFlags};
use crate::journal::import::ImportOptions;

/// Asks what to do, on the start card.
///
/// # Errors
/// When the terminal refuses, or what was chosen cannot be used.
pub(super) fn ask(given: Option<&Path>) -> Result<ExitCode> {
    start::run(&super::settings::load(given)?)?;
    Ok(ExitCode::SUCCESS)
}

/// Does what was asked.
///
/// # Errors
/// When an input cannot be used: what, where, and the mend.
pub(super) fn run(command: Command, given: Option<&Path>) -> Result<ExitCode> {
    // Only a recording or a board asks for the settings: a slip in them must not stop a judgement.
    let settings = || super::settings::load(given);
    match command {
        Command::Live(flags) => record::on_board(&flags, &settings()?)?,
        Command::Record(flags) => record::in_lines(&flags, &settings()?)?,
        Command::Rehearse(flags) => rehearse::run(&flags, &settings()?)?,
        Command::Open(flags) => open::run(&flags, &settings()?)?,
        Command::Follow { file } => follow::run(&file, &settings()?)?,
        Command::Settings => settings::run(given)?,
        Command::Judge(flags) => return judge::run(&flags),
        Command::Export(flags) => export::run(&flags)?,
        Command::Check { file } => return check::run(&file),
        Command::Meters(flags) => return meters::run(&flags),
        Command::Standing(flags) => standing::run(&flags)?,
        Command::Drop(flags) => drop::run(&flags)?,
        Command::Completions { shell } => completions::run(shell)?,
        Command::Man { folder } => man::run(&folder)?,
        Command::Help { topic } => return help::run(topic.as_deref()),
    }
    Ok(ExitCode::SUCCESS)
}

impl CsvFlags {
    fn options(&self) -> ImportOptions {
        ImportOptions {
            time_col: self.time_col.clone(),
            current_col: self.current_col.clone(),
            unit: self.unit,
        }
    }
}
