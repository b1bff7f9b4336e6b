//! `live`: the board on a meter. `record`: the same without a screen.

use std::io;

use anyhow::{Result, bail};

use super::rehearse;
use crate::desk::Habits;
use crate::meter::MeterUri;
use crate::shell::faces::plain_lines::PlainLines;
use crate::shell::flags::{Record, Rehearse};
use crate::shell::mark_lines::Lines;
use crate::shell::{Settings, card_file, recording};

pub(super) fn on_board(flags: &Record, settings: &Settings) -> Result<()> {
    recording::expect_terminal("lullboard live", "lullboard record")?;
    if let (MeterUri::Rehearsal { .. }, Some(volts)) = (&flags.meter, &flags.volts) {
        bail!(
            "--volts {volts}: a simulated car has no battery to put probes on: expected it beside a real meter"
        );
    }
    if let Some(mut rehearsal) = Rehearse::asked_by(&flags.meter) {
        rehearsal.out.clone_from(&flags.out);
        rehearsal.fuses.clone_from(&flags.card.fuses);
        rehearsal.on.clone_from(&flags.on);
        return rehearse::run(&rehearsal, settings);
    }
    let card = card_file::card(&flags.card)?;
    let commands = settings.commands(&flags.on)?;
    let (recording, desk) = recording::begin(flags, &card, settings.habits.clone())?;
    let lines = Lines::asked(flags.marks.as_deref(), false);
    let recording = recording.telling(commands)?.marked_by(lines)?;
    recording.on_board(desk, settings)
}

pub(super) fn in_lines(flags: &Record, settings: &Settings) -> Result<()> {
    let commands = settings.commands(&flags.on)?;
    // The meter may be on standard input itself.
    let is_free = !matches!(flags.meter, MeterUri::Pipe { .. });
    let lines = Lines::asked(flags.marks.as_deref(), is_free);
    if !is_free && matches!(lines, Lines::Stdin) {
        bail!("--marks -: standard input is the meter's already: expected a file or a FIFO");
    }
    if flags.meter == MeterUri::Manual && flags.marks.is_none() {
        bail!(
            "manual: needs hands: expected lines like 'read 43m' from --marks FILE, or --marks - for \
             standard input, or use 'lullboard live'"
        );
    }
    let (recording, desk) = if let Some(mut rehearsal) = Rehearse::asked_by(&flags.meter) {
        rehearsal.out.clone_from(&flags.out);
        rehearsal.fuses.clone_from(&flags.card.fuses);
        rehearse::begin(&rehearsal, Habits::default())?
    } else {
        let card = card_file::card(&flags.card)?;
        recording::begin(flags, &card, Habits::default())?
    };
    let recording = recording.telling(commands)?.marked_by(lines)?;
    recording.in_lines(desk, &mut PlainLines::new(io::stdout()))
}
