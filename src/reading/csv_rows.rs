//! Rows of a CSV out of bytes, in bounded memory, each with the line on which it begins: of a log
//! and of a fuse map. What the cells mean is the business of whoever reads them.

mod row;

use std::io::{self, BufRead, Read};

use csv::{ByteRecord, ReaderBuilder};

pub use row::{CsvError, CsvRow, Expected};

use super::number::count_of;

/// No row is longer: a quote that is never closed must not swallow the whole file.
const LONGEST_ROW: usize = 1 << 20;

/// Reads rows one after the other into the same memory.
#[derive(Debug)]
pub struct CsvRows<R> {
    csv: csv::Reader<Guarded<R>>,
    expected: &'static Expected,
    cells: ByteRecord,
    line: u64,
    /// Lines that were taken past the reader of rows.
    skipped: u64,
    delimiter: u8,
    width: usize,
}

impl<R: BufRead> CsvRows<R> {
    /// Looks at the beginning: what parts the cells, and whether this is text at all.
    ///
    /// # Errors
    /// [`CsvError`] when it is not.
    pub fn new(mut bytes: R, expected: &'static Expected) -> Result<Self, CsvError> {
        let head = bytes.fill_buf()?;
        let bom = "\u{feff}".as_bytes();
        let skip = if head.starts_with(bom) { bom.len() } else { 0 };
        let head = head.get(skip..).unwrap_or(&[]);
        if head.is_empty() {
            return Err(CsvError::TooLittle(expected.some));
        }
        if head.starts_with(&[0xff, 0xfe]) || head.starts_with(&[0xfe, 0xff]) {
            return Err(CsvError::Row {
                line: 1,
                found: "text in UTF-16".into(),
                expected: "UTF-8: save the file as UTF-8 and try again".into(),
            });
        }
        let mut bytes_of_head = head.iter().enumerate();
        if let Some((at, byte)) = bytes_of_head.find(|(_, byte)| is_binary(**byte)) {
            let before = head.get(..at).unwrap_or(&[]);
            return Err(CsvError::Binary {
                byte: *byte,
                line: count_of(b'\n', before).saturating_add(1),
                expected: expected.text,
            });
        }
        let delimiter = delimiter_of(head);
        bytes.consume(skip);
        let csv = ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(delimiter)
            .from_reader(Guarded {
                bytes,
                is_line_wise: true,
                since_row: 0,
                end: 0,
                last: Vec::new(),
            });
        Ok(Self {
            csv,
            expected,
            cells: ByteRecord::new(),
            line: 1,
            skipped: 0,
            delimiter,
            width: usize::MAX,
        })
    }

    /// Shows `take` all that is at hand, from the beginning of a row, and what parts its cells. It takes
    /// the lines that it knows at a glance, and says how many they are and how many bytes; what it
    /// leaves is a row like any other. Whether it took any.
    pub fn at_a_glance(&mut self, take: impl FnOnce(&[u8], u8) -> (u64, usize)) -> bool {
        let read = self.csv.position().byte();
        let guarded = self.csv.get_mut();
        if !guarded.is_line_wise || !guarded.is_all_read(read) {
            return false;
        }
        // An error comes again where rows are read, and is told there.
        let Ok(at_hand) = guarded.bytes.fill_buf() else {
            return false;
        };
        let (lines, length) = take(at_hand, self.delimiter);
        guarded.bytes.consume(length);
        self.skipped = self.skipped.saturating_add(lines);
        lines > 0
    }

    /// No line is taken at a glance any more: rows come quicker in bulk.
    pub fn read_in_bulk(&mut self) {
        self.csv.get_mut().is_line_wise = false;
    }

    /// Whether a comma may stand for the point: where semicolons or tabs part the cells.
    pub const fn has_comma_decimals(&self) -> bool {
        self.delimiter != b','
    }

    /// The header row; from here on no row may be wider.
    ///
    /// # Errors
    /// [`CsvError`] when there is none that can be read.
    pub fn header(&mut self) -> Result<CsvRow<'_>, CsvError> {
        if !self.advance()? {
            return Err(CsvError::TooLittle(self.expected.some));
        }
        self.width = self.cells.len();
        Ok(self.row())
    }

    /// Goes to the first row below the header.
    ///
    /// # Errors
    /// [`CsvError`] when there is none that can be read.
    pub fn first(&mut self) -> Result<CsvRow<'_>, CsvError> {
        if !self.advance()? {
            return Err(CsvError::TooLittle(self.expected.rows));
        }
        Ok(self.row())
    }

    /// Goes to the next row that is not blank; `false` at the end of the file.
    ///
    /// # Errors
    /// [`CsvError`] when it cannot be read, or is wider than the header.
    pub fn advance(&mut self) -> Result<bool, CsvError> {
        loop {
            self.csv.get_mut().since_row = 0;
            let before = self.line_now(b'\r');
            let more = self.csv.read_byte_record(&mut self.cells);
            if !more.map_err(|error| refusal(before, error))? {
                return Ok(false);
            }
            let within = count_of(b'\n', self.cells.as_slice());
            self.line = self.line_now(b'\n').saturating_sub(within);
            let mut bytes = self.cells.as_slice().iter();
            if let Some(byte) = bytes.find(|byte| is_binary(**byte)) {
                return Err(CsvError::Binary {
                    byte: *byte,
                    line: self.line,
                    expected: self.expected.text,
                });
            }
            if self
                .cells
                .iter()
                .skip(self.width)
                .any(|cell| !cell.is_empty())
            {
                return Err(self.row().refuse_width(self.width));
            }
            if self.cells.iter().any(|cell| !cell.trim_ascii().is_empty()) {
                return Ok(true);
            }
        }
    }

    /// The row that was gone to.
    pub const fn row(&self) -> CsvRow<'_> {
        CsvRow::new(self.line, &self.cells)
    }

    /// The line of the place that is read next, or of the line end before it. The reader counts
    /// line feeds: it has passed that of a row that ends in one, and has that of a row that ends in
    /// CR LF still before it.
    fn line_now(&self, end: u8) -> u64 {
        let at = self.csv.position();
        let ended = self.csv.get_ref().before(at.byte()) == Some(end);
        let line = at.line().saturating_add(self.skipped);
        match (ended, end) {
            (true, b'\n') => line.saturating_sub(1),
            (true, _) => line.saturating_add(1),
            (false, _) => line,
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

fn refusal(line: u64, error: csv::Error) -> CsvError {
    let row = |found, expected: &str| CsvError::Row {
        line,
        found,
        expected: expected.into(),
    };
    let shown = error.to_string();
    let csv::ErrorKind::Io(error) = error.into_kind() else {
        return row(shown, "a row of a CSV");
    };
    let inner = error.get_ref();
    let endless = inner.and_then(|inner| inner.downcast_ref::<TooLong>());
    if endless.is_some() {
        return row(
            format!("a row of more than {LONGEST_ROW} bytes"),
            "a row on its own line: is a quote never closed?",
        );
    }
    CsvError::Io(error)
}

/// Counts what is read for one row, and stops when it is too much for any.
#[derive(Debug)]
struct Guarded<R> {
    bytes: R,
    /// Whether one line at most is read at a time, so that what follows is still here.
    is_line_wise: bool,
    since_row: usize,
    /// How many bytes were read so far, and the last of them.
    end: u64,
    last: Vec<u8>,
}

impl<R> Guarded<R> {
    /// The byte before the one at `at`, if it was among the last that were read.
    fn before(&self, at: u64) -> Option<u8> {
        let back = usize::try_from(self.end.checked_sub(at)?).ok()?;
        let index = self.last.len().checked_sub(back)?.checked_sub(1)?;
        self.last.get(index).copied()
    }

    /// Whether the rows' reader, which is at `at`, holds nothing that is not yet read; the line feed of
    /// a CR LF is nothing.
    fn is_all_read(&self, at: u64) -> bool {
        match self.end.saturating_sub(at) {
            0 => true,
            1 => self.last.last() == Some(&b'\n'),
            _ => false,
        }
    }
}

#[derive(Debug, thiserror::Error)]
#[error("a row without end")]
struct TooLong;

impl<R: BufRead> Read for Guarded<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.since_row > LONGEST_ROW {
            return Err(io::Error::other(TooLong));
        }
        let n = if self.is_line_wise {
            let at_hand = self.bytes.fill_buf()?;
            let end = at_hand.iter().position(|byte| *byte == b'\n');
            let line = end.map_or(at_hand, |end| at_hand.get(..=end).unwrap_or(at_hand));
            let n = line.len().min(buffer.len());
            for (to, from) in buffer.iter_mut().zip(line) {
                *to = *from;
            }
            self.bytes.consume(n);
            n
        } else {
            self.bytes.read(buffer)?
        };
        self.since_row = self.since_row.saturating_add(n);
        if n > 0 {
            self.end = self.end.saturating_add(u64::try_from(n).unwrap_or(0));
            self.last.clear();
            self.last
                .extend_from_slice(buffer.get(..n).unwrap_or_default());
        }
        Ok(n)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const EXPECTED: Expected = Expected {
        some: "some",
        rows: "rows",
        text: "text",
    };

    /// Each row's first cell with its line.
    fn lines(text: &str) -> Vec<(u64, String)> {
        let mut rows = CsvRows::new(text.as_bytes(), &EXPECTED).unwrap();
        let mut found = Vec::new();
        while rows.advance().unwrap() {
            let row = rows.row();
            found.push((rows.line, row.cell(0).unwrap().to_owned()));
        }
        found
    }

    #[test]
    fn a_row_is_named_by_the_line_it_begins_on_whatever_ends_the_lines() {
        for end in ["\n", "\r\n"] {
            for last in [end, ""] {
                let text = ["a,b", "", "\"c\nc\",d", "e,f", "", "", "g,h"].join(end);
                let found = lines(&format!("{text}{last}"));
                let wanted = [(1, "a"), (3, "c\nc"), (5, "e"), (8, "g")];
                let wanted = wanted.map(|(line, cell)| (line, cell.to_owned()));
                assert_eq!(found, wanted, "{end:?} {last:?}");
            }
        }
    }

    #[test]
    fn a_row_is_named_by_its_line_far_down_in_a_long_file() {
        let rows: Vec<String> = (1..=5000).map(|n| format!("{n},x\r\n")).collect();
        for (line, cell) in lines(&rows.concat()) {
            assert_eq!(cell, line.to_string());
        }
    }

    #[test]
    fn what_is_no_text_or_too_little_is_refused_in_the_words_of_who_reads() {
        let refused = |bytes: &'static [u8]| {
            let mut rows = CsvRows::new(bytes, &EXPECTED)?;
            rows.header()?;
            rows.first().map(drop)
        };
        for (bytes, said) in [
            (b"".as_slice(), "some"),
            (b"\n \n", "some"),
            (b"a,b\n", "rows"),
            (
                b"a\n\0",
                "line 2: found the byte 0x00, which stands in no text; expected text",
            ),
            (b"\xff\xfea", "line 1: found text in UTF-16"),
        ] {
            let error = refused(bytes).unwrap_err().to_string();
            assert!(error.starts_with(said), "{error}");
        }
    }
}
