//! Exports: a recorded file written as another kind, whole or not at all.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow, bail};

use super::session_file::{self, FileNotices};
use super::whole::Growing;
use crate::desk::Event;
use crate::journal::import::ImportOptions;
use crate::reading::{Elapsed, number};
use crate::report::case::{Case, Source, known_at};
use crate::report::html::Html;
use crate::report::markdown::Markdown;
use crate::report::plot::Plot;
use crate::report::sheet::Sheet;
use crate::report::svg::Svg;
use crate::report::{csv, json};
use crate::session::card::OtherCar;
use crate::session::export_kind::{ENDINGS, ExportKind};
use crate::session::{Card, Fact, Session};
use crate::shell::{Outbox, threads, zone};

/// What is to be written, and of what.
#[derive(Clone, Debug, Default)]
pub struct ExportOrder {
    /// The record.
    pub from: PathBuf,
    /// The file to write; its ending names the kind.
    pub to: PathBuf,
    /// An earlier record to set beside it.
    pub compare: Option<PathBuf>,
    /// Whether a file that stands there already is replaced.
    pub replace: bool,
    /// Whether it is for somebody who is not to know whose car it was.
    pub without_names: bool,
    /// How a CSV log is to be read.
    pub options: ImportOptions,
    /// What is known besides the record's own card, and goes before it.
    pub card: Card,
}

/// The kind that the file's ending names.
fn kind(path: &Path) -> Result<ExportKind> {
    ExportKind::of(path).ok_or_else(|| {
        anyhow!(
            "{}: no export of this kind: expected a file that ends in {ENDINGS}",
            path.display()
        )
    })
}

/// Tells how far the reading of a record has come, each percent once. An export may have to read it
/// more than once: each pass counts from the start.
pub struct Percents<'a> {
    last: u8,
    tell: &'a mut dyn FnMut(u8),
}

impl<'a> Percents<'a> {
    /// Nothing is read yet.
    pub fn new(tell: &'a mut dyn FnMut(u8)) -> Self {
        Self { last: 0, tell }
    }

    fn at(&mut self, (done, total): (u64, u64)) {
        if let Some(percent) = number::percent(done, total).filter(|percent| *percent != self.last)
        {
            self.last = percent;
            (self.tell)(percent);
        }
    }
}

/// Writes the export on a thread of its own and tells the desk how it went.
///
/// # Errors
/// When the system has no thread to give.
pub fn spawn(from: PathBuf, to: PathBuf, replace: bool, outbox: &Outbox) -> io::Result<()> {
    let desk = outbox.clone();
    threads::spawn("export", outbox, move || {
        let order = ExportOrder {
            from,
            to: to.clone(),
            replace,
            ..ExportOrder::default()
        };
        // The desk may have closed: the file is written all the same.
        let mut tell = |percent| desk.say(Event::Exporting(percent));
        let outcome = write(&order, &mut Percents::new(&mut tell));
        desk.say(match outcome {
            Ok(_) => Event::Exported(Ok(to)),
            Err(why) if why.is::<Exists>() => Event::ExportExists(to),
            Err(why) => Event::Exported(Err(format!("{why:#}"))),
        });
    })?;
    Ok(())
}

/// Writes a record as another kind of file, and answers with what there is to say about the
/// record. What stood there before is replaced only by a whole export.
///
/// # Errors
/// When one of the files cannot be used.
pub fn write(order: &ExportOrder, told: &mut Percents<'_>) -> Result<FileNotices> {
    let kind = kind(&order.to)?;
    if kind == ExportKind::Csv && order.compare.is_some() {
        bail!(
            "{}: a CSV holds one record: compare in .html, .md, .svg or .json",
            order.to.display()
        );
    }
    for record in std::iter::once(&order.from).chain(&order.compare) {
        if same_file(record, &order.to) {
            bail!(
                "{}: would overwrite the record itself: name another file",
                order.to.display()
            );
        }
    }
    // Before the work, and once more when the file takes its place.
    if !order.replace && order.to.exists() {
        bail!(Exists(order.to.clone()));
    }
    let (mut case, mut notices, names) = case(&order.from, order, told)?;
    // A file of its own: the card of the command line speaks of this one too.
    let earlier = match &order.compare {
        Some(path) => {
            let (earlier, _, its_names) = self::case(path, order, told)?;
            if let Some(cars) = names.other_car(&its_names) {
                let said = in_doubt(cars, path, order.without_names);
                case.source.notices.push(said.clone());
                notices.add(said);
            }
            Some(earlier)
        }
        None => None,
    };
    let place = || order.to.display().to_string();
    let mut out = Growing::beside(&order.to).with_context(place)?;
    let sheet = || Sheet::new(&case, earlier.as_ref());
    match kind {
        ExportKind::Html => write!(out, "{}", Html(&sheet())),
        ExportKind::Markdown => write!(out, "{}", Markdown(&sheet())),
        ExportKind::Svg => write!(out, "{}", Svg(&Plot::new(&case, earlier.as_ref()))),
        ExportKind::Json => {
            let earlier = earlier.as_ref().map(|case| &case.judgement);
            json::write_beside(&case.judgement, earlier, &mut out)
        }
        ExportKind::Csv => {
            let mut rows = csv::CsvExport::new(&case, &mut out).with_context(place)?;
            // A second pass, because no fold keeps a week of readings.
            let mut record = session_file::read_any(&order.from, &order.options)?;
            while let Some(entries) = record.block() {
                for entry in entries? {
                    rows.entry(entry).with_context(place)?;
                }
                told.at(record.progress());
            }
            rows.finish()
        }
    }
    .with_context(place)?;
    if order.replace {
        out.replace(&order.to).with_context(place)?;
    } else if let Err(why) = out.place_new(&order.to) {
        return Err(if why.kind() == io::ErrorKind::AlreadyExists {
            Exists(order.to.clone()).into()
        } else {
            anyhow!(why).context(place())
        });
    }
    Ok(notices)
}

/// The target stands there already, and nobody said that it may go.
#[derive(Debug, thiserror::Error)]
#[error("{}: exists already: name another file, or add --replace to have it replaced", .0.display())]
struct Exists(PathBuf);

fn same_file(from: &Path, to: &Path) -> bool {
    matches!((fs::canonicalize(from), fs::canonicalize(to)), (Ok(a), Ok(b)) if a == b)
}

/// Folds and judges a record; one that holds a repair also up to where that began.
/// Whether before and after are of one car is for whoever knows them to say.
fn in_doubt(cars: OtherCar<'_>, earlier: &Path, without_names: bool) -> String {
    let earlier = file_name(earlier);
    if without_names {
        return format!("{earlier}, for before, names its car otherwise: is it the same?");
    }
    let OtherCar { this, other } = cars;
    format!("its car is '{this}', that of {earlier}, for before, '{other}': is it the same?")
}

/// A record judged, what there is to say of its file, and its card with the names.
fn case(
    path: &Path,
    order: &ExportOrder,
    told: &mut Percents<'_>,
) -> Result<(Case, FileNotices, Card)> {
    let (mut case, notices, names) = folded(path, order, None, told)?;
    if let Some(cut) = case.cut() {
        let (before, ..) = folded(path, order, Some(cut), told)?;
        case.before = Some(Box::new(before));
    }
    Ok((case, notices, names))
}

fn folded(
    path: &Path,
    order: &ExportOrder,
    cut: Option<Elapsed>,
    told: &mut Percents<'_>,
) -> Result<(Case, FileNotices, Card)> {
    let mut record = session_file::read_any(path, &order.options)?;
    let mut session = Session::new(record.header.clone());
    let mut source = Source {
        file: file_name(path),
        started: record.dated.then_some(record.header.started),
        ..Source::default()
    };
    while let Some(entries) = record.block() {
        for entry in entries? {
            if let Fact::Resumed(at) = &entry.fact {
                source.resumed.push((entry.t, *at));
            }
            let Some(cut) = cut else {
                session.apply(entry);
                continue;
            };
            if let Some(entry) = known_at(cut, entry.clone()) {
                session.apply(&entry);
            }
        }
        told.at(record.progress());
    }
    session.learn(&order.card);
    let names = session.card().clone();
    if order.without_names {
        session.forget_names();
    }
    let notices = record.notices.clone();
    source.notices.clone_from(&notices.first);
    if notices.more > 0 {
        source
            .notices
            .push(format!("and {} more of the kind", notices.more));
    }
    Ok((Case::new(session, source, zone::offsets), notices, names))
}

fn file_name(path: &Path) -> String {
    let name = path.file_name().unwrap_or(path.as_os_str());
    name.to_string_lossy().into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_percent_is_told_once_a_pass() {
        let mut heard = Vec::new();
        let mut tell = |percent| heard.push(percent);
        let mut told = Percents::new(&mut tell);
        for _ in 0..2 {
            for done in [0, 1, 250, 251, 500, 1000] {
                told.at((done, 1000));
            }
        }
        // What has no length is not told.
        told.at((5, 0));
        assert_eq!(heard, [25, 50, 100, 0, 25, 50, 100]);
    }
}
