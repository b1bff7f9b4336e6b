//! `meters`: where a meter may be, and what was heard there. Nothing is sent, but to the one meter
//! that `--read` names, and the one query that `--ask` names.

mod ask;
mod read;

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::Result;

use crate::shell::flags::Meters;
use crate::shell::ports::list::{self, Port};
use crate::shell::ports::{heard, listen};
use crate::shell::printed;
use crate::shell::warn;

const NONE: &str = "no serial port found: plug the meter's adapter in, or look whether the system \
                    has a driver for it. A meter without one can be read by eye: --meter manual:";

/// As the arguments' own reader says it.
const WRONG_ARGUMENTS: u8 = 2;

pub(super) fn run(flags: &Meters) -> Result<ExitCode> {
    if let Some(uri) = &flags.read {
        read::run(uri)?;
        return Ok(ExitCode::SUCCESS);
    }
    if let Some(query) = flags.ask {
        let [port] = flags.ports.as_slice() else {
            let found = flags.ports.len();
            warn(&format!(
                "--ask sends to one port only: expected one PORT, found {found}"
            ));
            return Ok(ExitCode::from(WRONG_ARGUMENTS));
        };
        ask::run(query, port)?;
        return Ok(ExitCode::SUCCESS);
    }
    let ports = if flags.ports.is_empty() {
        list::ports()
    } else {
        flags.ports.iter().cloned().map(named).collect()
    };
    let mut out = printed::out();
    if ports.is_empty() {
        writeln!(out, "{NONE}")?;
    }
    // All at once: a silent port takes its full time.
    let plans: Vec<_> = ports
        .iter()
        .map(|port| (port.path.as_path(), listen::plan(&port.path, None)))
        .collect();
    let verdicts = heard::counted_down(&plans, flags.listen);
    for (port, verdict) in ports.iter().zip(&verdicts) {
        writeln!(out, "{port}")?;
        writeln!(out, "  {}", heard::in_words(port.stable(), verdict))?;
    }
    Ok(ExitCode::SUCCESS)
}

fn named(path: PathBuf) -> Port {
    Port {
        path,
        ..Port::default()
    }
}
