//! A disk in memory that a test can fill up, hold up, break and replace; and what a power cut leaves
//! of it.

use std::collections::VecDeque;
use std::io;
use std::path::Path;
use std::sync::mpsc;
use std::sync::{Arc, Mutex, MutexGuard};

use crossbeam_channel::Receiver;
use lullboard::desk::message::Message;
use lullboard::journal::seal::Chain;
use lullboard::shell::files::journal_writer::{
    self, Astray, Disk, JournalWriter, Kept, Moved, Sure,
};
use lullboard::shell::outbox::channel;

use super::clock;

/// What becomes of one write.
#[derive(Clone, Copy, Debug)]
pub(super) enum Write {
    Whole,
    /// At most so many bytes are taken, and that is no error.
    Short(usize),
    Interrupted,
    Broken,
    Full,
}

/// What becomes of one sync.
#[derive(Clone, Copy, Debug)]
pub(super) enum Sync {
    Done,
    Interrupted,
    /// It fails when so many bytes have reached the disk. As Linux does: what could not be written
    /// counts as clean from now on, and no later sync brings it to the disk.
    Forgets(usize),
}

/// Where a byte is that was written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    InMemory,
    OnDisk,
    Forgotten,
}

#[derive(Clone, Default)]
pub(super) struct Fake(Arc<Mutex<Platter>>);

#[derive(Default)]
pub(super) struct Platter {
    /// What whoever reads the file sees.
    pub(super) bytes: Vec<u8>,
    kinds: Vec<Kind>,
    /// How much of its beginning is on the disk.
    pub(super) synced: usize,
    /// How many bytes still fit; `None` is a disk without end.
    pub(super) room: Option<usize>,
    pub(super) sync_fails: bool,
    /// Every write waits here until the other end is dropped.
    pub(super) gate: Option<Receiver<()>>,
    /// What becomes of the next writes and syncs; of those after them nothing bad.
    pub(super) writes: VecDeque<Write>,
    pub(super) syncs: VecDeque<Sync>,
    /// What its name leads to now.
    pub(super) became: Option<Astray>,
    /// What stands in its place begins with all that is surely on disk, and goes on with so many bytes.
    pub(super) same_again: Option<usize>,
}

impl Fake {
    pub(super) fn look(&self) -> MutexGuard<'_, Platter> {
        self.0.lock().unwrap()
    }

    pub(super) fn spawn(&self) -> (JournalWriter, mpsc::Receiver<Message>) {
        let (desk, inbox) = channel(clock());
        let writer = journal_writer::spawn_on(self.clone(), Chain::default(), &desk).unwrap();
        (writer, inbox)
    }
}

fn broken() -> io::Error {
    io::Error::other("the stick was pulled out")
}

impl Platter {
    fn add(&mut self, bytes: &[u8], kind: Kind) {
        self.bytes.extend(bytes);
        self.kinds.resize(self.bytes.len(), kind);
        self.count();
    }

    fn count(&mut self) {
        let kinds = self.kinds.iter();
        self.synced = kinds.take_while(|kind| **kind == Kind::OnDisk).count();
    }

    /// Brings what is in memory to the disk, as far as this goes well.
    fn bring(&mut self, outcome: Sync) -> io::Result<()> {
        let (mut left, rest, result) = match outcome {
            Sync::Done => (usize::MAX, Kind::OnDisk, Ok(())),
            Sync::Interrupted => (0, Kind::InMemory, Err(io::ErrorKind::Interrupted.into())),
            Sync::Forgets(after) => (after, Kind::Forgotten, Err(broken())),
        };
        for kind in &mut self.kinds {
            if *kind == Kind::InMemory {
                *kind = if left > 0 { Kind::OnDisk } else { rest };
                left = left.saturating_sub(1);
            }
        }
        self.count();
        result
    }

    fn next_sync(&mut self) -> Sync {
        let next = self.syncs.pop_front().unwrap_or(Sync::Done);
        if self.sync_fails {
            Sync::Forgets(0)
        } else {
            next
        }
    }

    /// What the file holds when the power comes back: what was synced, holes where a sync forgot
    /// something before that, and so much of the rest.
    pub(super) fn after_power_cut(&self, more: usize) -> Vec<u8> {
        let on_disk = self.kinds.iter().rposition(|kind| *kind == Kind::OnDisk);
        let sure = on_disk.map_or(0, |last| last + 1);
        let kept = self.kinds.iter().zip(&self.bytes).enumerate();
        kept.take_while(|(n, (kind, _))| {
            *n < sure || (**kind == Kind::InMemory && *n < sure.saturating_add(more))
        })
        .map(|(_, (kind, byte))| if *kind == Kind::Forgotten { 0 } else { *byte })
        .collect()
    }
}

impl Disk for Fake {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let gate = self.look().gate.clone();
        if let Some(gate) = gate {
            let _ = gate.recv();
        }
        let mut platter = self.look();
        let most = match platter.writes.pop_front().unwrap_or(Write::Whole) {
            Write::Whole => bytes.len(),
            Write::Short(most) => most,
            Write::Interrupted => return Err(io::ErrorKind::Interrupted.into()),
            Write::Broken => return Err(broken()),
            Write::Full => return Err(io::ErrorKind::StorageFull.into()),
        };
        let n = platter.room.unwrap_or(most).min(most).min(bytes.len());
        if n == 0 {
            return Err(io::ErrorKind::StorageFull.into());
        }
        platter.room = platter.room.map(|room| room - n);
        platter.add(&bytes[..n], Kind::InMemory);
        Ok(n)
    }

    fn sync(&mut self) -> io::Result<()> {
        let mut platter = self.look();
        let outcome = platter.next_sync();
        platter.bring(outcome)
    }

    fn write_again(&mut self, end: &[u8]) -> io::Result<()> {
        let mut platter = self.look();
        assert!(platter.bytes.ends_with(end), "not how the file ends");
        let start = platter.bytes.len() - end.len();
        assert!(
            platter.synced >= start,
            "something before it is not on disk"
        );
        platter.kinds[start..].fill(Kind::InMemory);
        let outcome = platter.next_sync();
        platter.bring(outcome)
    }

    fn astray(&self, length: u64) -> Option<Astray> {
        let platter = self.look();
        let left = u64::try_from(platter.bytes.len()).unwrap();
        let lost = length.saturating_sub(left);
        let cut = (lost > 0).then_some(Astray::Cut { left, lost });
        platter.became.or(cut)
    }

    fn take_up(&mut self, sure: &Sure, end: &[u8]) -> Option<usize> {
        let mut platter = self.look();
        let held = platter.same_again.take()?.min(end.len());
        let sure = usize::try_from(sure.length).unwrap();
        let kept = platter.bytes[..sure].to_vec();
        platter.bytes.clear();
        platter.kinds.clear();
        platter.became = None;
        platter.add(&kept, Kind::OnDisk);
        platter.add(&end[..held], Kind::InMemory);
        Some(held)
    }

    fn go_on(&mut self, _to: &Path, kept: Kept<'_>) -> io::Result<Moved> {
        let mut platter = self.look();
        let asked = usize::try_from(kept.old).unwrap();
        let had = asked.min(platter.bytes.len());
        let mut content = platter.bytes[..had].to_vec();
        if kept.is_torn {
            content.push(b'\n');
        }
        content.extend(kept.then);
        platter.bytes.clear();
        platter.kinds.clear();
        (platter.became, platter.room) = (None, None);
        platter.add(&content, Kind::OnDisk);
        let mut chain = Chain::default();
        chain.update(&content);
        Ok(Moved {
            now: Sure {
                chain,
                length: u64::try_from(content.len()).unwrap(),
            },
            lost: u64::try_from(asked - had).unwrap(),
        })
    }
}
