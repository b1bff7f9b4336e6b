//! What is said on the plain terminal when a recording has ended. Nobody may be listening any more; the
//! file is there all the same.

use std::io::{self, Write};
use std::path::Path;

use crate::desk::Event;

/// How many messages of the meter were not understood: as the desk knew it, and what came `since`.
pub(super) fn not_understood(known: u64, since: impl Iterator<Item = Event>) {
    let counted = since.filter_map(|event| {
        if let Event::NotUnderstood(count) = event {
            Some(count)
        } else {
            None
        }
    });
    let count = counted.last().unwrap_or(known);
    if count > 0 {
        let _ = writeln!(
            io::stdout().lock(),
            "Messages of the meter not understood, and left out: {count}"
        );
    }
}

/// Where the session is, and what to do with it.
pub(super) fn tell_where(path: &Path) {
    let path = path.display();
    let _ = writeln!(
        io::stdout().lock(),
        "The session is in {path}\nShow it again: lullboard open {path}\nJudge it: lullboard judge {path}"
    );
}
