//! What is written, what is on disk, and what waits in memory because the disk is full.
//!
//! The bytes that wait are a queue: a write that failed in the middle of a line goes on with the
//! very next byte, so no line is ever torn by it or eaten by the next one.

use std::io;
use std::path::Path;

use super::astray::{Astray, Kept, Sure};
use super::{Disk, is_reading};
use crate::journal::{Chain, line};
use crate::reading::Elapsed;
use crate::reading::quantity::counted;
use crate::session::{Entry, Fact, MeterEvent};

/// More than this does not wait in memory: days of readings. Beyond it readings are dropped, the
/// newest first, and a gap in the record says so; everything else is always kept.
const MOST_WAITING: usize = 64 << 20;

/// More than this does not wait for a sync: a replay writes a week in a second, and its bytes must not count
/// as those of a disk that takes none.
const MOST_UNSYNCED: usize = 4 << 20;

/// A buffer that grew larger than this for a full disk is given back.
const USUAL_BUFFER: usize = 1 << 20;

/// Readings for which there was no room.
#[derive(Clone, Copy, Debug)]
struct Dropped {
    since: Elapsed,
    count: u64,
}

/// The end of a session file and what is on its way there.
pub(super) struct Page<D> {
    disk: D,
    chain: Chain,
    /// How many bytes were written, what stood there before included.
    length: u64,
    /// What of it is surely on disk.
    sure: Sure,
    /// What has become of the file, while something has.
    astray: Option<Astray>,
    waiting: Vec<u8>,
    most_waiting: usize,
    /// Entries not surely on disk.
    pub(super) unsaved: u64,
    /// Written, not yet synced: what has to be written again when a sync fails.
    unsynced: Vec<u8>,
    /// Whether a sync failed since the last that did not.
    doubted: bool,
    /// Why the disk does not take it.
    behind: Option<String>,
    /// What was dropped and no gap says so far.
    dropped: Option<Dropped>,
    last_t: Option<Elapsed>,
}

impl<D: Disk> Page<D> {
    pub(super) fn new(disk: D, chain: Chain) -> Self {
        let length = disk.length();
        Self {
            disk,
            sure: Sure {
                chain: chain.clone(),
                length,
            },
            chain,
            length,
            astray: None,
            waiting: Vec::new(),
            most_waiting: MOST_WAITING,
            unsaved: 0,
            unsynced: Vec::new(),
            doubted: false,
            behind: None,
            dropped: None,
            last_t: None,
        }
    }

    /// Queues entries to be written. Gives back those that the session now has: all of them,
    /// unless readings had to be dropped.
    pub(super) fn admit(&mut self, entries: Vec<Entry>) -> Vec<Entry> {
        let mut kept = Vec::with_capacity(entries.len());
        for entry in entries {
            let held = self.waiting.len().saturating_add(self.unsynced.len());
            if held >= self.most_waiting && is_reading(&entry) {
                let since = entry.t;
                let dropped = self.dropped.get_or_insert(Dropped { since, count: 0 });
                dropped.count = dropped.count.saturating_add(1);
                continue;
            }
            if let Some(gap) = self.owed(entry.t) {
                self.queue(gap, &mut kept);
            }
            self.queue(entry, &mut kept);
        }
        kept
    }

    /// The gap that what was dropped leaves up to `t`.
    pub(super) fn owed(&mut self, t: Elapsed) -> Option<Entry> {
        let Dropped { since, count } = self.dropped.take()?;
        let lost = counted(count, "reading");
        let gap = MeterEvent::Gap {
            why: format!("the disk took nothing for too long: {lost} not kept"),
            for_s: t.secs_since(since).max(0.0),
        };
        let fact = Fact::Meter(gap);
        Some(Entry { t, fact })
    }

    fn queue(&mut self, entry: Entry, kept: &mut Vec<Entry>) {
        // Memory takes every byte.
        let _ = line::write(&entry, &mut self.waiting);
        self.unsaved = self.unsaved.saturating_add(1);
        self.last_t = self.last_t.max(Some(entry.t));
        kept.push(entry);
    }

    /// Writes all that waits, and syncs when asked or when the disk failed before; else why not.
    pub(super) fn write(&mut self, sync: bool) -> Result<(), String> {
        let sync = sync || self.behind.is_some();
        if sync {
            self.look();
        }
        if let Some(astray) = self.astray {
            let why = astray.to_string();
            self.behind = Some(why.clone());
            return Err(why);
        }
        let written = self.drain().and_then(|()| {
            let sync = sync || self.unsynced.len() > MOST_UNSYNCED;
            if sync && !self.unsynced.is_empty() {
                self.make_sure()?;
            }
            Ok(())
        });
        match written {
            Ok(()) => {
                self.behind = None;
                if self.unsynced.is_empty() {
                    self.unsaved = 0;
                }
                Ok(())
            }
            Err(error) => {
                let why = in_words(&error);
                self.behind = Some(why.clone());
                Err(why)
            }
        }
    }

    /// Looks whether the file is still where it was. One that was cut short stays so.
    fn look(&mut self) {
        if matches!(self.astray, Some(Astray::Cut { .. })) {
            return;
        }
        self.astray = self.disk.astray(self.length);
        if self.astray == Some(Astray::Replaced)
            && let Some(held) = self.disk.take_up(&self.sure, &self.unsynced)
        {
            let mut again = self.unsynced.split_off(held.min(self.unsynced.len()));
            again.append(&mut self.waiting);
            self.waiting = again;
            self.chain = self.sure.chain.clone();
            self.chain.update(&self.unsynced);
            self.length = self.sure.length.saturating_add(bytes(&self.unsynced));
            self.astray = None;
        }
    }

    /// Goes on in the new file `to`; how many bytes of the old one could not be had.
    pub(super) fn go_on(&mut self, to: &Path) -> io::Result<u64> {
        let (kept, cut_off) = match self.astray {
            Some(Astray::Cut { left, lost }) => {
                let kept = Kept {
                    old: left,
                    is_torn: true,
                    then: &[],
                };
                (kept, lost)
            }
            Some(Astray::Gone | Astray::Replaced) | None => {
                let kept = Kept {
                    old: self.sure.length,
                    is_torn: false,
                    then: &self.unsynced,
                };
                (kept, 0)
            }
        };
        let moved = self.disk.go_on(to, kept)?;
        self.chain = moved.now.chain.clone();
        self.length = moved.now.length;
        self.sure = moved.now;
        self.unsynced.clear();
        self.doubted = false;
        self.astray = None;
        Ok(moved.lost.saturating_add(cut_off))
    }

    /// Whether the file is not where it was.
    pub(super) const fn is_astray(&self) -> bool {
        self.astray.is_some()
    }

    /// Where it is written.
    pub(super) fn path(&self) -> &Path {
        self.disk.path()
    }

    /// Returns when all that was written is on the disk. A sync that failed is not simply asked
    /// again: it may succeed by having forgotten what it could not write.
    fn make_sure(&mut self) -> io::Result<()> {
        let outcome = if self.doubted {
            self.disk.write_again(&self.unsynced)
        } else {
            self.disk.sync()
        };
        self.doubted = outcome.is_err();
        outcome?;
        self.unsynced.clear();
        self.unsynced.shrink_to(USUAL_BUFFER);
        self.sure = Sure {
            chain: self.chain.clone(),
            length: self.length,
        };
        Ok(())
    }

    fn drain(&mut self) -> io::Result<()> {
        let mut done = 0;
        let outcome = loop {
            let rest = self.waiting.get(done..).unwrap_or(&[]);
            if rest.is_empty() {
                break Ok(());
            }
            match self.disk.write(rest) {
                Ok(0) => break Err(io::ErrorKind::WriteZero.into()),
                Ok(n) => {
                    let written = rest.get(..n).unwrap_or(rest);
                    self.chain.update(written);
                    self.unsynced.extend_from_slice(written);
                    self.length = self.length.saturating_add(bytes(written));
                    done = done.saturating_add(n);
                }
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => break Err(error),
            }
        };
        self.waiting.drain(..done.min(self.waiting.len()));
        if self.waiting.is_empty() {
            self.waiting.shrink_to(USUAL_BUFFER);
        }
        outcome
    }

    /// Whether all is on disk.
    pub(super) const fn is_at_rest(&self) -> bool {
        self.waiting.is_empty() && self.unsynced.is_empty() && self.behind.is_none()
    }

    /// Why the disk does not take what waits; `None` when it does.
    pub(super) fn behind(&self) -> Option<&str> {
        self.behind.as_deref()
    }

    /// The seal over everything written.
    pub(super) fn seal(&self, now: Elapsed) -> Entry {
        Entry {
            t: self.last_t.map_or(now, |last| last.max(now)),
            fact: Fact::Seal(self.chain.seal()),
        }
    }
}

fn bytes(of: &[u8]) -> u64 {
    u64::try_from(of.len()).unwrap_or(u64::MAX)
}

fn in_words(error: &io::Error) -> String {
    if error.kind() == io::ErrorKind::StorageFull {
        "the disk is full: free some space, it is tried again every second".into()
    } else {
        format!("the disk does not take it ({error}): it is tried again every second")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::Measured;

    /// Takes everything, and counts what was not synced.
    #[derive(Default)]
    struct Quick {
        unsynced: usize,
    }

    impl Disk for Quick {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            self.unsynced += bytes.len();
            Ok(bytes.len())
        }

        fn sync(&mut self) -> io::Result<()> {
            self.unsynced = 0;
            Ok(())
        }

        fn write_again(&mut self, _: &[u8]) -> io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn what_comes_quicker_than_the_syncs_is_synced_in_between_and_none_of_it_dropped() {
        let mut page = Page::new(Quick::default(), Chain::default());
        page.most_waiting = 2 * MOST_UNSYNCED;
        let batch = || {
            let over = |ms| Entry {
                t: Elapsed::from_ms(ms),
                fact: Fact::Reading(Measured::Over),
            };
            (0..4000).map(over).collect::<Vec<_>>()
        };
        let mut most = 0;
        while page.length < 3 * u64::try_from(MOST_UNSYNCED).unwrap() {
            assert_eq!(page.admit(batch()).len(), 4000);
            page.write(false).unwrap();
            most = most.max(page.disk.unsynced);
        }
        assert!(most <= MOST_UNSYNCED, "{most}");
        assert!(most > MOST_UNSYNCED / 2, "no sync without need: {most}");
    }

    struct Full;

    impl Disk for Full {
        fn write(&mut self, _: &[u8]) -> io::Result<usize> {
            Err(io::ErrorKind::StorageFull.into())
        }

        fn sync(&mut self) -> io::Result<()> {
            Ok(())
        }

        fn write_again(&mut self, _: &[u8]) -> io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn beyond_the_bound_only_readings_are_dropped_and_a_gap_says_so() {
        let mut page = Page::new(Full, Chain::default());
        page.most_waiting = 60;
        let at = |ms, fact| Entry {
            t: Elapsed::from_ms(ms),
            fact,
        };
        let over = |ms| at(ms, Fact::Reading(Measured::Over));
        let kept = page.admit(vec![over(0), over(1), over(2), over(3000), over(4000)]);
        assert_eq!(kept, [over(0), over(1), over(2)]);
        assert!(
            page.write(true)
                .unwrap_err()
                .starts_with("the disk is full")
        );
        let mark = at(5000, Fact::Strike(crate::session::mark::MarkId(1)));
        let kept = page.admit(vec![mark.clone()]);
        let Some(Fact::Meter(MeterEvent::Gap { for_s, why })) = kept.first().map(|e| &e.fact)
        else {
            panic!("no gap: {kept:?}")
        };
        assert!((for_s - 2.0).abs() < 1e-9);
        assert_eq!(
            why,
            "the disk took nothing for too long: 2 readings not kept"
        );
        assert_eq!(kept.last(), Some(&mark));
        assert_eq!(page.unsaved, 5);
        assert!(!page.is_at_rest());
    }
}
