//! The commands, one file each: what `flags` read, done.

mod check;
mod export;
mod follow;
mod judge;
mod live;
mod meters;
mod open;
mod record;
mod rehearse;
mod settings;

use std::path::Path;
use std::process::ExitCode;

use anyhow::Result;

use super::flags::{Command, CsvFlags};
use crate::journal::import::ImportOptions;

/// Does what was asked.
///
/// # Errors
/// When an input cannot be used: what, where, and the mend.
pub(super) fn run(command: Command, given: Option<&Path>) -> Result<ExitCode> {
    // Only a board asks for the settings: a slip in them must not stop a judgement.
    let settings = || super::settings::load(given);
    match command {
        Command::Live(flags) => live::run(&flags, &settings()?),
        Command::Record(flags) => record::run(&flags),
        Command::Rehearse(flags) => rehearse::run(&flags, &settings()?),
        Command::Open(flags) => open::run(&flags, &settings()?),
        Command::Follow(flags) => follow::run(&flags, &settings()?),
        Command::Settings => settings::run(given),
        Command::Judge(flags) => judge::run(&flags),
        Command::Export(flags) => export::run(&flags),
        Command::Check(flags) => check::run(&flags),
        Command::Meters(flags) => meters::run(&flags),
    }
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
