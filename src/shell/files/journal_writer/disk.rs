//! What the journal is written on: a session file, or in tests a disk that fails.

use std::fs::{File, Metadata, OpenOptions};
use std::io::{self, Seek, SeekFrom, Write};
use std::path::PathBuf;

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
}

/// A session file as a disk.
#[derive(Debug)]
pub struct JournalFile {
    /// Open to append: a line of ours can never land upon another's.
    pub file: File,
    /// Where it stands.
    pub path: PathBuf,
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
}

/// Whether two open files are one, where the system can tell.
#[cfg(unix)]
fn is_same(one: &Metadata, other: &Metadata) -> bool {
    use std::os::unix::fs::MetadataExt;
    (one.dev(), one.ino()) == (other.dev(), other.ino())
}

#[cfg(not(unix))]
fn is_same(one: &Metadata, other: &Metadata) -> bool {
    one.len() == other.len()
}
