//! The edge: the only room that touches time, files, threads, ports and the terminal.

pub mod card_file;
pub mod clock;
mod commands;
pub mod faces;
mod farewell;
pub mod feed;
pub mod files;
mod first_session;
pub mod flags;
pub mod gaps;
pub mod link;
pub mod machine;
pub mod man_pages;
pub mod mark_lines;
pub mod meter_page;
pub mod outbox;
pub mod outside;
pub mod ports;
pub mod printed;
pub mod recording;
mod rescue;
pub mod run;
pub mod settings;
pub mod signals;
pub mod simulated;
pub mod stop;
pub mod threads;
mod toml_line;
mod volts_feed;
pub mod wiring;
pub mod zone;

pub use clock::Clock;
pub use outbox::Outbox;
pub use settings::Settings;
pub use stop::Stop;

use std::io::{self, Write};
use std::path::Path;
use std::process::ExitCode;

use clap::CommandFactory;

use crate::reading::sanitize;
use files::session_file::FileNotices;
use flags::Flags;

/// Does what the command line asks and answers with the program's exit code: 0 done, 1 the input
/// could not be used, and what `judge` has to say besides. Wrong arguments (2) never get here.
pub fn run(flags: Flags) -> ExitCode {
    let settings = flags.settings.as_deref();
    let done = match flags.command {
        Some(command) => commands::run(command, settings),
        None if faces::terminal::is_here() => commands::ask(settings),
        None => return help(),
    };
    match done {
        Ok(code) => code,
        Err(error) if is_closed_pipe(&error) => ExitCode::SUCCESS,
        Err(error) => {
            warn(&one_line(&error));
            ExitCode::FAILURE
        }
    }
}

fn help() -> ExitCode {
    // Nobody left to read it: nothing to be done.
    let _ = Flags::command().print_help();
    ExitCode::SUCCESS
}

/// Whoever read our output has seen enough (`| head`): no failure.
fn is_closed_pipe(error: &anyhow::Error) -> bool {
    error
        .chain()
        .filter_map(|cause| cause.downcast_ref::<io::Error>())
        .any(|cause| cause.kind() == io::ErrorKind::BrokenPipe)
}

/// The chain of causes on one line, each said once: some errors repeat their cause themselves.
fn one_line(error: &anyhow::Error) -> String {
    let mut line = String::new();
    for cause in error.chain() {
        let words = cause.to_string();
        let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
        if line.is_empty() {
            line = words;
        } else if !line.ends_with(&words) {
            line = format!("{line}: {words}");
        }
    }
    line
}

/// One line on standard error.
fn warn(line: &str) {
    // With standard error closed there is nowhere to complain.
    let _ = writeln!(io::stderr(), "lullboard: {}", sanitize::text(line));
}

/// What there is to say about a file that was used all the same, on standard error.
fn warn_of(file: &Path, notices: &FileNotices) {
    for notice in notices.to_string().lines().filter(|line| !line.is_empty()) {
        warn(&format!("{}: {notice}", file.display()));
    }
}
