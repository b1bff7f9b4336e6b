//! What there is to say about a file besides its entries, in bounded memory.

use std::fmt;

use crate::journal::recover::Damage;

/// What there is to say about a file that was used all the same: the first few, and how many.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FileNotices {
    /// The first few, word for word.
    pub first: Vec<String>,
    /// How many more.
    pub more: u64,
}

impl FileNotices {
    const KEPT: usize = 20;

    pub(in crate::shell::files) fn add(&mut self, notice: impl Into<String>) {
        if self.first.len() < Self::KEPT {
            self.first.push(notice.into());
        } else {
            self.more = self.more.saturating_add(1);
        }
    }

    pub(super) fn damage(&mut self, damage: &Damage) {
        self.add(format!("{damage}: passed over"));
    }
}

impl fmt::Display for FileNotices {
    /// One notice a line.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.first.join("\n"))?;
        if self.more > 0 {
            write!(f, "\nand {} more", self.more)?;
        }
        Ok(())
    }
}
