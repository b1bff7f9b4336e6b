//! `live`: the board on a meter.

use anyhow::Result;

use super::rehearse;
use crate::shell::flags::{Record, Rehearse};
use crate::shell::{Settings, card_file, recording};

pub(super) fn run(flags: &Record, settings: &Settings) -> Result<()> {
    recording::expect_terminal("lullboard live", "lullboard record")?;
    if let Some(mut rehearsal) = Rehearse::asked_by(&flags.meter) {
        rehearsal.out.clone_from(&flags.out);
        rehearsal.fuses.clone_from(&flags.card.fuses);
        return rehearse::run(&rehearsal, settings);
    }
    let card = card_file::card(&flags.card)?;
    let (recording, desk) = recording::begin(flags, &card, settings.habits.clone())?;
    recording.on_board(desk, settings)
}
