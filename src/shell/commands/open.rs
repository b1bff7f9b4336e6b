//! `open`: a recorded session on the board; with a meter, recorded further.

use std::path::Path;
use std::process::ExitCode;

use anyhow::{Result, bail};
use crossbeam_channel::unbounded;

use crate::desk::{Model, Options};
use crate::journal::import::ImportOptions;
use crate::reading::Elapsed;
use crate::session::entry::{Entry, Fact};
use crate::shell::clock::{self, Clock};
use crate::shell::feed::Feed;
use crate::shell::flags::Open;
use crate::shell::hearing;
use crate::shell::recording::{self, Recording, replay_into};
use crate::shell::run::Wiring;
use crate::shell::source::MeterUri;
use crate::shell::{session_file, warn_of};

pub(super) fn run(flags: &Open) -> Result<ExitCode> {
    recording::expect_terminal("lullboard open", "lullboard judge")?;
    match &flags.meter {
        Some(uri) => go_on(&flags.file, uri)?,
        None => review(&flags.file)?,
    }
    Ok(ExitCode::SUCCESS)
}

fn review(file: &Path) -> Result<()> {
    let mut desk = Model::new(
        read(file)?.header().clone(),
        Options {
            live: false,
            read_only: true,
            export_name: recording::export_name(file),
            ..Options::default()
        },
    );
    replay_into(&mut desk, read(file)?)?;
    let (outbox, inbox) = unbounded();
    // The record does not go on: its time stands at its last moment.
    let clock = Clock::stopped(desk.session().last_t());
    let wiring = Wiring {
        inbox,
        outbox,
        clock,
        facts: None,
        file: file.to_owned(),
        marks: None,
        ends_with_source: false,
    };
    recording::on_board(&mut desk, &wiring)
}

fn go_on(file: &Path, uri: &MeterUri) -> Result<()> {
    if matches!(uri, MeterUri::Rehearsal { .. } | MeterUri::Replay { .. }) {
        bail!("{uri}: does not go on where the session stopped: expected a real meter");
    }
    let uri = &hearing::settled(uri)?;
    let resumed = session_file::resume(file)?;
    warn_of(file, &resumed.notices);
    // The card tells which clamp or shunt is in use.
    let feed = Feed::open(uri, resumed.session.card())?;
    let now = clock::wall();
    let base: Elapsed = session_file::base(&resumed.session, now);
    let header = resumed.session.header().clone();
    let mut desk = Model::new(header, recording::options(file));
    replay_into(&mut desk, read(file)?)?;
    // Stands in the file before the first reading of the new stretch.
    let resumption = Entry {
        t: base,
        fact: Fact::Resumed(now),
    };
    let clock = Clock::start(base, 1.0);
    Recording::start(resumed.file, clock, vec![resumption], feed)?.on_board(desk)
}

fn read(file: &Path) -> Result<session_file::Record> {
    Ok(session_file::read_any(file, &ImportOptions::default())?)
}
