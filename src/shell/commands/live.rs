//! `live`: the board on a meter.

use std::process::ExitCode;

use anyhow::Result;

use super::rehearse;
use crate::meter::uri::MeterUri;
use crate::shell::flags::Live;
use crate::shell::settings::Settings;
use crate::shell::{card_file, recording};

pub(super) fn run(flags: &Live, settings: &Settings) -> Result<ExitCode> {
    recording::expect_terminal("lullboard live", "lullboard record")?;
    if let MeterUri::Rehearsal { story, speed, seed } = &flags.recording.meter {
        let out = flags.recording.out.as_deref();
        let fuses = flags.card.fuses.as_deref();
        return rehearse::from_uri(story, *speed, *seed, out, fuses, settings);
    }
    let card = card_file::card(&flags.card)?;
    let (recording, desk) = recording::begin(&flags.recording, &card, settings.habits.clone())?;
    recording.on_board(desk, settings)?;
    Ok(ExitCode::SUCCESS)
}
