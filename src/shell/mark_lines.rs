//! Lines with marks from outside: standard input, a file or a FIFO. Their end never ends a record.

use std::fs::File;
use std::io::{self, BufRead, BufReader, IsTerminal, Read};
use std::path::Path;

use anyhow::{Context, Result};

use super::{Outbox, threads};
use crate::desk::Event;

/// A longer line is no mark; its rest is another one, and refused.
const LONGEST_LINE: u64 = 4096;

/// Where lines come from.
#[derive(Debug)]
pub enum Lines {
    /// From nowhere.
    None,
    /// From standard input.
    Stdin,
    /// From this file; again from its beginning's place when it is a FIFO that was let go.
    File(std::path::PathBuf),
}

impl Lines {
    /// Those asked for: `-` is standard input. Where nothing is asked, standard input counts unless it
    /// is a terminal, which may stop a program in the background, or what the meter says.
    pub fn asked(file: Option<&Path>, by_itself: bool) -> Self {
        match file {
            Some(file) if file == Path::new("-") => Self::Stdin,
            Some(file) => Self::File(file.to_owned()),
            None if by_itself && !io::stdin().is_terminal() => Self::Stdin,
            None => Self::None,
        }
    }

    /// Tells the desk each line as it comes.
    ///
    /// # Errors
    /// When the file cannot be opened, or the system has no thread to give.
    pub fn spawn(self, outbox: &Outbox) -> Result<()> {
        let desk = outbox.clone();
        match self {
            Self::None => return Ok(()),
            Self::Stdin => threads::spawn("marks", outbox, move || {
                tell_all(io::stdin().lock(), &desk);
            })?,
            Self::File(path) => {
                let place = path.display().to_string();
                let about = path.metadata().with_context(|| place.clone())?;
                threads::spawn("marks", outbox, move || {
                    loop {
                        // Opening a FIFO waits for whoever writes into it.
                        let Ok(file) = File::open(&path) else { return };
                        if !tell_all(BufReader::new(file), &desk) || about.is_file() {
                            return;
                        }
                    }
                })?
            }
        };
        Ok(())
    }
}

/// Until the end of it; `false` when nobody listens any more, or it cannot be read.
fn tell_all(mut from: impl BufRead, desk: &Outbox) -> bool {
    loop {
        let mut line = Vec::new();
        match from
            .by_ref()
            .take(LONGEST_LINE)
            .read_until(b'\n', &mut line)
        {
            Ok(0) => return true,
            Ok(_) => {
                let line = String::from_utf8_lossy(&line).into_owned();
                if desk.try_say(Event::Line(line)).is_err() {
                    return false;
                }
            }
            Err(_) => return false,
        }
    }
}
