//! Why a source cannot be opened, with the mend.

use std::path::Path;

use serialport::ErrorKind;

use super::list::Port;
use super::{holder, list};

/// Why a source cannot be opened.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SourceError {
    /// No such port.
    #[error(
        "there is no port {path}. {there}. Is the adapter plugged in? One that vanishes seconds \
         after plugging may have been taken by brltty (braille displays): remove or stop it"
    )]
    NoSuchPort {
        /// The port asked for.
        path: String,
        /// Which ports there are.
        there: String,
    },
    /// Another program holds the port.
    #[error(
        "{path} is in use by {by}: close it and try again. Just plugged in, a port may \
         be held for some seconds by ModemManager or brltty"
    )]
    Busy {
        /// The port.
        path: String,
        /// Who holds it, as far as it can be told.
        by: String,
    },
    /// The user may not open the port.
    #[error(
        "no permission to open {path}: expected a user in the group '{group}' (dialout on most \
         systems, uucp on some). Run: sudo usermod -aG {group} $USER, then log out and in"
    )]
    NoPermission {
        /// The port.
        path: String,
        /// The group that may.
        group: String,
    },
    /// The path is something else.
    #[error("{path} is not a serial port. {there}")]
    NotSerial {
        /// The path.
        path: String,
        /// Which ports there are.
        there: String,
    },
    /// Nobody listens there.
    #[error("{0} refused the connection: is the instrument on, and is this its raw socket?")]
    Refused(String),
    /// The name or network leads nowhere.
    #[error("{address} cannot be reached ({why}): check the cable, the name and the network")]
    Unreachable {
        /// Host and port.
        address: String,
        /// What the system says.
        why: String,
    },
    /// Nothing is piped in.
    #[error(
        "nothing is piped in: expected for example: my-logger | lullboard record --meter pipe:-"
    )]
    NoPipe,
    /// The source gives entries, not bytes.
    #[error("{0} is played, not opened: expected serial:, tcp:, pipe: or manual: here")]
    NoBytes(String),
    /// Anything else, in the system's words.
    #[error("{place} cannot be opened: {why}")]
    Other {
        /// What.
        place: String,
        /// What the system says.
        why: String,
    },
}

impl SourceError {
    /// What the serial library's error means for the port at `path`.
    pub(super) fn serial(path: &str, error: &serialport::Error, there: &[Port]) -> Self {
        use std::io::ErrorKind as Io;
        let name = path.to_owned();
        let exists = Path::new(path).exists();
        match error.kind {
            ErrorKind::NoDevice if cfg!(unix) && exists => Self::busy(name),
            ErrorKind::NoDevice | ErrorKind::Io(Io::NotFound) => Self::NoSuchPort {
                path: name,
                there: list::in_words(there),
            },
            ErrorKind::Io(Io::PermissionDenied) if cfg!(unix) => Self::NoPermission {
                path: name,
                group: group_of(Path::new(path)),
            },
            ErrorKind::Io(Io::PermissionDenied) => Self::busy(name),
            ErrorKind::Unknown | ErrorKind::InvalidInput
                if (exists && !is_device(path)) || error.description.contains("typewriter") =>
            {
                Self::NotSerial {
                    path: name,
                    there: list::in_words(there),
                }
            }
            ErrorKind::Unknown | ErrorKind::InvalidInput | ErrorKind::Io(_) => Self::Other {
                place: name,
                why: error.description.clone(),
            },
        }
    }

    fn busy(path: String) -> Self {
        let by = holder::in_words(Path::new(&path));
        Self::Busy { path, by }
    }

    /// Whether waiting alone will not mend it, so that the board should say it.
    pub(crate) const fn needs_hands(&self) -> bool {
        matches!(self, Self::Busy { .. } | Self::NoPermission { .. })
    }
}

#[cfg(unix)]
fn is_device(path: &str) -> bool {
    use std::os::unix::fs::FileTypeExt;
    std::fs::metadata(path).is_ok_and(|meta| meta.file_type().is_char_device())
}

#[cfg(not(unix))]
fn is_device(_path: &str) -> bool {
    true
}

/// The group that owns the port; `dialout` when it cannot be told.
#[cfg(unix)]
fn group_of(path: &Path) -> String {
    use std::os::unix::fs::MetadataExt;
    let usual = || "dialout".to_owned();
    // Joining root's group is no mend.
    let Some(gid) = std::fs::metadata(path)
        .ok()
        .map(|meta| meta.gid())
        .filter(|&gid| gid != 0)
    else {
        return usual();
    };
    let groups = std::fs::read_to_string("/etc/group").unwrap_or_default();
    groups
        .lines()
        .find_map(|line| {
            let mut parts = line.split(':');
            let name = parts.next()?;
            let number: u32 = parts.nth(1)?.parse().ok()?;
            (number == gid).then(|| name.to_owned())
        })
        .unwrap_or_else(usual)
}

#[cfg(not(unix))]
fn group_of(_path: &Path) -> String {
    "dialout".to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(path: &str, kind: ErrorKind, words: &str) -> SourceError {
        SourceError::serial(path, &serialport::Error::new(kind, words), &[])
    }

    #[test]
    fn the_mend_follows_the_fault() {
        let path = "/dev/null";
        let busy = of(path, ErrorKind::NoDevice, "Device or resource busy");
        assert!(busy.to_string().contains("close it"), "{busy}");
        let denied = of(
            path,
            ErrorKind::Io(std::io::ErrorKind::PermissionDenied),
            "no",
        );
        let words = denied.to_string();
        assert!(words.contains("usermod -aG dialout $USER"), "{words}");
        let typewriter = of(path, ErrorKind::Unknown, "Not a typewriter");
        assert!(typewriter.to_string().contains("not a serial port"));
        let gone = of(
            "/dev/no-such",
            ErrorKind::Io(std::io::ErrorKind::NotFound),
            "no",
        );
        assert!(gone.to_string().contains("orts here"), "{gone}");
    }
}
