//! What the journal is written on: a session file, or in tests a disk that fails.

use std::fs::{File, Metadata, OpenOptions};
use std::io::{self, BufRead, BufReader, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use super::astray::{self, Astray, Kept, Moved, Sure};

/// No header is longer; one that is cannot be given to another file.
const HEADER_MAX: u64 = 64 << 20;

/// What takes the journal's bytes.
pub trait Disk: Send + 'static {
    /// Writes some of `bytes` and tells how many.
    ///
    /// # Errors
    /// Whatever the system reports.
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize>;

    /// Returns when all that was written is on the disk.
    ///
    /// # Errors
    /// Whatever the system reports.
    fn sync(&mut self) -> io::Result<()>;

    /// Writes `end`, which is how the file ends, once more in its place, and returns when it is
    /// on the disk. Asked for after a sync that failed: the system may have thrown away what it
    /// could not write and call the next sync a success.
    ///
    /// # Errors
    /// Whatever the system reports.
    fn write_again(&mut self, end: &[u8]) -> io::Result<()>;

    /// How many bytes stand there already.
    fn length(&self) -> u64 {
        0
    }

    /// Where it is, by name.
    fn path(&self) -> &Path {
        Path::new("")
    }

    /// What has become of it since so many bytes were written.
    fn astray(&self, _length: u64) -> Option<Astray> {
        None
    }

    /// Takes the file that stands in its place now for itself, if that begins with all that is
    /// surely on disk and goes on like `end`; how much of `end` it holds.
    fn take_up(&mut self, _sure: &Sure, _end: &[u8]) -> Option<usize> {
        None
    }

    /// Goes on in a new file, which holds what is kept of this one.
    ///
    /// # Errors
    /// Whatever the system reports; then it stays where it was.
    fn go_on(&mut self, _to: &Path, _kept: Kept<'_>) -> io::Result<Moved> {
        Err(io::ErrorKind::Unsupported.into())
    }
}

/// A session file as a disk.
#[derive(Debug)]
pub struct JournalFile {
    /// Open to append: a line of ours can never land upon another's.
    file: File,
    /// Where it stands.
    path: PathBuf,
    /// Its first line.
    header: Vec<u8>,
    /// The stranger in its place that was looked into last.
    stranger: Option<(u64, Option<SystemTime>)>,
}

impl JournalFile {
    /// Of a file that is open to append.
    pub fn new(file: File, path: PathBuf) -> Self {
        let mut header = Vec::new();
        let mut start = BufReader::new((&file).take(HEADER_MAX));
        // Without a header to give on there is only the file itself.
        let _ = (&file)
            .seek(SeekFrom::Start(0))
            .and_then(|_| start.read_until(b'\n', &mut header));
        Self {
            file,
            path,
            header,
            stranger: None,
        }
    }
}

impl Disk for JournalFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        Write::write(&mut self.file, bytes)
    }

    fn sync(&mut self) -> io::Result<()> {
        self.file.sync_data()
    }

    fn write_again(&mut self, end: &[u8]) -> io::Result<()> {
        // What is open to append writes nowhere else, so a second handle does.
        let mut file = OpenOptions::new().write(true).open(&self.path)?;
        if !is_same(&self.file.metadata()?, &file.metadata()?) {
            let moved = "the session file was moved or replaced while it was written";
            return Err(io::Error::other(moved));
        }
        let length = u64::try_from(end.len()).unwrap_or(u64::MAX);
        let start = file.metadata()?.len().checked_sub(length);
        let start = start.ok_or(io::ErrorKind::UnexpectedEof)?;
        file.seek(SeekFrom::Start(start))?;
        file.write_all(end)?;
        file.sync_data()
    }

    fn length(&self) -> u64 {
        self.file.metadata().map_or(0, |here| here.len())
    }

    fn path(&self) -> &Path {
        &self.path
    }

    fn astray(&self, length: u64) -> Option<Astray> {
        astray::look(&self.file, &self.path, length)
    }

    fn take_up(&mut self, sure: &Sure, end: &[u8]) -> Option<usize> {
        let stranger = astray::look_of(&self.path);
        if stranger == self.stranger {
            return None;
        }
        self.stranger = stranger;
        let (file, held) = astray::same_again(&self.path, sure, end)?;
        // Whoever put it there need not have waited for the disk.
        file.sync_data().ok()?;
        self.file = file;
        Some(held)
    }

    fn go_on(&mut self, to: &Path, kept: Kept<'_>) -> io::Result<Moved> {
        let (file, moved) = astray::go_on(&mut self.file, &self.header, to, kept)?;
        (self.file, self.path) = (file, to.to_owned());
        Ok(moved)
    }
}

/// Whether two open files are one, where the system can tell.
#[cfg(unix)]
pub(super) fn is_same(one: &Metadata, other: &Metadata) -> bool {
    use std::os::unix::fs::MetadataExt;
    (one.dev(), one.ino()) == (other.dev(), other.ino())
}

#[cfg(not(unix))]
pub(super) fn is_same(one: &Metadata, other: &Metadata) -> bool {
    one.len() == other.len()
}
