//! `live`: the board on a meter.

use std::process::ExitCode;

use anyhow::Result;

use super::rehearse;
use crate::shell::flags::Live;
use crate::shell::recording;
use crate::shell::settings::Settings;
use crate::shell::source::MeterUri;

pub(super) fn run(flags: &Live, settings: &Settings) -> Result<ExitCode> {
    recording::expect_terminal("lullboard live", "lullboard record")?;
    if let MeterUri::Rehearsal { story, speed, seed } = &flags.recording.meter {
        return rehearse::from_uri(
            story,
            *speed,
            *seed,
            flags.recording.out.as_deref(),
            settings,
        );
    }
    let (recording, desk) =
        recording::begin(&flags.recording, &flags.card, settings.habits.clone())?;
    recording.on_board(desk, settings)?;
    Ok(ExitCode::SUCCESS)
}
