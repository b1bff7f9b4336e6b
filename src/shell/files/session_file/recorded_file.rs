//! Reading a record without writing to it: a session or a CSV, told apart by the first bytes,
//! as a stream of entries.

use std::fs::File;
use std::io::{self, BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::{mem, thread};

use chrono::{DateTime, Local};
use crossbeam_channel::{Receiver, Sender, bounded, unbounded};

use super::{FileError, FileNotices};
use crate::journal::import::{ImportOptions, Importer};
use crate::journal::recover::{Damage, Found, NotASession, Reader};
use crate::journal::seal::{self, Report};
use crate::session::{Entry, Header, Session};
use crate::shell::files::bounded;

/// So many entries are handed over at once: few enough to stay in the cache of a core.
const BLOCK: usize = 4096;
/// So many blocks may be read before they are asked for.
const AHEAD: usize = 4;

/// Entries of a session or a CSV, in the order of the file. What is asked for next is read by a thread
/// of its own meanwhile.
#[derive(Debug)]
pub struct RecordedFile {
    path: PathBuf,
    reader: Ahead,
    /// The entries that were read ahead, and how many of them were handed over.
    entries: Vec<Entry>,
    taken: usize,
    /// How the record ended, behind these entries.
    end: Option<Result<(), FileError>>,
    /// The header; a CSV's names no card and no meter.
    pub header: Header,
    /// Damage that was passed over so far; complete when the entries have ended.
    pub notices: FileNotices,
    /// Whether the record itself tells when it began.
    pub dated: bool,
    read: Arc<AtomicU64>,
    total: u64,
}

/// The thread that reads ahead.
#[derive(Debug)]
struct Ahead {
    blocks: Receiver<Block>,
    /// Takes back the room of a block: to empty it is left to whoever has less to do.
    spent: Sender<Vec<Entry>>,
}

#[derive(Debug)]
enum Entries {
    Session(Box<Reader<BufReader<CountedFile>>>),
    Csv(Box<Importer<BufReader<CountedFile>>>),
}

#[derive(Debug, Default)]
struct Block {
    entries: Vec<Entry>,
    damage: Vec<Damage>,
    end: Option<Result<(), FileError>>,
}

impl RecordedFile {
    /// Bytes read so far and bytes in all, for whoever shows progress; the second is zero for
    /// what has no length.
    pub fn progress(&self) -> (u64, u64) {
        (self.read.load(Ordering::Relaxed), self.total)
    }

    /// The entries that are next, some thousands at once, none where thousands of lines are damaged or the
    /// file ends; `None` behind the last.
    ///
    /// # Errors
    /// [`FileError`] once, behind the entries that could be read.
    pub fn block(&mut self) -> Option<Result<&[Entry], FileError>> {
        if self.taken == self.entries.len()
            && let Err(error) = self.refill()?
        {
            return Some(Err(error));
        }
        let from = mem::replace(&mut self.taken, self.entries.len());
        self.entries.get(from..).map(Ok)
    }

    /// Takes over what was read ahead; `None` behind the last.
    fn refill(&mut self) -> Option<Result<(), FileError>> {
        if let Some(end) = &mut self.end {
            return mem::replace(end, Ok(())).err().map(Err);
        }
        // Behind the last block nobody wants it.
        let _ = self.reader.spent.send(mem::take(&mut self.entries));
        let block = self.reader.blocks.recv().unwrap_or_else(|_| {
            let died = io::Error::other("the part of the program that reads it stopped");
            Block {
                end: Some(Err(FileError::io(&self.path, "read")(died))),
                ..Block::default()
            }
        });
        for damage in &block.damage {
            self.notices.damage(damage);
        }
        (self.entries, self.taken, self.end) = (block.entries, 0, block.end);
        Some(Ok(()))
    }
}

impl Iterator for RecordedFile {
    type Item = Result<Entry, FileError>;

    fn next(&mut self) -> Option<Self::Item> {
        loop {
            if let Some(entry) = self.entries.get(self.taken) {
                self.taken += 1;
                return Some(Ok(entry.clone()));
            }
            if let Err(error) = self.refill()? {
                return Some(Err(error));
            }
        }
    }
}

impl Entries {
    fn next(&mut self, path: &Path) -> Option<Result<Found, FileError>> {
        match self {
            Self::Session(reader) => {
                let found = reader.next();
                found.map(|found| found.map_err(FileError::io(path, "read")))
            }
            Self::Csv(importer) => {
                let entry = importer.next();
                entry.map(|entry| entry.map(Found::Entry).map_err(FileError::at(path)))
            }
        }
    }

    /// The next block, in the room of one that was read out.
    fn block(&mut self, path: &Path, mut entries: Vec<Entry>) -> Block {
        entries.clear();
        entries.reserve(BLOCK);
        let mut block = Block {
            entries,
            ..Block::default()
        };
        let is_full = |block: &Block| block.entries.len().max(block.damage.len()) >= BLOCK;
        while !is_full(&block) && block.end.is_none() {
            match self {
                Self::Session(reader) => reader.glance(&mut block.entries, BLOCK),
                Self::Csv(importer) => importer.glance(&mut block.entries, BLOCK),
            }
            match self.next(path) {
                Some(Ok(Found::Entry(entry))) => block.entries.push(entry),
                Some(Ok(Found::Damage(damage))) => block.damage.push(damage),
                Some(Err(error)) => block.end = Some(Err(error)),
                None => block.end = Some(Ok(())),
            }
        }
        block
    }

    /// Reads to the end, or until nobody asks any more. Not a worker of `shell::threads`: there may be no
    /// desk, and one that died shows as a record that cannot be read.
    fn read_ahead(mut self, path: PathBuf) -> io::Result<Ahead> {
        let (to, blocks) = bounded(AHEAD);
        let (spent, room) = unbounded();
        thread::Builder::new()
            .name("reader".into())
            .spawn(move || {
                loop {
                    let block = self.block(&path, room.try_recv().unwrap_or_default());
                    let is_last = block.end.is_some();
                    if to.send(block).is_err() || is_last {
                        return;
                    }
                }
            })?;
        Ok(Ahead { blocks, spent })
    }
}

/// Opens a session or a CSV for reading.
///
/// # Errors
/// [`FileError`] when it is neither, or the system refuses. Errors further down in the file come
/// with the entries.
pub fn read_any(path: &Path, options: &ImportOptions) -> Result<RecordedFile, FileError> {
    let mut bytes = open(path)?;
    let read = Arc::clone(&bytes.get_ref().read);
    let meta = bytes.get_ref().file.metadata();
    let meta = meta.map_err(FileError::io(path, "read"))?;
    let head = bytes.fill_buf().map_err(FileError::io(path, "read"))?;
    let head = head.strip_prefix("\u{feff}".as_bytes()).unwrap_or(head);
    let is_session = head.trim_ascii_start().starts_with(b"{");
    let mut notices = FileNotices::default();
    let (entries, header, dated) = if is_session {
        let reader = Reader::new(bytes).map_err(FileError::at(path))?;
        let header = reader.header().clone();
        (Entries::Session(Box::new(reader)), header, true)
    } else {
        let began = meta
            .modified()
            .map_or(DateTime::UNIX_EPOCH.fixed_offset(), |time| {
                DateTime::<Local>::from(time).fixed_offset()
            });
        let importer = Importer::new(bytes, options, began).map_err(FileError::at(path))?;
        let dated = importer.dated;
        if !dated {
            notices.add("the CSV tells no date: the date of the file stands in for it");
        }
        let mut header = importer.header.clone();
        header.meter.uri = format!("replay:{}", path.display());
        (Entries::Csv(Box::new(importer)), header, dated)
    };
    let reader = entries.read_ahead(path.to_owned());
    Ok(RecordedFile {
        path: path.to_owned(),
        reader: reader.map_err(FileError::io(path, "read"))?,
        entries: Vec::new(),
        taken: 0,
        end: None,
        header,
        notices,
        dated,
        read,
        total: if meta.is_file() { meta.len() } else { 0 },
    })
}

/// Reads a whole record into a session: the one fold. Tells now and then how many bytes of how many
/// are read.
///
/// # Errors
/// [`FileError`] when the file is neither a session nor a CSV, a CSV row cannot be read, or the
/// system refuses.
pub fn fold(
    path: &Path,
    options: &ImportOptions,
    mut tell: impl FnMut((u64, u64)),
) -> Result<(Session, FileNotices), FileError> {
    let mut record = read_any(path, options)?;
    let mut session = Session::new(record.header.clone());
    while let Some(entries) = record.block() {
        for entry in entries? {
            session.apply(entry);
        }
        tell(record.progress());
    }
    for figure in session.out_of_bounds() {
        let line = format!("{figure}, and is left out of the card");
        record.notices.add(line);
    }
    for line in session.beyond() {
        record.notices.add(line);
    }
    Ok((session, record.notices))
}

/// Verifies the seals of a session file.
///
/// # Errors
/// [`FileError`] when it is no session or the system refuses.
pub fn check(path: &Path) -> Result<Report, FileError> {
    seal::check(open(path)?).map_err(|why| match why {
        NotASession::Io(why) => FileError::io(path, "read")(why),
        NotASession::Empty | NotASession::Header(_) => FileError::at(path)(why),
    })
}

fn open(path: &Path) -> Result<BufReader<CountedFile>, FileError> {
    let file = File::open(path).map_err(FileError::io(path, "open"))?;
    let read = Arc::default();
    Ok(BufReader::with_capacity(
        1 << 16,
        CountedFile { file, read },
    ))
}

/// A file that counts what was read of it.
#[derive(Debug)]
struct CountedFile {
    file: File,
    read: Arc<AtomicU64>,
}

impl Read for CountedFile {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let n = self.file.read(buffer)?;
        let more = u64::try_from(n).unwrap_or(0);
        let before = self.read.fetch_add(more, Ordering::Relaxed);
        bounded::expect_end(&self.file, before.saturating_add(more))?;
        Ok(n)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Blocks and single entries by turns: each entry once, and the end once.
    #[test]
    fn what_is_taken_singly_is_in_no_block() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("long.csv");
        let count = 2 * BLOCK + 100;
        let rows: Vec<String> = (0..count).map(|n| format!("{n},0.05\n")).collect();
        std::fs::write(&path, format!("time_s,current_a\n{}", rows.concat())).unwrap();
        let mut record = read_any(&path, &ImportOptions::default()).unwrap();
        let mut seen = Vec::new();
        for round in 0.. {
            let before = seen.len();
            if round % 2 == 0 {
                let singly = record.by_ref().take(10 + BLOCK * (round / 6));
                seen.extend(singly.map(|entry| entry.unwrap().t));
            } else if let Some(block) = record.block() {
                seen.extend(block.unwrap().iter().map(|entry| entry.t));
            } else if seen.len() == before {
                break;
            }
        }
        let expected: Vec<i64> = (0..).map(|n| n * 1000).take(count).collect();
        assert_eq!(seen.iter().map(|t| t.ms()).collect::<Vec<_>>(), expected);
        assert!(record.next().is_none() && record.block().is_none());
    }
}
