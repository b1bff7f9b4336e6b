//! What has no end is read so far and no further: a device, or a pipe that somebody keeps full.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

/// No card and no fuse map is longer.
const SMALL: u64 = 16 << 20;

/// What has no length may hold so much: months of readings.
const ENDLESS: u64 = 1 << 30;

/// All of a small file.
///
/// # Errors
/// Whatever the system reports, or that it is longer than any card or fuse map.
pub fn small(path: &Path) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    let read = File::open(path)?.take(SMALL + 1).read_to_end(&mut bytes)?;
    if u64::try_from(read).is_ok_and(|read| read <= SMALL) {
        return Ok(bytes);
    }
    Err(io::Error::other(
        "it goes on after 16 MiB: expected a card (TOML) or a fuse map (CSV or JSON), which are small",
    ))
}

/// Refuses to read on in what has no length, once so much was read of it.
///
/// # Errors
/// That it has no end.
pub fn expect_end(file: &File, read: u64) -> io::Result<()> {
    let is_file = || file.metadata().is_ok_and(|here| here.is_file());
    if read <= ENDLESS || is_file() {
        return Ok(());
    }
    Err(io::Error::other(
        "it goes on after 1 GiB: expected a session (.lull) or a CSV that ends",
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_small_file_is_refused_with_its_bound() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("card.toml");
        for (length, is_small) in [(SMALL, true), (SMALL + 1, false)] {
            File::create(&path).unwrap().set_len(length).unwrap();
            assert_eq!(small(&path).is_ok(), is_small, "{length}");
        }
        let refused = small(&path).unwrap_err().to_string();
        assert!(refused.contains("16 MiB"), "{refused}");
    }

    #[cfg(unix)]
    #[test]
    fn what_has_a_length_may_be_as_long_as_it_is() {
        let folder = tempfile::tempdir().unwrap();
        let file = File::create(folder.path().join("week.lull")).unwrap();
        assert!(expect_end(&file, ENDLESS + 1).is_ok());
        let device = File::open("/dev/zero").unwrap();
        assert!(expect_end(&device, ENDLESS).is_ok());
        assert!(expect_end(&device, ENDLESS + 1).is_err());
    }
}
