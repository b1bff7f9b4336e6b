//! A session being recorded: its journal, its meter, and the loop that joins them to a face.

use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::path::{Path, PathBuf};
use std::sync::mpsc::Receiver;

use anyhow::{Context, Result, bail};

use super::clock::{self, Clock};
use super::faces::stage::TakenTerminal;
use super::faces::terminal;
use super::feed::{Feed, RunningFeed};
use super::files::journal_writer::{self, JournalWriter, Order};
use super::files::session_file::{self, SessionFile};
use super::link::Measures;
use super::machine::Watch;
use super::mark_lines::Lines;
use super::outbox::{self, Outbox};
use super::outside::{OnEvent, Outside};
use super::ports::heard;
use super::run::Face;
use super::wiring::Wiring;
use super::{Settings, farewell, first_session, flags, rescue, run, signals, volts_feed};
use crate::desk::elsewhere;
use crate::desk::habits::Hints;
use crate::desk::{Habits, Message, Model, Options};
use crate::meter::uri::{MeterUri, Wire};
use crate::reading::Elapsed;
use crate::rehearsal;
use crate::session::{Card, Entry, Header, MeterCard};

/// Everything that runs while a session is recorded.
#[derive(Debug)]
pub struct Recording {
    wiring: Wiring,
    journal: JournalWriter,
    feed: RunningFeed,
    volts: Option<RunningFeed>,
}

impl Recording {
    /// Starts the journal on `file` with the first entry, if there is one, and then the feed.
    ///
    /// # Errors
    /// When the system has no thread to give.
    pub fn start(
        channel: (Outbox, Receiver<Message>),
        file: SessionFile,
        first: Option<Entry>,
        feed: Feed,
    ) -> Result<Self> {
        let mut wiring = Wiring::reading(file.path().to_owned(), channel);
        let journal = journal_writer::spawn(file, &wiring.outbox)?;
        if let Some(entry) = first {
            journal.facts.send(entry)?;
        }
        let readings = journal.readings.clone();
        let is_real = matches!(feed, Feed::Meter(_));
        let machine = is_real.then(|| Watch::spawn(wiring.file.clone(), &wiring.outbox));
        let machine = machine.transpose()?;
        let feed = feed.start(readings, &wiring.outbox, Measures::Current)?;
        wiring.facts = Some(journal.facts.clone());
        wiring.orders = Some(journal.orders.clone());
        wiring.marks.clone_from(&feed.marks);
        wiring.machine = machine;
        Ok(Self {
            wiring,
            journal,
            feed,
            volts: None,
        })
    }

    /// Takes the battery's volts in beside the current, on the same clock and into the same journal.
    ///
    /// # Errors
    /// When the system has no thread to give.
    pub fn beside(mut self, volts: Option<Feed>) -> Result<Self> {
        if let Some(feed) = volts {
            let readings = self.journal.readings.clone();
            self.volts = Some(feed.start(readings, &self.wiring.outbox, Measures::Volts)?);
        }
        Ok(self)
    }

    /// Runs these when something happens.
    ///
    /// # Errors
    /// When the system has no thread to give.
    pub fn telling(mut self, commands: Vec<OnEvent>) -> Result<Self> {
        self.wiring.outside = Outside::spawn(commands, &self.wiring.outbox)?;
        Ok(self)
    }

    /// Takes marks as lines too.
    ///
    /// # Errors
    /// When they cannot be had.
    pub fn marked_by(self, lines: Lines) -> Result<Self> {
        lines.spawn(&self.wiring.outbox)?;
        Ok(self)
    }

    /// Runs on the terminal until the user quits, then closes the journal.
    ///
    /// # Errors
    /// When the terminal refuses, or something did not reach the disk.
    pub fn on_board(self, desk: Model, settings: &Settings) -> Result<()> {
        self.on_stage(desk, |outbox| TakenTerminal::enter(settings, outbox))
    }

    /// The same on a terminal that may have been taken before, for reading.
    ///
    /// # Errors
    /// When the terminal is gone, or something did not reach the disk.
    pub fn on_stage(
        self,
        mut desk: Model,
        take: impl FnOnce(&Outbox) -> Result<TakenTerminal>,
    ) -> Result<()> {
        let mut stage = None;
        let closed = self.closed_after(|wiring| {
            let taken = take(&wiring.outbox)?;
            stage.insert(taken).run(&mut desk, wiring)
        });
        drop(stage);
        let (path, _) = closed?;
        farewell::tell_where(&path);
        Ok(())
    }

    /// Runs with one line for each event until a signal or the end of the meter's record ends it,
    /// then closes the journal.
    ///
    /// # Errors
    /// When standard output is gone, or something did not reach the disk.
    pub fn in_lines(mut self, mut desk: Model, face: &mut dyn Face) -> Result<()> {
        self.wiring.ends_with_source = true;
        // Should the thread be gone, closing says so.
        let _ = self.journal.orders.send(Order::LeaveUnwatched);
        desk.leave_unattended();
        let (path, inbox) = self.closed_after(|wiring| {
            signals::spawn(&wiring.outbox)?;
            Ok(run::run(&mut desk, wiring, face)?)
        })?;
        let left = inbox.try_iter().map(|message| message.event);
        farewell::not_understood(desk.not_understood(), left);
        farewell::tell_where(&path);
        Ok(())
    }

    /// Shows the session, and seals its journal before the terminal is let go, whatever ended the
    /// showing: what went wrong on the screen, a panic too, must never cost the record. Where it is, and
    /// what nobody has taken in.
    fn closed_after(
        self,
        show: impl FnOnce(&Wiring) -> Result<()>,
    ) -> Result<(PathBuf, Receiver<Message>)> {
        let rescue = rescue::watch(&self.journal, &self.wiring.outbox)?;
        let shown = catch_unwind(AssertUnwindSafe(|| show(&self.wiring)));
        rescue.over();
        let closed = self.close();
        let shown = shown.unwrap_or_else(|panic| resume_unwind(panic));
        let closed = closed?;
        shown.map(|()| closed)
    }

    /// The meters first, so that nothing comes any more; then the journal, sealed.
    fn close(self) -> Result<(PathBuf, Receiver<Message>)> {
        let Self {
            mut wiring,
            journal,
            feed,
            volts,
        } = self;
        let file = wiring.file.clone();
        let outside = wiring.outside.take();
        let inbox = wiring.let_go();
        feed.stop();
        if let Some(volts) = volts {
            volts.stop();
        }
        let closed = journal.stop(true);
        if let Some(outside) = outside {
            outside.end();
        }
        let path = closed.with_context(|| file.display().to_string())?;
        Ok((path, inbox))
    }
}

/// Refuses to draw into a file or a pipe.
///
/// # Errors
/// When standard output is no terminal.
pub fn expect_terminal(command: &str, instead: &str) -> Result<()> {
    if !terminal::is_here() {
        bail!(
            "standard output is not a terminal: '{command}' draws a board there; \
             expected a terminal, or use '{instead}'"
        );
    }
    Ok(())
}

/// The header of a session that begins now.
pub fn header(card: Card, uri: &MeterUri, volts: Option<&MeterUri>) -> Header {
    Header {
        started: clock::wall(),
        card,
        meter: MeterCard {
            uri: uri.to_string(),
            format: uri
                .wire()
                .and_then(Wire::format_name)
                .map(ToOwned::to_owned),
            volts: volts.map(ToString::to_string),
        },
    }
}

/// A session that begins now: its recording and its desk.
///
/// # Errors
/// When the meter, the card or the file cannot be used.
pub fn begin(flags: &flags::Record, card: &Card, habits: Habits) -> Result<(Recording, Model)> {
    let uri = &heard::settled(&flags.meter)?;
    let mut feed = Feed::open(uri, card)?;
    let speed = feed.speed(flags.clock_speed);
    let asked = flags.volts.as_ref();
    let volts = asked.map(|volts| volts_feed::open(volts, uri, speed));
    let volts = volts.transpose()?;
    if volts.is_some() {
        feed.leave_volts();
    }
    let mut known = feed.card();
    known.merge(card);
    let header = header(known, uri, asked);
    let file = new_file(flags.out.as_deref(), Path::new("."), &header)?;
    let first = habits.hints == Hints::Auto && first_session::begins();
    let mut options = options(file.path(), habits);
    options.hints |= first;
    let clock = Clock::start(Elapsed::ZERO, speed);
    let recording = Recording::start(outbox::channel(clock), file, None, feed)?;
    let recording = recording.beside(volts)?;
    Ok((recording, Model::new(header, options)))
}

/// A new session file, of this name or of one after the date.
///
/// # Errors
/// When it is there already or cannot be made.
pub fn new_file(out: Option<&Path>, folder: &Path, header: &Header) -> Result<SessionFile> {
    let path = out.map_or_else(
        || session_file::default_name(folder, header.started),
        Path::to_owned,
    );
    Ok(session_file::create(&path, header)?)
}

/// How the desk is set up while `file` is being recorded.
pub fn options(file: &Path, habits: Habits) -> Options {
    Options {
        live: true,
        hint: Some(Box::new(|session, judgement| {
            rehearsal::lead(session, judgement).map(|hint| hint.text)
        })),
        hints: habits.hints == Hints::On,
        recording: Some(file.display().to_string()),
        export_name: elsewhere::export_name(file),
        habits,
        ..Options::default()
    }
}

/// The desk of a session in `file` that is only read; `live` when another program records it.
pub fn read_only(header: Header, file: &Path, live: bool, settings: &Settings) -> Model {
    let options = Options {
        live,
        read_only: true,
        export_name: elsewhere::export_name(file),
        habits: settings.habits.clone(),
        ..Options::default()
    };
    Model::new(header, options)
}
