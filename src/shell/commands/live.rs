//! `live`: the board on a meter.

use std::process::ExitCode;

use anyhow::Result;

use super::rehearse;
use crate::shell::flags::Live;
use crate::shell::source::MeterUri;
use crate::shell::{card_file, recording};

pub(super) fn run(flags: &Live) -> Result<ExitCode> {
    recording::expect_terminal("lullboard live", "lullboard record")?;
    if let MeterUri::Rehearsal { story, speed, seed } = &flags.recording.meter {
        let out = flags.recording.out.as_deref();
        return rehearse::from_uri(story, *speed, *seed, out, flags.card.fuses.as_deref());
    }
    let (recording, desk) = recording::begin(&flags.recording, &card_file::card(&flags.card)?)?;
    recording.on_board(desk)?;
    Ok(ExitCode::SUCCESS)
}
