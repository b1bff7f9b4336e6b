//! A session file that is no longer where it was: deleted, renamed, replaced, or cut short by somebody
//! else; and how a recording goes on in another one with all that survives.

use std::fmt;
use std::fs::{self, File, Metadata, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use super::disk::is_same;
use crate::journal::Chain;
use crate::reading::quantity::counted;
use crate::shell::files::session_file;

/// What became of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Astray {
    /// Its name leads nowhere.
    Gone,
    /// Its name leads to another file.
    Replaced,
    /// It ends before what was written.
    Cut {
        /// How many bytes are left of it.
        left: u64,
        /// How many were cut off.
        lost: u64,
    },
}

impl fmt::Display for Astray {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Gone => f.write_str("the session file was deleted, moved or renamed"),
            Self::Replaced => f.write_str("another file stands in the place of the session file"),
            Self::Cut { lost, .. } => write!(
                f,
                "the session file was cut short by another program: {} of it lost",
                counted(*lost, "byte")
            ),
        }
    }
}

/// What is surely on disk, from the file's beginning.
#[derive(Clone, Debug)]
pub struct Sure {
    /// The hash over it.
    pub chain: Chain,
    /// How many bytes.
    pub length: u64,
}

/// What goes into the new file.
#[derive(Clone, Copy, Debug)]
pub struct Kept<'a> {
    /// So many bytes of the old one.
    pub old: u64,
    /// Whether its last line may be torn.
    pub is_torn: bool,
    /// And these behind it.
    pub then: &'a [u8],
}

/// A recording that goes on elsewhere.
#[derive(Debug)]
pub struct Moved {
    /// What stands in the new file.
    pub now: Sure,
    /// How many bytes of the old one could not be had.
    pub lost: u64,
}

/// What has become of `file`, of which `length` bytes were written at `path`. Where the system
/// cannot tell, nothing has.
pub(super) fn look(file: &File, path: &Path, length: u64) -> Option<Astray> {
    let here = match fs::metadata(path) {
        Ok(here) => here,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Some(Astray::Gone),
        Err(_) => return None,
    };
    if !here.is_file() {
        // A pipe or a device has no length.
        return None;
    }
    let ours = file.metadata().ok()?;
    if !is_same(&ours, &here) {
        return Some(Astray::Replaced);
    }
    let left = here.len();
    let lost = length.saturating_sub(left);
    (lost > 0).then_some(Astray::Cut { left, lost })
}

/// The file that stands at `path` now, if it begins with all that is `sure` and goes on like `end`:
/// a stick that came back, or an editor that saved what it had read. With it, how much of `end` it
/// holds.
pub(super) fn same_again(path: &Path, sure: &Sure, end: &[u8]) -> Option<(File, usize)> {
    let options = OpenOptions::new().read(true).append(true).open(path);
    let mut file = options.ok()?;
    session_file::lock(&file, path).ok()?;
    let (chain, read) = copied(&mut file, sure.length, &mut io::sink()).ok()?;
    if read != sure.length || chain.seal() != sure.chain.seal() {
        return None;
    }
    let mut more = Vec::new();
    let most = u64::try_from(end.len())
        .unwrap_or(u64::MAX)
        .saturating_add(1);
    (&file).take(most).read_to_end(&mut more).ok()?;
    end.starts_with(&more).then_some((file, more.len()))
}

/// Makes the file `to`, which is new, with what is `kept` of `old`; its header is `header` should
/// nothing of it be readable any more.
pub(super) fn go_on(
    old: &mut File,
    header: &[u8],
    to: &Path,
    kept: Kept<'_>,
) -> Result<(File, Moved), io::Error> {
    let mut new = OpenOptions::new()
        .read(true)
        .append(true)
        .create_new(true)
        .open(to)?;
    let made = fill(&mut new, old, header, to, kept);
    if made.is_err() {
        // Half of it would stand in the way of the next try.
        let _ = fs::remove_file(to);
    }
    made.map(|moved| (new, moved))
}

fn fill(
    new: &mut File,
    old: &mut File,
    header: &[u8],
    to: &Path,
    kept: Kept<'_>,
) -> io::Result<Moved> {
    session_file::lock(new, to).map_err(io::Error::other)?;
    let (mut chain, mut length) = copied(old, kept.old, new)?;
    let lost = kept.old.saturating_sub(length);
    let is_torn = kept.is_torn || lost > 0;
    let mut add = |bytes: &[u8]| -> io::Result<()> {
        new.write_all(bytes)?;
        chain.update(bytes);
        length = length.saturating_add(u64::try_from(bytes.len()).unwrap_or(u64::MAX));
        Ok(())
    };
    if lost == kept.old && lost > 0 {
        add(header)?;
    } else if is_torn {
        add(b"\n")?;
    }
    add(kept.then)?;
    new.sync_all()?;
    session_file::keep_name(to);
    Ok(Moved {
        now: Sure { chain, length },
        lost,
    })
}

/// Copies the first `length` bytes of a file, or as many as it gives, with their hash.
fn copied(from: &mut File, length: u64, to: &mut impl Write) -> io::Result<(Chain, u64)> {
    from.seek(SeekFrom::Start(0))?;
    let (mut chain, mut done) = (Chain::default(), 0);
    let mut buffer = vec![0; 1 << 16];
    while done < length {
        let most = usize::try_from(length - done).map_or(buffer.len(), |n| n.min(buffer.len()));
        let room = buffer.get_mut(..most).unwrap_or_default();
        // What cannot be read any more is lost; what could be is not.
        let read = match from.read(room) {
            Ok(0) => break,
            Ok(read) => read,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            Err(_) => break,
        };
        let bytes = room.get(..read).unwrap_or_default();
        to.write_all(bytes)?;
        chain.update(bytes);
        done = done.saturating_add(u64::try_from(read).unwrap_or(0));
    }
    Ok((chain, done))
}

/// A name beside `path` that no file has: `hunt_2.lull`.
pub fn next_name(path: &Path) -> PathBuf {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let numbered = stem
        .rsplit_once('_')
        .and_then(|(stem, n)| Some((stem, n.parse().ok().filter(|n| (2..100).contains(n))?)));
    let (stem, last) = numbered.unwrap_or((&stem, 1));
    let ending = path.extension().unwrap_or_default().to_string_lossy();
    (last + 1..=u16::MAX)
        .map(|n| path.with_file_name(format!("{stem}_{n}.{ending}")))
        .find(|name| !name.exists())
        .unwrap_or_else(|| path.to_owned())
}

/// What tells a file that was looked at from one that was not.
pub(super) fn look_of(path: &Path) -> Option<(u64, Option<std::time::SystemTime>)> {
    let here: Metadata = fs::metadata(path).ok()?;
    Some((here.len(), here.modified().ok()))
}
