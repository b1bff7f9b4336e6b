//! `completions`: what a shell needs to complete commands and flags, on standard output.

use std::io::Write;

use anyhow::Result;
use clap::{Command, CommandFactory};
use clap_complete::Shell;

use crate::shell::flags::Flags;
use crate::shell::printed;

pub(super) fn run(shell: Shell) -> Result<()> {
    let mut program = visible(&Flags::command());
    // Into memory first: the generator ends the program where its writer fails.
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut program, "lullboard", &mut script);
    printed::out().write_all(&script)?;
    Ok(())
}

/// The command without what is hidden, which the generators would offer.
fn visible(command: &Command) -> Command {
    let arguments = command.get_arguments();
    let commands = command.get_subcommands();
    let mut kept = Command::new(command.get_name().to_owned())
        .disable_help_subcommand(true)
        .args(arguments.filter(|arg| !arg.is_hide_set()).cloned())
        .subcommands(commands.filter(|one| !one.is_hide_set()).map(visible));
    if let Some(about) = command.get_about() {
        kept = kept.about(about.clone());
    }
    if let Some(version) = command.get_version() {
        kept = kept.version(version.to_owned());
    }
    kept
}
