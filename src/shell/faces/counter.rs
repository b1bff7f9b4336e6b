//! How far long work without a board has come: one line on standard error that counts up, where
//! somebody sees it.

use std::io::{self, IsTerminal, Write};

use crate::shell::clock::Stopwatch;

/// Work that is over sooner than this says nothing, in milliseconds.
const SILENT_MS: u128 = 500;

/// The line.
#[derive(Debug)]
pub struct Counter {
    watch: Stopwatch,
    seen: bool,
    shown: bool,
}

impl Default for Counter {
    /// Begins to count; shows nothing in a pipe or a file.
    fn default() -> Self {
        Self {
            watch: Stopwatch::start(),
            seen: io::stderr().is_terminal(),
            shown: false,
        }
    }
}

impl Counter {
    /// So far.
    pub fn show(&mut self, percent: u8) {
        if self.seen && self.watch.elapsed().as_millis() >= SILENT_MS {
            self.shown = true;
            // Nobody may be there to see it: the work goes on.
            let _ = write!(io::stderr(), "\r{percent:3} %");
        }
    }

    /// Takes the line away.
    pub fn clear(&mut self) {
        if self.shown {
            self.shown = false;
            let _ = write!(io::stderr(), "\r      \r");
        }
    }
}
