//! Session files on disk: made, continued by one writer at a time, named by the wall clock.
//!
//! Reading for `judge`, `open`, `export` and `check` stands in `recorded_file`; writing entries is the
//! work of the `journal_writer`.

mod notices;
mod recorded_file;

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, BufReader, Write};
use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};

use crate::journal::recover::{FileLines, Found, NotASession};
use crate::journal::{Chain, header};
use crate::reading::{CsvError, Elapsed, number};
use crate::session::{Header, Session};

pub use notices::FileNotices;
pub use recorded_file::{RecordedFile, check, fold, read_any};

/// Why a file could not be used.
#[derive(Debug, thiserror::Error)]
#[error("{}: {why}", .path.display())]
pub struct FileError {
    /// Which file.
    pub path: PathBuf,
    /// Why.
    pub why: FileFault,
}

/// What is wrong with a file.
#[derive(Debug, thiserror::Error)]
pub enum FileFault {
    /// A new session would overwrite it.
    #[error(
        "there is a file of this name already: choose another with --out, or continue it with 'lullboard open'"
    )]
    Exists,
    /// Another program holds the writer's lock.
    #[error("another lullboard is writing this session: close that one first")]
    Busy,
    /// It is no session: what was found instead.
    #[error(transparent)]
    NotASession(#[from] NotASession),
    /// It is neither a session nor a CSV that can be read: what was found instead.
    #[error(transparent)]
    Import(#[from] CsvError),
    /// The user had enough before it was read.
    #[error("not read to its end: it was stopped")]
    Stopped,
    /// The system refused.
    #[error("cannot {doing} it: {why}")]
    Io {
        /// What was tried: open, read, write.
        doing: &'static str,
        /// The system's reason.
        why: io::Error,
    },
}

impl FileError {
    /// That this is wrong with the file at `path`.
    pub(super) fn at<F: Into<FileFault>>(path: &Path) -> impl FnOnce(F) -> Self {
        move |why| Self {
            path: path.to_owned(),
            why: why.into(),
        }
    }

    pub(super) fn io(path: &Path, doing: &'static str) -> impl FnOnce(io::Error) -> Self {
        move |why| Self::at(path)(FileFault::Io { doing, why })
    }
}

/// A session file that is ours to append to, until dropped.
#[derive(Debug)]
pub struct SessionFile {
    pub(super) file: File,
    pub(super) chain: Chain,
    pub(super) path: PathBuf,
}

impl SessionFile {
    /// Where it stands.
    pub fn path(&self) -> &Path {
        &self.path
    }
}

/// A session that goes on.
#[derive(Debug)]
pub struct Resumed {
    /// The file to append to.
    pub file: SessionFile,
    /// Everything recorded so far.
    pub session: Session,
    /// Damage, and what was done about it.
    pub notices: FileNotices,
}

/// Makes a new session file with its header, on disk before this returns.
///
/// # Errors
/// [`FileError`]: a file of this name stands there already, or the system refuses.
pub fn create(path: &Path, header: &Header) -> Result<SessionFile, FileError> {
    let file = OpenOptions::new()
        .read(true)
        .append(true)
        .create_new(true)
        .open(path)
        .map_err(|why| {
            if why.kind() == io::ErrorKind::AlreadyExists {
                FileError::at(path)(FileFault::Exists)
            } else {
                FileError::io(path, "make")(why)
            }
        })?;
    let begun = lock(&file, path).and_then(|()| {
        let mut line = Vec::new();
        header::write(header, &mut line)
            .and_then(|()| (&file).write_all(&line))
            .and_then(|()| file.sync_all())
            .map_err(FileError::io(path, "write"))?;
        Ok(line)
    });
    match begun {
        Ok(line) => {
            keep_name(path);
            let mut chain = Chain::default();
            chain.update(&line);
            let path = path.to_owned();
            Ok(SessionFile { file, chain, path })
        }
        Err(error) => {
            // Half a header would stand in the way of the next try; if it cannot be removed, the
            // next try says so.
            let _ = std::fs::remove_file(path);
            Err(error)
        }
    }
}

/// Puts the file's name on disk too, where directories can be synced; elsewhere the system does
/// it by itself.
pub(super) fn keep_name(path: &Path) {
    let directory = match path.parent() {
        Some(parent) if parent != Path::new("") => parent,
        Some(_) | None => Path::new("."),
    };
    if let Ok(directory) = File::open(directory) {
        let _ = directory.sync_all();
    }
}

/// Is told how many bytes of how many are read, and says whether to go on.
pub type Tell<'a> = &'a mut dyn FnMut(u64, u64) -> io::Result<bool>;

/// Opens a session to append to it, and folds what it holds, telling how far it has come. A torn last
/// line is closed with a line feed, so that the next line is not eaten; nothing is written before all
/// is read.
///
/// # Errors
/// [`FileError`]: another program writes it, it is no session, the system refuses, or it is not to go
/// on ([`FileFault::Stopped`]).
pub fn resume(path: &Path, tell: Tell<'_>) -> Result<Resumed, FileError> {
    let file = OpenOptions::new()
        .read(true)
        .append(true)
        .open(path)
        .map_err(FileError::io(path, "open"))?;
    lock(&file, path)?;
    let mut scan = scan(&file, path, tell)?;
    if scan.torn {
        (&file)
            .write_all(b"\n")
            .and_then(|()| file.sync_data())
            .map_err(FileError::io(path, "write"))?;
        scan.chain.update(b"\n");
        scan.notices.add(format!(
            "line {} was cut short when the program stopped: closed, and recording goes on below it",
            scan.lines
        ));
    }
    let path = path.to_owned();
    let chain = scan.chain;
    Ok(Resumed {
        file: SessionFile { file, chain, path },
        session: scan.session,
        notices: scan.notices,
    })
}

/// Lines between two tellings.
const LOOK_EVERY: u64 = 512;

/// What one pass over a session file gives.
struct Scan {
    session: Session,
    chain: Chain,
    notices: FileNotices,
    lines: u64,
    torn: bool,
}

fn scan(file: &File, path: &Path, tell: Tell<'_>) -> Result<Scan, FileError> {
    let refused = |why: NotASession| FileError::at(path)(why);
    let unread = |why| FileError::io(path, "read")(why);
    let mut chain = Chain::default();
    let mut notices = FileNotices::default();
    let mut lines = FileLines::new(BufReader::with_capacity(1 << 16, file));
    let mut session = None;
    let mut torn = false;
    let mut done: u64 = 0;
    let total = file.metadata().map_err(unread)?.len();
    while let Some(line) = lines.next(|bytes| chain.update(bytes)).map_err(unread)? {
        torn = line.torn;
        match &mut session {
            None => {
                let (header, damage) = line.header().map_err(|why| refused(why.into()))?;
                if let Some(damage) = &damage {
                    notices.damage(damage);
                }
                session = Some(Session::new(header));
            }
            Some(session) => match line.read() {
                Some(Found::Entry(entry)) => session.apply(&entry),
                Some(Found::Damage(damage)) => notices.damage(&damage),
                None => {}
            },
        }
        chain.update(line.bytes());
        done = done.saturating_add(u64::try_from(line.bytes().len()).unwrap_or(0));
        if line.number.is_multiple_of(LOOK_EVERY) && !tell(done, total).map_err(unread)? {
            return Err(FileError::at(path)(FileFault::Stopped));
        }
    }
    Ok(Scan {
        session: session.ok_or_else(|| refused(NotASession::Empty))?,
        chain,
        notices,
        lines: lines.number,
        torn,
    })
}

/// Takes the writer's lock. A disk that knows no locks cannot tell two writers apart, which is no
/// reason to record nothing on it.
pub(super) fn lock(file: &File, path: &Path) -> Result<(), FileError> {
    match file.try_lock() {
        Ok(()) => Ok(()),
        Err(TryLockError::WouldBlock) => Err(FileError::at(path)(FileFault::Busy)),
        Err(TryLockError::Error(why)) if why.kind() == io::ErrorKind::Unsupported => Ok(()),
        Err(TryLockError::Error(why)) => Err(FileError::io(path, "lock")(why)),
    }
}

/// Where session time stands when a session goes on at this wall-clock time: never before what is
/// recorded, even if the wall clock was set back.
pub fn base(session: &Session, now: DateTime<FixedOffset>) -> Elapsed {
    let since = now.signed_duration_since(session.header().started);
    let secs = number::f64_from_i64(since.num_milliseconds()) / 1000.0;
    Elapsed::from_secs(secs).max(session.last_t())
}

/// A name for a new session in `directory`: `2026-11-25_0800.lull`, numbered when it is taken.
pub fn default_name(directory: &Path, now: DateTime<FixedOffset>) -> PathBuf {
    let stem = now.format("%Y-%m-%d_%H%M").to_string();
    let mut path = directory.join(format!("{stem}.lull"));
    let mut number: u32 = 2;
    while path.exists() {
        path = directory.join(format!("{stem}_{number}.lull"));
        number = number.saturating_add(1);
    }
    path
}
