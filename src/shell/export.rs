//! Exports: a recorded file written as another kind, whole or not at all.

use std::fs::{self, File};
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow, bail};
use crossbeam_channel::Sender;

use super::clock::Clock;
use super::{session_file, threads};
use crate::desk::message::{Event, Message};
use crate::journal::import::ImportOptions;
use crate::judge;
use crate::report::{csv, json};

/// What can be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Csv,
    Json,
}

impl Kind {
    fn of(path: &Path) -> Result<Self> {
        let ending = path.extension().and_then(|ending| ending.to_str());
        match ending.map(str::to_ascii_lowercase).as_deref() {
            Some("csv") => Ok(Self::Csv),
            Some("json") => Ok(Self::Json),
            Some(_) | None => Err(anyhow!(
                "{}: no export of this kind: expected a file that ends in .csv or .json",
                path.display()
            )),
        }
    }
}

/// Writes the export on a thread of its own and tells the desk how it went.
///
/// # Errors
/// When the system has no thread to give.
pub fn spawn(
    from: PathBuf,
    to: PathBuf,
    clock: Clock,
    desk: Sender<Message>,
) -> std::io::Result<()> {
    let (inbox, stamp) = (desk.clone(), clock.clone());
    threads::spawn("export", clock, desk, move || {
        let outcome = write(&from, &to, &ImportOptions::default())
            .map(|()| to)
            .map_err(|why| format!("{why:#}"));
        // The desk may have closed meanwhile; the file is written all the same.
        let _ = inbox.send(Message {
            t: stamp.now(),
            event: Event::Exported(outcome),
        });
    })?;
    Ok(())
}

/// Writes the record in `from` to `to`, whose ending names the kind. What stood there before is
/// replaced only by a whole export.
///
/// # Errors
/// When either file cannot be used.
pub fn write(from: &Path, to: &Path, options: &ImportOptions) -> Result<()> {
    let kind = Kind::of(to)?;
    if same_file(from, to) {
        bail!(
            "{}: would overwrite the record itself: name another file",
            to.display()
        );
    }
    let part = beside(to);
    let written = write_part(from, &part, kind, options)
        .and_then(|()| fs::rename(&part, to).with_context(|| to.display().to_string()));
    if written.is_err() {
        // The first error is the one to tell.
        let _ = fs::remove_file(&part);
    }
    written
}

fn same_file(from: &Path, to: &Path) -> bool {
    matches!((fs::canonicalize(from), fs::canonicalize(to)), (Ok(a), Ok(b)) if a == b)
}

/// The file in which an export grows until it is whole.
fn beside(to: &Path) -> PathBuf {
    let mut name = to.file_name().unwrap_or_default().to_owned();
    name.push(".part");
    to.with_file_name(name)
}

fn write_part(from: &Path, part: &Path, kind: Kind, options: &ImportOptions) -> Result<()> {
    let (session, _) = session_file::fold(from, options)?;
    let place = || part.display().to_string();
    let mut out = BufWriter::new(File::create(part).with_context(place)?);
    match kind {
        Kind::Json => json::write(&judge::judge(&session), &mut out).with_context(place)?,
        Kind::Csv => {
            let mut rows = csv::Export::new(&session, &mut out).with_context(place)?;
            // A second pass, because no fold keeps a week of readings.
            for entry in session_file::read_any(from, options)? {
                rows.entry(&entry?).with_context(place)?;
            }
            rows.finish().with_context(place)?;
        }
    }
    out.flush().with_context(place)?;
    out.get_ref().sync_all().with_context(place)
}
