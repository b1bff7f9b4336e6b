//! Recorded files: a session or somebody's CSV, opened and folded, whichever it is.
//!
//! What the bytes mean is `journal`'s affair; here they are fetched, and an error gets the name
//! of the file in front.

use std::fs::File;
use std::io::{BufRead, BufReader};
use std::path::Path;

use anyhow::{Context, Result, anyhow};

use super::clock;
use crate::journal::import::{ImportOptions, Importer};
use crate::journal::recover::{Damage, Found, Reader};
use crate::session::Session;
use crate::session::entry::{Entry, Header};

/// A recorded file, open at its first entry.
#[derive(Debug)]
pub struct Archive {
    name: String,
    record: Record,
    damage: Vec<Damage>,
}

#[derive(Debug)]
enum Record {
    Session(Reader<BufReader<File>>),
    Csv(Box<Importer<BufReader<File>>>),
}

impl Archive {
    /// Opens a session or a CSV: a session begins with a brace, which no CSV does.
    ///
    /// # Errors
    /// When the file cannot be read, is empty, is neither, or is of a newer version.
    pub fn open(path: &Path, options: &ImportOptions) -> Result<Self> {
        let name = path.display().to_string();
        let file = File::open(path).with_context(|| name.clone())?;
        let mut bytes = BufReader::with_capacity(1 << 16, file);
        let first = bytes.fill_buf().with_context(|| name.clone())?.first();
        let record = if first == Some(&b'{') {
            Record::Session(Reader::new(bytes).with_context(|| name.clone())?)
        } else {
            let importer = Importer::new(bytes, options, clock::wall());
            Record::Csv(Box::new(importer.with_context(|| name.clone())?))
        };
        Ok(Self {
            name,
            record,
            damage: Vec::new(),
        })
    }

    /// The record's header; a CSV has one made up, with an empty card.
    #[must_use]
    pub fn header(&self) -> &Header {
        match &self.record {
            Record::Session(reader) => reader.header(),
            Record::Csv(importer) => importer.header(),
        }
    }

    /// The next entry. Damaged lines of a session are passed over and kept for
    /// [`Archive::damage`]; a bad row of a CSV is an error.
    ///
    /// # Errors
    /// When the file cannot be read on, or a row of a CSV is bad.
    pub fn next_entry(&mut self) -> Result<Option<Entry>> {
        match &mut self.record {
            Record::Csv(importer) => Ok(importer.next().transpose().context(self.name.clone())?),
            Record::Session(reader) => loop {
                match reader.next().transpose().context(self.name.clone())? {
                    Some(Found::Entry(entry)) => return Ok(Some(entry)),
                    Some(Found::Damage(damage)) => self.damage.push(damage),
                    None => return Ok(None),
                }
            },
        }
    }

    /// The lines passed over so far, and the name of the file, as warnings.
    pub fn warnings(&self) -> impl Iterator<Item = String> {
        let name = &self.name;
        self.damage
            .iter()
            .map(move |damage| format!("{name}: {damage}; passed over"))
    }

    /// Folds all that is left.
    ///
    /// # Errors
    /// As [`Archive::next_entry`].
    pub fn fold(&mut self) -> Result<Session> {
        let mut session = Session::new(self.header().clone());
        while let Some(entry) = self.next_entry()? {
            session.apply(&entry);
        }
        Ok(session)
    }
}

/// Refuses a path that names no regular file, before anything waits for its end.
///
/// # Errors
/// When it does not exist, or is a folder.
pub fn expect_file(path: &Path) -> Result<()> {
    let about = std::fs::metadata(path).with_context(|| path.display().to_string())?;
    if about.is_dir() {
        return Err(anyhow!(
            "{}: is a folder: expected a session (.lull) or a CSV",
            path.display()
        ));
    }
    Ok(())
}
