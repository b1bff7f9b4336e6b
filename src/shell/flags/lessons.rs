//! What the help of each command teaches besides its flags: examples that can be typed as they
//! stand, and exit codes. The manual pages take them from here too.

mod table;

use std::fmt;

/// The widest line of any help, also where it is piped.
pub const COLUMNS: usize = 80;

/// What there is to know of one command.
#[derive(Debug, PartialEq, Eq)]
pub struct Lesson {
    /// The command; `lullboard` for the program itself.
    pub of: &'static str,
    /// What it is for, and the line that does it.
    pub examples: &'static [(&'static str, &'static str)],
    /// Its exit codes; none where it has only the usual ones.
    pub codes: &'static [(u8, &'static str)],
}

/// Where the usual exit codes stand.
pub const USUAL: &str = "Exit codes: as 'lullboard --help' lists them.";

/// The lesson of a command.
pub fn of(command: &str) -> Option<&'static Lesson> {
    table::LESSONS.iter().find(|lesson| lesson.of == command)
}

/// What stands below the flags in the help of a command.
pub(super) fn after(command: &str) -> String {
    of(command).map(ToString::to_string).unwrap_or_default()
}

impl fmt::Display for Lesson {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "Examples:")?;
        for (what, line) in self.examples {
            if !what.is_empty() {
                writeln!(f, "  # {what}")?;
            }
            writeln!(f, "  {line}")?;
        }
        if self.codes.is_empty() {
            return write!(f, "\n{USUAL}");
        }
        write!(f, "\nExit codes:")?;
        for (code, words) in self.codes {
            write!(f, "\n  {code}  {words}")?;
        }
        Ok(())
    }
}
