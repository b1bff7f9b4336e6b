//! CSV rows out of bytes, in bounded memory. What the cells mean stands in `columns`.

use std::io::{self, BufRead, Read};

use csv::{ByteRecord, ReaderBuilder};

use super::super::{count_of, excerpt};
use super::ImportError;

/// No row is longer: a quote that is never closed must not swallow the whole file.
const LONGEST_ROW: usize = 1 << 20;

/// One row and the line on which it begins.
#[derive(Clone, Copy, Debug)]
pub(super) struct Row<'a> {
    pub(super) line: u64,
    pub(super) cells: &'a ByteRecord,
}

impl<'a> Row<'a> {
    /// A cell without the blanks around it; empty when the row is too short.
    pub(super) fn cell(self, column: usize) -> Result<&'a str, ImportError> {
        let bytes = self.cells.get(column).unwrap_or(b"").trim_ascii();
        std::str::from_utf8(bytes).map_err(|_| {
            self.refuse(
                excerpt(bytes),
                "text in UTF-8: save the file as UTF-8 and try again",
            )
        })
    }

    /// A cell as an error shows it, whatever is in it.
    pub(super) fn shown(self, column: usize) -> String {
        excerpt(self.cells.get(column).unwrap_or(b"").trim_ascii())
    }

    pub(super) fn refuse(
        self,
        found: impl Into<String>,
        expected: impl Into<String>,
    ) -> ImportError {
        ImportError::Row {
            line: self.line,
            found: found.into(),
            expected: expected.into(),
        }
    }
}

/// Reads rows one after the other into the same memory.
#[derive(Debug)]
pub(super) struct Rows<R> {
    csv: csv::Reader<Metered<R>>,
    cells: ByteRecord,
    line: u64,
    delimiter: u8,
    width: usize,
}

impl<R: BufRead> Rows<R> {
    pub(super) fn new(mut bytes: R) -> Result<Self, ImportError> {
        let head = bytes.fill_buf()?;
        let bom = "\u{feff}".as_bytes();
        let skip = if head.starts_with(bom) { bom.len() } else { 0 };
        let head = head.get(skip..).unwrap_or(&[]);
        if head.is_empty() {
            return Err(ImportError::Empty);
        }
        if head.starts_with(&[0xff, 0xfe]) || head.starts_with(&[0xfe, 0xff]) {
            return Err(ImportError::Row {
                line: 1,
                found: "text in UTF-16".into(),
                expected: "UTF-8: save the file as UTF-8 and try again".into(),
            });
        }
        if let Some(at) = head.iter().position(|byte| is_binary(*byte)) {
            let before = head.get(..at).unwrap_or(&[]);
            return Err(ImportError::Binary {
                line: count_of(b'\n', before).saturating_add(1),
            });
        }
        let delimiter = delimiter_of(head);
        bytes.consume(skip);
        let csv = ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(delimiter)
            .from_reader(Metered {
                bytes,
                since_row: 0,
            });
        Ok(Self {
            csv,
            cells: ByteRecord::new(),
            line: 1,
            delimiter,
            width: usize::MAX,
        })
    }

    /// What stands between two cells: a comma, or a semicolon or tab, which leave the comma to
    /// the decimals.
    pub(super) const fn delimiter(&self) -> u8 {
        self.delimiter
    }

    /// The header row; from here on no row may be wider.
    pub(super) fn header(&mut self) -> Result<Row<'_>, ImportError> {
        if !self.advance()? {
            return Err(ImportError::Empty);
        }
        self.width = self.cells.len();
        Ok(self.row())
    }

    /// Goes to the next row that is not blank; `false` at the end of the file.
    pub(super) fn advance(&mut self) -> Result<bool, ImportError> {
        loop {
            self.csv.get_mut().since_row = 0;
            let before = self.csv.position().line();
            let more = self
                .csv
                .read_byte_record(&mut self.cells)
                .map_err(|error| refusal(before, error))?;
            self.line = self.cells.position().map_or(before, csv::Position::line);
            if !more {
                return Ok(false);
            }
            let row = self.row();
            if row
                .cells
                .iter()
                .any(|cell| cell.iter().any(|byte| is_binary(*byte)))
            {
                return Err(ImportError::Binary { line: self.line });
            }
            if row
                .cells
                .iter()
                .skip(self.width)
                .any(|cell| !cell.is_empty())
            {
                return Err(row.refuse(
                    format!("{} cells", row.cells.len()),
                    format!(
                        "{} as in the header; put quotes around a cell that holds a comma",
                        self.width
                    ),
                ));
            }
            if row.cells.iter().any(|cell| !cell.trim_ascii().is_empty()) {
                return Ok(true);
            }
        }
    }

    pub(super) const fn row(&self) -> Row<'_> {
        Row {
            line: self.line,
            cells: &self.cells,
        }
    }
}

/// Control characters that no text has; line ends, tabs and form feeds are text.
const fn is_binary(byte: u8) -> bool {
    matches!(byte, 0..=8 | 14..=26 | 28..=31)
}

/// The commonest separator on the first line that holds anything.
fn delimiter_of(head: &[u8]) -> u8 {
    let line = head
        .split(|byte| *byte == b'\n')
        .find(|line| !line.trim_ascii().is_empty())
        .unwrap_or(&[]);
    // Of equals the last counts: the comma.
    [b'\t', b';', b',']
        .into_iter()
        .max_by_key(|delimiter| count_of(*delimiter, line))
        .unwrap_or(b',')
}

fn refusal(line: u64, error: csv::Error) -> ImportError {
    let shown = error.to_string();
    let csv::ErrorKind::Io(error) = error.into_kind() else {
        return ImportError::Row {
            line,
            found: shown,
            expected: "a row of a CSV".into(),
        };
    };
    let endless = error
        .get_ref()
        .and_then(|inner| inner.downcast_ref::<TooLong>());
    if endless.is_none() {
        return ImportError::Io(error);
    }
    ImportError::Row {
        line,
        found: format!("a row of more than {LONGEST_ROW} bytes"),
        expected: "a row on its own line: is a quote never closed?".into(),
    }
}

/// Counts what is read for one row, and stops when it is too much for any.
#[derive(Debug)]
struct Metered<R> {
    bytes: R,
    since_row: usize,
}

#[derive(Debug, thiserror::Error)]
#[error("a row without end")]
struct TooLong;

impl<R: Read> Read for Metered<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.since_row > LONGEST_ROW {
            return Err(io::Error::other(TooLong));
        }
        let n = self.bytes.read(buffer)?;
        self.since_row = self.since_row.saturating_add(n);
        Ok(n)
    }
}
