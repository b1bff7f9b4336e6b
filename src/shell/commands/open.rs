//! `open`: a recorded session on the board; with a meter, recorded further. A week takes a while to
//! read: how far that has come is shown, and it can be stopped.

use std::path::Path;

use anyhow::{Result, bail};

use crate::desk::Model;
use crate::journal::import::ImportOptions;
use crate::meter::MeterUri;
use crate::reading::Elapsed;
use crate::session::{Entry, Fact};
use crate::shell::clock::{self, Clock};
use crate::shell::faces::stage::TakenTerminal;
use crate::shell::feed::Feed;
use crate::shell::files::session_file::{self, FileFault};
use crate::shell::flags::Open;
use crate::shell::outside::OnEvent;
use crate::shell::ports::heard;
use crate::shell::recording::{self, Recording};
use crate::shell::wiring::Wiring;
use crate::shell::{Settings, outbox, warn_of};

pub(super) fn run(flags: &Open, settings: &Settings) -> Result<()> {
    recording::expect_terminal("lullboard open", "lullboard judge")?;
    match &flags.meter {
        Some(uri) => go_on(&flags.file, uri, settings.commands(&flags.on)?, settings)?,
        None => review(&flags.file, settings)?,
    }
    Ok(())
}

fn review(file: &Path, settings: &Settings) -> Result<()> {
    let mut record = session_file::read_any(file, &ImportOptions::default())?;
    let mut desk = recording::read_only(record.header.clone(), file, false, settings);
    // The record does not go on: its time stands at its last moment.
    let (outbox, inbox) = outbox::channel(Clock::stopped(Elapsed::ZERO));
    let mut stage = TakenTerminal::enter(settings, &outbox)?;
    let mut patience = stage.patience(format!("reading {}", file.display()), &inbox);
    while let Some(entries) = record.block() {
        for entry in entries? {
            desk.recall(entry);
        }
        let (done, total) = record.progress();
        if !patience.goes_on(done, total)? {
            return Ok(());
        }
    }
    desk.recalled();
    for message in patience.end() {
        outbox.desk.send(message)?;
    }
    outbox.clock.set(desk.session().last_t());
    let wiring = Wiring::reading(file.to_owned(), (outbox, inbox));
    let shown = stage.run(&mut desk, &wiring);
    // On the screen that the terminal had before.
    warn_of(file, &record.notices);
    shown
}

fn go_on(file: &Path, uri: &MeterUri, commands: Vec<OnEvent>, settings: &Settings) -> Result<()> {
    if matches!(uri, MeterUri::Rehearsal { .. } | MeterUri::Replay { .. }) {
        bail!("{uri}: does not go on where the session stopped: expected a real meter");
    }
    // Asks on the plain terminal, if it has to.
    let uri = &heard::settled(uri)?;
    // Set forward as soon as it is known where the session stopped.
    let (outbox, inbox) = outbox::channel(Clock::start(Elapsed::ZERO, 1.0));
    let mut stage = TakenTerminal::enter(settings, &outbox)?;
    let mut patience = stage.patience(format!("reading {}", file.display()), &inbox);
    let mut tell = |done, total| patience.goes_on(done, total);
    let resumed = match session_file::resume(file, &mut tell) {
        Err(error) if matches!(error.why, FileFault::Stopped) => return Ok(()),
        resumed => resumed?,
    };
    let pressed = patience.end();
    // The card tells which clamp or shunt is in use.
    let feed = Feed::open(uri, resumed.session.card())?;
    let now = clock::wall();
    let base: Elapsed = session_file::base(&resumed.session, now);
    outbox.clock.set(base);
    for message in pressed {
        outbox.try_say(message.event)?;
    }
    let mut options = recording::options(file, settings.habits.clone());
    options.by_eye = Some(*uri == MeterUri::Manual);
    let mut desk = Model::with(resumed.session, options);
    desk.recalled();
    // Stands in the file before the first reading of the new stretch.
    let resumption = Entry {
        t: base,
        fact: Fact::Resumed(now),
    };
    let recording = Recording::start((outbox, inbox), resumed.file, Some(resumption), feed)?;
    let recording = recording.telling(commands)?;
    let shown = recording.on_stage(desk, |_| Ok(stage));
    warn_of(file, &resumed.notices);
    shown
}
