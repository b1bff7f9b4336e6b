//! `export`: a recorded file written as another kind.

use std::process::ExitCode;

use anyhow::Result;

use crate::shell::export::{self, Order};
use crate::shell::flags::export::Export;
use crate::shell::{card_file, warn_of};

pub(super) fn run(flags: &Export) -> Result<ExitCode> {
    let order = Order {
        from: flags.file.clone(),
        to: flags.to.clone(),
        compare: flags.compare.clone(),
        options: flags.csv.options(),
        card: card_file::card(&flags.card)?,
    };
    let notices = export::write(&order)?;
    warn_of(&flags.file, &notices);
    Ok(ExitCode::SUCCESS)
}
