//! Exports: a recorded file written as another kind, whole or not at all.

use std::fs::{self, File};
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow, bail};
use crossbeam_channel::Sender;

use super::clock::Clock;
use super::stage::percent;
use super::{session_file, threads};
use crate::desk::message::{Event, Message};
use crate::journal::import::ImportOptions;
use crate::judge;
use crate::report::{csv, json};
use crate::session::Session;

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

/// Hears how far an export has come, in percent.
pub type Tell<'a> = &'a mut dyn FnMut(u8);

/// Passes over a record, told as one share of the whole work, each percent once.
struct Told<'a> {
    passes: u64,
    last: u8,
    tell: Tell<'a>,
}

impl<'a> Told<'a> {
    fn new(passes: u64, tell: Tell<'a>) -> Self {
        let last = 0;
        Self { passes, last, tell }
    }

    fn at(&mut self, pass: u64, (done, total): (u64, u64)) {
        let done = total.saturating_mul(pass).saturating_add(done);
        let percent = percent(done, total.saturating_mul(self.passes));
        if let Some(percent) = percent.filter(|percent| *percent > self.last) {
            self.last = percent;
            (self.tell)(percent);
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
        let mut tell = |percent| {
            let event = Event::Exporting(percent);
            let t = stamp.now();
            let _ = inbox.send(Message { t, event });
        };
        let outcome = write(&from, &to, &ImportOptions::default(), &mut tell)
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
/// replaced only by a whole export. `tell` hears how far the reading has come.
///
/// # Errors
/// When either file cannot be used.
pub fn write(from: &Path, to: &Path, options: &ImportOptions, tell: Tell<'_>) -> Result<()> {
    let kind = Kind::of(to)?;
    if same_file(from, to) {
        bail!(
            "{}: would overwrite the record itself: name another file",
            to.display()
        );
    }
    let part = beside(to);
    let written = write_part(from, &part, kind, options, tell)
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

fn write_part(
    from: &Path,
    part: &Path,
    kind: Kind,
    options: &ImportOptions,
    tell: Tell<'_>,
) -> Result<()> {
    let passes = match kind {
        Kind::Json => 1,
        Kind::Csv => 2,
    };
    let mut record = session_file::read_any(from, options)?;
    let mut session = Session::new(record.header().clone());
    let mut told = Told::new(passes, tell);
    while let Some(entry) = record.next() {
        session.apply(&entry?);
        told.at(0, record.progress());
    }
    let place = || part.display().to_string();
    let mut out = BufWriter::new(File::create(part).with_context(place)?);
    match kind {
        Kind::Json => json::write(&judge::judge(&session), &mut out).with_context(place)?,
        Kind::Csv => {
            let mut rows = csv::Export::new(&session, &mut out).with_context(place)?;
            // A second pass, because no fold keeps a week of readings.
            let mut record = session_file::read_any(from, options)?;
            while let Some(entry) = record.next() {
                rows.entry(&entry?).with_context(place)?;
                told.at(1, record.progress());
            }
            rows.finish().with_context(place)?;
        }
    }
    out.flush().with_context(place)?;
    out.get_ref().sync_all().with_context(place)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_passes_are_told_as_one_work_and_each_percent_once() {
        let mut heard = Vec::new();
        let mut tell = |percent| heard.push(percent);
        let mut told = Told::new(2, &mut tell);
        for pass in 0..2 {
            for done in [0, 1, 250, 251, 500, 1000] {
                told.at(pass, (done, 1000));
            }
        }
        // What has no length is not told.
        told.at(1, (5, 0));
        assert_eq!(heard, [12, 25, 50, 62, 75, 100]);
    }
}
