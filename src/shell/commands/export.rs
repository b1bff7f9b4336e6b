//! `export`: a recorded file written as another kind.

use anyhow::Result;

use crate::shell::faces::counter::Counter;
use crate::shell::files::export::{self, ExportOrder, Percents};
use crate::shell::flags::Export;
use crate::shell::{card_file, warn_of};

pub(super) fn run(flags: &Export) -> Result<()> {
    let order = ExportOrder {
        from: flags.file.clone(),
        to: flags.to.clone(),
        compare: flags.compare.clone(),
        replace: flags.replace,
        without_names: flags.without_names,
        options: flags.csv.options(),
        card: card_file::card(&flags.card)?,
    };
    let mut counter = Counter::default();
    let mut tell = |percent| counter.show(percent);
    let written = export::write(&order, &mut Percents::new(&mut tell));
    counter.clear();
    let notices = written?;
    warn_of(&flags.file, &notices);
    Ok(())
}
