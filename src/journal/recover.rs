//! Bytes to entries and damage. Never fails on content: only a file without a header is not a
//! session, everything else gives all its good entries and names the lines that are none.
//!
//! Reads as a stream in bounded memory: a week is hundreds of megabytes, and a hostile file may
//! be one endless line.

use std::fmt;
use std::io::{self, BufRead};

use super::header::{self, HeaderError};
use super::line::{self, LineError};
use crate::reading::sanitize::excerpt;
use crate::session::{Entry, Header};

/// No line of a session is longer; the rest of one that is, is skipped.
pub const LONGEST_LINE: usize = 1 << 20;

/// A line that is no entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Damage {
    /// Its number; the header is line 1.
    pub line: u64,
    /// Whether the file ends in it, without a line feed: a write was cut short.
    pub torn: bool,
    /// What was found and what was expected.
    pub what: LineError,
}

impl fmt::Display for Damage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let torn = if self.torn { " (a torn last line)" } else { "" };
        write!(f, "line {}: {}{torn}", self.line, self.what)
    }
}

/// Why a file gives no session.
#[derive(Debug, thiserror::Error)]
pub enum NotASession {
    /// Nothing is in it.
    #[error("the file is empty: expected a session, which begins {{\"lullboard\":1")]
    Empty,
    /// The first line is no header that this program reads.
    #[error("line 1: {0}")]
    Header(#[from] HeaderError),
    /// It cannot be read.
    #[error(transparent)]
    Io(#[from] io::Error),
}

/// What the next line held.
#[derive(Clone, Debug, PartialEq)]
pub enum Found {
    /// An entry.
    Entry(Entry),
    /// Something else.
    Damage(Damage),
}

/// One line as it stands in the file.
#[derive(Clone, Copy, Debug)]
pub(crate) struct FileLine<'a> {
    /// Its number; the header is line 1.
    pub(crate) number: u64,
    bytes: &'a [u8],
    /// Whether the file ends in this line, without a line feed.
    pub(crate) torn: bool,
    overlong: bool,
}

impl<'a> FileLine<'a> {
    /// Its bytes with the line feed; nothing when they were too many and have passed already.
    pub(crate) const fn bytes(self) -> &'a [u8] {
        if self.overlong { &[] } else { self.bytes }
    }

    /// The entry on this line, the damage, or nothing when it is blank.
    pub(crate) fn read(self) -> Option<Found> {
        let what = if self.overlong {
            LineError {
                found: excerpt(self.bytes),
                expected: format!("a line of at most {LONGEST_LINE} bytes"),
            }
        } else if self.bytes.trim_ascii().is_empty() {
            return None;
        } else {
            match line::read(self.bytes) {
                Ok(entry) => return Some(Found::Entry(entry)),
                Err(what) => what,
            }
        };
        Some(Found::Damage(self.damage(what)))
    }

    /// The header on the first line, or what stands in for it and the damage.
    pub(crate) fn header(self) -> Result<(Header, Option<Damage>), HeaderError> {
        match header::read(self.bytes) {
            Ok(header) => Ok((header, None)),
            Err(HeaderError::Damaged(what)) if !self.torn => {
                Ok((header::unknown(), Some(self.damage(what))))
            }
            Err(error) => Err(error),
        }
    }

    const fn damage(self, what: LineError) -> Damage {
        Damage {
            line: self.number,
            torn: self.torn,
            what,
        }
    }
}

/// Cuts bytes into lines of bounded length.
#[derive(Debug)]
pub(crate) struct FileLines<R> {
    bytes: R,
    line: Vec<u8>,
    /// The number of the line that came last.
    pub(crate) number: u64,
}

impl<R: BufRead> FileLines<R> {
    pub(crate) const fn new(bytes: R) -> Self {
        Self {
            bytes,
            line: Vec::new(),
            number: 0,
        }
    }

    /// The next line. The bytes of one that is too long pass through `overlong`, since they are
    /// kept nowhere.
    pub(crate) fn next(
        &mut self,
        mut overlong: impl FnMut(&[u8]),
    ) -> io::Result<Option<FileLine<'_>>> {
        self.line.clear();
        if self.more()? == 0 {
            return Ok(None);
        }
        self.number += 1;
        let mut ended = self.line.ends_with(b"\n");
        let is_overlong = !ended && self.line.len() >= LONGEST_LINE;
        if is_overlong {
            let head = self.line.get(..256).unwrap_or(&[]).to_vec();
            overlong(&self.line);
            self.line.clear();
            while !ended && self.more()? > 0 {
                overlong(&self.line);
                ended = self.line.ends_with(b"\n");
                self.line.clear();
            }
            self.line = head;
        }
        Ok(Some(FileLine {
            number: self.number,
            bytes: &self.line,
            torn: !ended,
            overlong: is_overlong,
        }))
    }

    /// Puts the lines that are next into `entries`, up to `most`, as far as they are plain readings and
    /// at hand.
    fn glance(&mut self, entries: &mut Vec<Entry>, most: usize) {
        // An error comes again where lines are read, and is told there.
        let Ok(at_hand) = self.bytes.fill_buf() else {
            return;
        };
        let mut rest = at_hand;
        while entries.len() < most
            && let Some((entry, [b'\n', after @ ..])) = line::plain(rest)
        {
            entries.push(entry);
            self.number += 1;
            rest = after;
        }
        let taken = at_hand.len().saturating_sub(rest.len());
        self.bytes.consume(taken);
    }

    fn more(&mut self) -> io::Result<usize> {
        let limit = u64::try_from(LONGEST_LINE).unwrap_or(u64::MAX);
        io::Read::take(&mut self.bytes, limit).read_until(b'\n', &mut self.line)
    }
}

/// Reads a session as a stream.
///
/// ```
/// use lullboard::journal::recover::{Found, Reader};
/// let file = "{\"lullboard\":1,\"started\":\"2026-11-25T08:00:00Z\"}\n{\"t\":0.250,\"a\":3.108}\n{\"t\":0.5";
/// let mut session = Reader::new(file.as_bytes()).unwrap();
/// assert!(matches!(session.next(), Some(Ok(Found::Entry(_)))));
/// assert!(matches!(session.next(), Some(Ok(Found::Damage(damage))) if damage.line == 3));
/// assert!(session.next().is_none() && session.is_torn());
/// ```
#[derive(Debug)]
pub struct Reader<R> {
    lines: FileLines<R>,
    header: Header,
    header_damage: Option<Damage>,
    torn: bool,
    done: bool,
}

impl<R: BufRead> Reader<R> {
    /// Reads the header. One that is damaged but still begins like ours is damage on line 1 and
    /// not a reason to refuse what follows it.
    ///
    /// # Errors
    /// [`NotASession`] when the file is empty, foreign, newer, or cannot be read.
    pub fn new(bytes: R) -> Result<Self, NotASession> {
        let mut lines = FileLines::new(bytes);
        let first = lines.next(|_| ())?.ok_or(NotASession::Empty)?;
        let (header, header_damage) = first.header()?;
        let torn = first.torn;
        Ok(Self {
            lines,
            header,
            header_damage,
            torn,
            done: false,
        })
    }

    /// The session's header.
    pub const fn header(&self) -> &Header {
        &self.header
    }

    /// Puts up to `most` plain readings into `entries`, as far as they are next. What this leaves comes
    /// from the iterator.
    pub fn glance(&mut self, entries: &mut Vec<Entry>, most: usize) {
        if self.header_damage.is_none() && !self.done {
            self.lines.glance(entries, most);
        }
    }

    /// Whether the line read last has no line feed; true at the end of a torn file.
    pub const fn is_torn(&self) -> bool {
        self.torn
    }
}

impl<R: BufRead> Iterator for Reader<R> {
    type Item = io::Result<Found>;

    fn next(&mut self) -> Option<Self::Item> {
        if let Some(damage) = self.header_damage.take() {
            return Some(Ok(Found::Damage(damage)));
        }
        while !self.done {
            match self.lines.next(|_| ()) {
                Ok(Some(line)) => {
                    self.torn = line.torn;
                    if let Some(found) = line.read() {
                        return Some(Ok(found));
                    }
                }
                Ok(None) => self.done = true,
                Err(error) => {
                    self.done = true;
                    return Some(Err(error));
                }
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    const HEADER: &str = "{\"lullboard\":1,\"started\":\"2026-11-25T08:00:00Z\"}\n";

    fn read(body: &[u8]) -> (usize, Vec<Damage>, bool) {
        let bytes = [HEADER.as_bytes(), body].concat();
        let mut reader = Reader::new(Cursor::new(bytes)).unwrap();
        let mut entries = 0;
        let mut damage = Vec::new();
        for found in reader.by_ref() {
            match found.unwrap() {
                Found::Entry(_) => entries += 1,
                Found::Damage(one) => damage.push(one),
            }
        }
        (entries, damage, reader.is_torn())
    }

    #[test]
    fn garbage_nuls_and_blank_lines_cost_only_themselves() {
        let body =
            b"{\"t\":0.250,\"a\":1.0}\nhello\n\n\0\0\0\0\n\xff\xfe\n{\"t\":0.500,\"a\":1.0}\n";
        let (entries, damage, torn) = read(body);
        assert_eq!(entries, 2);
        assert!(!torn);
        let lines: Vec<u64> = damage.iter().map(|one| one.line).collect();
        assert_eq!(lines, [3, 5, 6]);
        assert!(
            damage[0]
                .to_string()
                .starts_with("line 3: found 'hello', expected an entry")
        );
        assert!(damage[1].to_string().contains("4 NUL bytes"));
    }

    #[test]
    fn what_is_said_of_a_line_does_nothing_to_a_terminal() {
        let (_, damage, _) = read(b"{\"t\":1,\"mark\":{\"id\":1,\"did\":\"\\u001b[2J\"}}\n");
        let said = damage[0].to_string();
        assert!(said.contains("unknown variant"), "{said}");
        assert!(
            !said.contains(crate::reading::sanitize::is_harmful),
            "{said}"
        );
    }

    #[test]
    fn a_torn_last_line_is_told_and_a_whole_one_without_line_feed_still_counts() {
        let (entries, damage, torn) = read(b"{\"t\":0.250,\"a\":1.0}\n{\"t\":0.5");
        assert_eq!((entries, damage.len(), torn), (1, 1, true));
        assert!(damage[0].torn);
        let (entries, damage, torn) = read(b"{\"t\":0.250,\"a\":1.0}");
        assert_eq!((entries, damage.len(), torn), (1, 0, true));
    }

    #[test]
    fn an_endless_line_is_capped_and_the_next_line_survives() {
        let mut body = vec![b'x'; 3 * LONGEST_LINE + 7];
        body.extend(b"\n{\"t\":0.500,\"a\":1.0}\n");
        let (entries, damage, torn) = read(&body);
        assert_eq!((entries, damage.len(), torn), (1, 1, false));
        assert!(damage[0].to_string().contains("at most 1048576 bytes"));
        let (_, damage, torn) = read(&vec![b'x'; 2 * LONGEST_LINE]);
        assert!(torn && damage[0].torn);
    }

    #[test]
    fn a_damaged_header_does_not_cost_the_readings() {
        let body = "{\"lullboard\":1,\"started\":\"2\u{0}26\"}\n{\"t\":0.250,\"a\":1.0}\n";
        let found: Vec<Found> = Reader::new(body.as_bytes())
            .unwrap()
            .map(Result::unwrap)
            .collect();
        assert!(matches!(&found[0], Found::Damage(damage) if damage.line == 1));
        assert!(matches!(found[1], Found::Entry(_)));
    }

    #[test]
    fn what_is_no_session_is_refused_with_a_reason() {
        for (bytes, reason) in [
            (&b""[..], "the file is empty"),
            (b"\x7fELF\x02\x01", "not a lullboard session"),
            (b"time_s,current_a\n", "not a lullboard session"),
            (b"{\"lullboard\":1,\"sta", "the header is damaged"),
            (b"{\"lullboard\":2}\n", "newer lullboard"),
        ] {
            let error = Reader::new(bytes).unwrap_err().to_string();
            assert!(error.contains(reason), "{error}");
        }
    }

    proptest::proptest! {
        /// Plain lines, volts, marks, blanks, damage, in any order, read through a narrow buffer.
        #[test]
        fn a_glance_reads_what_line_by_line_is_read(
            kinds in proptest::collection::vec(0usize..8, 0..60),
            width in 1usize..90,
            most in 1usize..9,
        ) {
            const LINES: [&str; 8] = [
                "{\"t\":0.250,\"a\":3.108}\n",
                "{\"t\":1.500,\"a\":-0.0120}\n",
                "{\"t\":2,\"v\":12.61}\n",
                "{\"t\":2.100,\"over\":true}\n",
                "{\"t\":3.000,\"strike\":1}\n",
                "\n",
                "{\"t\":4.000,\"a\":}\n",
                "{\"t\":5.000,\"a\":0.050}\r\n",
            ];
            let lines: String = kinds.iter().map(|kind| LINES[*kind]).collect();
            let bytes = format!("{HEADER}{lines}{{\"t\":6.0");
            let reader = || {
                let narrow = io::BufReader::with_capacity(width, bytes.as_bytes());
                Reader::new(narrow).unwrap()
            };
            let told = |found: io::Result<Found>| format!("{:?}", found.unwrap());
            let slowly: Vec<String> = reader().map(told).collect();
            let (mut glanced, mut quickly) = (reader(), Vec::new());
            loop {
                let mut plain = Vec::new();
                glanced.glance(&mut plain, most);
                quickly.extend(plain.into_iter().map(|entry| told(Ok(Found::Entry(entry)))));
                match glanced.next() {
                    Some(found) => quickly.push(told(found)),
                    None => break,
                }
            }
            proptest::prop_assert_eq!(quickly, slowly);
            proptest::prop_assert!(glanced.is_torn());
        }
    }
}
