//! `judge`: every finding, no screen.

use std::io;
use std::process::ExitCode;

use anyhow::{Result, bail};

use crate::judge::finding::Verdict;
use crate::judge::judge;
use crate::meter::Probe;
use crate::reading::number;
use crate::report::{json, text};
use crate::shell::faces::counter::Counter;
use crate::shell::files::session_file;
use crate::shell::flags::Judge;
use crate::shell::printed;
use crate::shell::{card_file, warn_of};

pub(super) fn run(flags: &Judge) -> Result<ExitCode> {
    let card = card_file::card(&flags.card)?;
    let mut counter = Counter::default();
    let folded = session_file::fold(&flags.file, &flags.csv.options(), |(done, total)| {
        if let Some(percent) = number::percent(done, total) {
            counter.show(percent);
        }
    });
    counter.clear();
    let (mut session, notices) = folded?;
    warn_of(&flags.file, &notices);
    let probe = card.probe();
    if probe != Probe::default() && probe != session.card().probe() {
        bail!(
            "{}: its currents are taken as they stand, clamp, shunt and turns count only while \
             recording: expected a log in ampere of the cable, without --clamp, --shunt or --turns",
            flags.file.display()
        );
    }
    session.learn(&card);
    let judgement = judge(&session);
    let written = if flags.json {
        json::write(&judgement, printed::out())
    } else {
        text::write(&session, &judgement, printed::out())
    };
    match written {
        // Whoever read it has seen enough; the exit code still says what was found.
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => {}
        written => written?,
    }
    Ok(match judgement.verdict {
        Verdict::Below => ExitCode::SUCCESS,
        Verdict::Above => ExitCode::from(3),
        Verdict::CannotTell | Verdict::NotSettled => ExitCode::from(4),
    })
}
