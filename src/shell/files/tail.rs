//! The end of a session file that another program writes: whole lines as they come, a torn one
//! waited for. Opened for reading only; never locked, never written.

use std::fs::{self, File};
use std::io::{BufReader, Read, Seek};
use std::path::{Path, PathBuf};

use super::session_file::FileError;
use crate::journal::line;
use crate::journal::recover::{LONGEST_LINE, Reader};
use crate::session::{Entry, Header};
use crate::shell::clock;

/// How much is read at once.
const CHUNK: u64 = 1 << 16;

/// A file that grows.
#[derive(Debug)]
pub struct Tail {
    path: PathBuf,
    file: File,
    /// The header.
    pub header: Header,
    /// Bytes read so far.
    pub read: u64,
    torn: Vec<u8>,
    skipping: bool,
    lines: u64,
}

impl Tail {
    /// Opens a session at its beginning.
    ///
    /// # Errors
    /// [`FileError`] when it is no session, or the system refuses.
    pub fn open(path: &Path) -> Result<Self, FileError> {
        let mut file = File::open(path).map_err(FileError::io(path, "open"))?;
        let reader = Reader::new(BufReader::new(&file));
        let reader = reader.map_err(FileError::at(path))?;
        let header = reader.header().clone();
        file.rewind().map_err(FileError::io(path, "read"))?;
        Ok(Self {
            path: path.to_owned(),
            file,
            header,
            read: 0,
            torn: Vec::new(),
            skipping: false,
            lines: 0,
        })
    }

    /// How long the file is now, as its name leads to it.
    ///
    /// # Errors
    /// [`FileError`] when it is gone.
    pub fn length(&self) -> Result<u64, FileError> {
        let meta = fs::metadata(&self.path).map_err(FileError::io(&self.path, "read"))?;
        Ok(meta.len())
    }

    /// How long nothing has been written, in seconds.
    ///
    /// # Errors
    /// [`FileError`] when the file is gone.
    pub fn idle_s(&self) -> Result<f64, FileError> {
        let written = fs::metadata(&self.path).and_then(|meta| meta.modified());
        let written = written.map_err(FileError::io(&self.path, "read"))?;
        Ok(clock::age_s(written))
    }

    /// Takes what has come since, a piece of it at most; `false` when there was nothing. Lines
    /// that are no entries are passed over: `check` is there to name them.
    ///
    /// # Errors
    /// [`FileError`] when the file cannot be read.
    pub fn more(&mut self, entries: &mut Vec<Entry>) -> Result<bool, FileError> {
        let mut bytes = Vec::new();
        let count = (&self.file).take(CHUNK).read_to_end(&mut bytes);
        let count = count.map_err(FileError::io(&self.path, "read"))?;
        self.read = self.read.saturating_add(u64::try_from(count).unwrap_or(0));
        for piece in bytes.split_inclusive(|byte| *byte == b'\n') {
            self.take(piece, entries);
        }
        Ok(count > 0)
    }

    fn take(&mut self, piece: &[u8], entries: &mut Vec<Entry>) {
        let whole = piece.ends_with(b"\n");
        if !self.skipping {
            self.torn.extend_from_slice(piece);
        }
        if whole {
            // The header is the first line.
            if self.lines > 0
                && !self.skipping
                && let Ok(entry) = line::read(&self.torn)
            {
                entries.push(entry);
            }
            self.lines = self.lines.saturating_add(1);
            self.torn.clear();
            self.skipping = false;
        } else if self.torn.len() >= LONGEST_LINE {
            self.torn.clear();
            self.skipping = true;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shell::files::session_file::FileFault;
    use std::io::Write;

    const HEADER: &[u8] = b"{\"lullboard\":1,\"started\":\"2026-11-25T08:00:00Z\"}\n";

    fn all(tail: &mut Tail) -> usize {
        let mut entries = Vec::new();
        while tail.more(&mut entries).unwrap() {}
        entries.len()
    }

    #[test]
    fn a_torn_line_is_waited_for_byte_by_byte() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.lull");
        let mut file = File::create(&path).unwrap();
        file.write_all(HEADER).unwrap();
        let mut tail = Tail::open(&path).unwrap();
        assert_eq!(all(&mut tail), 0);
        let mut seen = Vec::new();
        for byte in b"{\"t\":0.250,\"a\":1.0}\nhello\n{\"t\":0.500,\"a\":1.0}\n" {
            file.write_all(&[*byte]).unwrap();
            seen.push(all(&mut tail));
        }
        assert_eq!(seen.iter().sum::<usize>(), 2);
        assert_eq!((seen[19], seen[seen.len() - 1]), (1, 1));
        assert_eq!(tail.read, tail.length().unwrap());
    }

    #[test]
    fn a_line_torn_by_a_crash_and_closed_at_the_resume_costs_only_itself() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.lull");
        let mut file = File::create(&path).unwrap();
        file.write_all(HEADER).unwrap();
        file.write_all(b"{\"t\":0.250,\"a\":1.0}\n{\"t\":0.5")
            .unwrap();
        let mut tail = Tail::open(&path).unwrap();
        assert_eq!(all(&mut tail), 1);
        file.write_all(b"\n{\"t\":9.000,\"resumed\":\"2026-11-25T08:00:09Z\"}\n")
            .unwrap();
        assert_eq!(all(&mut tail), 1);
    }

    #[test]
    fn an_endless_line_is_not_kept() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.lull");
        let mut file = File::create(&path).unwrap();
        file.write_all(HEADER).unwrap();
        file.write_all(&vec![b'x'; 2 * LONGEST_LINE + 5]).unwrap();
        file.write_all(b"\n{\"t\":0.250,\"a\":1.0}\n").unwrap();
        let mut tail = Tail::open(&path).unwrap();
        assert_eq!(all(&mut tail), 1);
    }

    #[test]
    fn a_csv_is_no_session_to_follow() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.csv");
        fs::write(&path, "time_s,current_a\n0,1\n").unwrap();
        assert!(matches!(
            Tail::open(&path),
            Err(FileError {
                why: FileFault::NotASession(_),
                ..
            })
        ));
    }
}
