//! A file that is there whole or not at all: it grows under a name of its own in the same folder,
//! which no other program has, and takes its place when all of it is on the disk.

use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::Path;

use tempfile::{Builder, TempPath};

/// A file that grows. Dropped before it is put in its place, it is gone.
#[derive(Debug)]
pub struct Growing {
    out: BufWriter<File>,
    at: TempPath,
}

impl Growing {
    /// Begins a file that is to stand at `path`.
    ///
    /// # Errors
    /// Whatever the system reports.
    pub fn beside(path: &Path) -> io::Result<Self> {
        let mut prefix = path.file_name().unwrap_or_default().to_owned();
        prefix.push(".");
        let folder = path.parent().filter(|folder| *folder != Path::new(""));
        // Made as any new file is: the user's own mask decides who may read it.
        let new = |path: &Path| File::create_new(path);
        let file = Builder::new()
            .prefix(&prefix)
            .suffix(".part")
            .make_in(folder.unwrap_or(Path::new(".")), new)?;
        let (file, at) = file.into_parts();
        let out = BufWriter::new(file);
        Ok(Self { out, at })
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

    fn on_disk(self) -> io::Result<TempPath> {
        self.out.into_inner()?.sync_all()?;
        Ok(self.at)
    }
}

impl Write for Growing {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.out.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
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

    #[test]
    fn where_no_file_can_be_the_system_is_quoted_and_no_passing_name() {
        let folder = tempfile::tempdir().unwrap();
        let nowhere = folder.path().join("no-such-folder").join("a.csv");
        let refused = Growing::beside(&nowhere).unwrap_err();
        assert_eq!(refused.kind(), io::ErrorKind::NotFound);
        assert!(!refused.to_string().contains(".part"), "{refused}");
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
