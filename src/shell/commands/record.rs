//! `record`: the same without a screen.

use std::io;

use anyhow::{Result, bail};

use crate::desk::habits::Habits;
use crate::meter::MeterUri;
use crate::shell::faces::plain_lines::PlainLines;
use crate::shell::flags::Record;
use crate::shell::{card_file, recording};

pub(super) fn run(flags: &Record) -> Result<()> {
    let uri = &flags.meter;
    if matches!(uri, MeterUri::Rehearsal { .. } | MeterUri::Manual) {
        bail!(
            "{uri}: needs a screen and hands: expected serial:, tcp:, pipe:- or replay:, \
             or use 'lullboard live'"
        );
    }
    let card = card_file::card(&flags.card)?;
    let (recording, desk) = recording::begin(flags, &card, Habits::default())?;
    recording.in_lines(desk, &mut PlainLines::new(io::stdout()))
}
