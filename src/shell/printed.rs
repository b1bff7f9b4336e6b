//! Standard output for what a command prints: an error of it names it.

use std::io::{self, ErrorKind, StdoutLock, Write};

/// Standard output, ours until this is dropped.
#[derive(Debug)]
pub struct Printed(StdoutLock<'static>);

/// Takes standard output.
pub fn out() -> Printed {
    Printed(io::stdout().lock())
}

impl Write for Printed {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.write(bytes).map_err(named)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush().map_err(named)
    }
}

fn named(why: io::Error) -> io::Error {
    // A write is tried again, or the reader has seen enough: neither is told.
    if matches!(why.kind(), ErrorKind::Interrupted | ErrorKind::BrokenPipe) {
        return why;
    }
    let said = format!(
        "standard output takes no more ({why}): expected a terminal, a pipe that is read, or a file with \
         room"
    );
    io::Error::new(why.kind(), said)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_the_user_can_mend_is_named() {
        let full = named(ErrorKind::StorageFull.into());
        assert_eq!(full.kind(), ErrorKind::StorageFull);
        assert!(
            full.to_string()
                .starts_with("standard output takes no more (")
        );
        for kind in [ErrorKind::BrokenPipe, ErrorKind::Interrupted] {
            assert_eq!(
                named(kind.into()).to_string(),
                io::Error::from(kind).to_string()
            );
        }
    }
}
