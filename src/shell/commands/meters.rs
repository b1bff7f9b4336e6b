//! `meters`: where a meter may be, and what was heard there. Nothing is sent, but to the one meter
//! that `--read` names.

mod read;

use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::thread;

use anyhow::Result;

use crate::reading::Elapsed;
use crate::shell::clock::Clock;
use crate::shell::flags::Meters;
use crate::shell::source::listen::{self, Verdict};
use crate::shell::source::ports::{self, Port};

const NONE: &str = "no serial port found: plug the meter's adapter in, or look whether the system \
                    has a driver for it. A meter without one can be read by eye: --meter manual:";

pub(super) fn run(flags: &Meters) -> Result<ExitCode> {
    if let Some(uri) = &flags.read {
        return read::run(uri);
    }
    let ports = if flags.ports.is_empty() {
        ports::ports()
    } else {
        flags.ports.iter().cloned().map(named).collect()
    };
    let mut out = io::stdout().lock();
    if ports.is_empty() {
        writeln!(out, "{NONE}")?;
    }
    // All at once: a silent port takes its full time.
    let heard = thread::scope(|scope| {
        let listeners: Vec<_> = ports
            .iter()
            .map(|port| scope.spawn(|| hear(&port.path, flags.listen)))
            .collect();
        listeners
            .into_iter()
            .map(|listener| listener.join().ok())
            .collect::<Vec<_>>()
    });
    for (port, heard) in ports.iter().zip(heard) {
        writeln!(out, "{port}")?;
        writeln!(out, "  {}", in_words(port, heard.as_ref()))?;
    }
    Ok(ExitCode::SUCCESS)
}

fn named(path: PathBuf) -> Port {
    Port {
        path,
        ..Port::default()
    }
}

fn hear(path: &Path, each_s: f64) -> Verdict {
    let clock = Clock::start(Elapsed::ZERO, 1.0);
    listen::listen(path, &listen::SPEEDS, each_s, &clock, || true)
}

pub(super) fn in_words(port: &Port, heard: Option<&Verdict>) -> String {
    let stable = port.stable().display();
    match heard {
        Some(Verdict::Sure {
            format,
            baud,
            example,
        }) => format!(
            "readings, the last {example}: --meter 'serial:{stable}?baud={baud}&format={format}'"
        ),
        Some(Verdict::Unsure { baud, sample }) => format!(
            "something at {baud} baud that is no plain reading: {sample}. \
             Try --meter 'serial:{stable}?baud={baud}' with column=, field= or unit="
        ),
        Some(Verdict::Silent) => {
            "nothing was heard: is the meter on, and its data output switched on?".into()
        }
        Some(Verdict::NotOpened(why)) => why.to_string(),
        Some(Verdict::Lost(why)) => format!("went away while listening: {why}"),
        None => "listening failed".into(),
    }
}
