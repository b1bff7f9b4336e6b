//! `help`: what `--help` of a command prints, or the page about meters.

use std::io::Write;
use std::process::ExitCode;

use anyhow::Result;
use clap::CommandFactory;
use clap::error::ErrorKind;

use crate::shell::flags::Flags;
use crate::shell::meter_page::{self, Plain};
use crate::shell::printed;

/// The topic that is no command.
const METER: &str = "meter";

pub(super) fn run(topic: Option<&str>) -> Result<ExitCode> {
    let mut program = Flags::command();
    program.build();
    let mut out = printed::out();
    match topic {
        None => program.print_help()?,
        Some(METER) => write!(out, "{}", Plain(meter_page::page()))?,
        Some(topic) => {
            let Some(command) = program.find_subcommand_mut(topic) else {
                return unknown(program, topic);
            };
            command.print_help()?;
        }
    }
    Ok(ExitCode::SUCCESS)
}

/// Told as every other wrong argument is.
fn unknown(mut program: clap::Command, topic: &str) -> Result<ExitCode> {
    let words = format!(
        "no help on '{topic}': expected {METER} or a command; 'lullboard help' lists them\n"
    );
    let error = program.error(ErrorKind::InvalidSubcommand, words);
    error.print()?;
    let code = u8::try_from(error.exit_code())?;
    Ok(ExitCode::from(code))
}
