//! One row of a CSV: its cells, and how it is refused.

use std::io;

use csv::ByteRecord;

use crate::reading::sanitize::excerpt;

/// What is said of a file that is none of those which are read here.
#[derive(Debug)]
pub struct Expected {
    /// Of an empty one.
    pub some: &'static str,
    /// Of one with a header alone.
    pub rows: &'static str,
    /// Of one that is not text.
    pub text: &'static str,
}

/// Why a CSV cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum CsvError {
    /// There is not enough in it.
    #[error("{0}")]
    TooLittle(&'static str),
    /// Not text.
    #[error(
        "line {line}: found the byte 0x{byte:02x}, which stands in no text; expected {expected}"
    )]
    Binary {
        /// Where the first byte stands that gives it away.
        line: u64,
        /// Which one.
        byte: u8,
        /// What was expected.
        expected: &'static str,
    },
    /// A row, the header included, that cannot be read.
    #[error("line {line}: found {found}, expected {expected}")]
    Row {
        /// Which line.
        line: u64,
        /// What was found.
        found: String,
        /// What was expected, and the mend where there is one.
        expected: String,
    },
    /// It cannot be read.
    #[error(transparent)]
    Io(#[from] io::Error),
}

/// One row and the line on which it begins.
#[derive(Clone, Copy, Debug)]
pub struct CsvRow<'a> {
    line: u64,
    cells: &'a ByteRecord,
}

impl<'a> CsvRow<'a> {
    pub(super) const fn new(line: u64, cells: &'a ByteRecord) -> Self {
        Self { line, cells }
    }

    /// How many cells it has.
    pub fn width(self) -> usize {
        self.cells.len()
    }

    /// A cell without the blanks around it; empty when the row is too short.
    ///
    /// # Errors
    /// When it is no text.
    pub fn cell(self, column: usize) -> Result<&'a str, CsvError> {
        let bytes = self.bytes(column);
        std::str::from_utf8(bytes).map_err(|_| {
            self.refuse(
                excerpt(bytes),
                "text in UTF-8: save the file as UTF-8 and try again",
            )
        })
    }

    /// All cells, as [`CsvRow::cell`].
    ///
    /// # Errors
    /// When one is no text.
    pub fn texts(self) -> Result<Vec<&'a str>, CsvError> {
        (0..self.width()).map(|column| self.cell(column)).collect()
    }

    /// A cell as an error shows it, whatever is in it.
    pub fn shown(self, column: usize) -> String {
        match self.bytes(column) {
            [] => "nothing".into(),
            bytes => excerpt(bytes),
        }
    }

    /// The cell in this column is not what was expected.
    pub fn refuse_cell(self, column: usize, expected: impl Into<String>) -> CsvError {
        self.refuse(self.shown(column), expected)
    }

    /// The row is not what was expected.
    pub fn refuse(self, found: impl Into<String>, expected: impl Into<String>) -> CsvError {
        CsvError::Row {
            line: self.line,
            found: found.into(),
            expected: expected.into(),
        }
    }

    /// The row has not as many cells as the header.
    pub fn refuse_width(self, width: usize) -> CsvError {
        self.refuse(
            format!("{} cells", self.width()),
            format!("{width} as in the header; put quotes around a cell that holds a comma"),
        )
    }

    fn bytes(self, column: usize) -> &'a [u8] {
        self.cells.get(column).unwrap_or(b"").trim_ascii()
    }
}
