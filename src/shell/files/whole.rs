//! A file that is there whole or not at all: it grows under a name of its own in the same folder,
//! which no other program has, and takes its place when all of it is on the disk.

use std::io::{self, BufWriter, Write};
use std::path::Path;

use tempfile::{Builder, NamedTempFile};

/// A file that grows. Dropped before it is put in its place, it is gone.
#[derive(Debug)]
pub struct Growing(BufWriter<NamedTempFile>);

impl Growing {
    /// Begins a file that is to stand at `path`.
    ///
    /// # Errors
    /// Whatever the system reports.
    pub fn beside(path: &Path) -> io::Result<Self> {
        let mut prefix = path.file_name().unwrap_or_default().to_owned();
        prefix.push(".");
        let folder = path.parent().filter(|folder| *folder != Path::new(""));
        let mut builder = Builder::new();
        builder.prefix(&prefix).suffix(".part");
        // As any new file: the user's own mask decides, and not that it grew under another name.
        #[cfg(unix)]
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
        let file = builder.tempfile_in(folder.unwrap_or(Path::new(".")))?;
        Ok(Self(BufWriter::new(file)))
    }

    /// Puts it in its place, whatever stood there.
    ///
    /// # Errors
    /// Whatever the system reports; what stood there stands there still.
    pub fn replace(self, path: &Path) -> io::Result<()> {
        self.on_disk()?.persist(path)?;
        Ok(())
    }

    /// Puts it in its place, where nothing may stand yet.
    ///
    /// # Errors
    /// `AlreadyExists`, or whatever the system reports.
    pub fn place_new(self, path: &Path) -> io::Result<()> {
        self.on_disk()?.persist_noclobber(path)?;
        Ok(())
    }

    fn on_disk(self) -> io::Result<NamedTempFile> {
        let file = self.0.into_inner()?;
        file.as_file().sync_all()?;
        Ok(file)
    }
}

impl Write for Growing {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    #[test]
    fn what_stood_there_is_replaced_by_all_or_stays() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.csv");
        fs::write(&path, "old").unwrap();
        let mut half = Growing::beside(&path).unwrap();
        half.write_all(b"ne").unwrap();
        half.flush().unwrap();
        drop(half);
        assert_eq!(fs::read(&path).unwrap(), b"old");
        let mut whole = Growing::beside(&path).unwrap();
        whole.write_all(b"new").unwrap();
        whole.replace(&path).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"new");
        let second = Growing::beside(&path).unwrap();
        let refused = second.place_new(&path).unwrap_err();
        assert_eq!(refused.kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(fs::read(&path).unwrap(), b"new");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn two_that_grow_for_one_place_keep_out_of_each_other() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("meters.toml");
        let mut one = Growing::beside(&path).unwrap();
        let mut other = Growing::beside(&path).unwrap();
        one.write_all(b"one, and longer").unwrap();
        other.write_all(b"other").unwrap();
        one.replace(&path).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"one, and longer");
        other.replace(&path).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"other");
    }

    #[cfg(unix)]
    #[test]
    fn it_may_be_read_by_whom_any_new_file_may() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode();
        let (plain, grown) = (folder.path().join("plain"), folder.path().join("grown"));
        fs::write(&plain, "").unwrap();
        Growing::beside(&grown).unwrap().replace(&grown).unwrap();
        assert_eq!(mode(&grown), mode(&plain));
    }
}
