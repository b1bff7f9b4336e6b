//! Flags in, `shell::run`, an exit code out.

use std::process::ExitCode;

use clap::Parser;
use lullboard::shell;

fn main() -> ExitCode {
    shell::run(shell::flags::Flags::parse())
}
