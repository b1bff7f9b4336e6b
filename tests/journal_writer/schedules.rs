//! Any faults of the disk in any order, with a power cut looked into after every step: a mark that was
//! told is in what survives, a reading that was told is in the file or told of as unsaved, and what
//! survives is a beginning of what was told: no entry twice, none left out, in its order.

use std::io::BufReader;
use std::sync::mpsc;

use lullboard::desk::message::{Event, Message};
use lullboard::journal::header;
use lullboard::journal::recover::{Found, Reader};
use lullboard::journal::seal::Chain;
use lullboard::session::entry::{Entry, Fact};
use lullboard::shell::files::journal_writer::{Astray, JournalWriter, Order};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

use super::fake::{Fake, Sync, Write};
use super::{bytes_of, mark, next, reading};

/// The entries of a file without its header; only the last line of it may be none.
pub(super) fn read_back(bytes: &[u8]) -> Vec<Entry> {
    let mut file = Vec::new();
    header::write(&header::unknown(), &mut file).unwrap();
    file.extend(bytes);
    let mut entries = Vec::new();
    let mut torn = false;
    for found in Reader::new(BufReader::new(file.as_slice())).unwrap() {
        assert!(!torn, "something stands behind a torn line");
        match found.unwrap() {
            Found::Entry(entry) => entries.push(entry),
            Found::Damage(damage) => {
                assert!(damage.torn, "{damage}");
                torn = true;
            }
        }
    }
    entries
}

/// The last line is a seal over all before it.
pub(super) fn seal_holds(bytes: &[u8]) {
    let lines: Vec<&[u8]> = bytes.split_inclusive(|byte| *byte == b'\n').collect();
    let (last, before) = lines.split_last().unwrap();
    let mut chain = Chain::default();
    for line in before {
        chain.update(line);
    }
    let last = read_back(last);
    assert_eq!(last[0].fact, Fact::Seal(chain.seal()));
}

#[derive(Clone, Debug)]
enum Step {
    /// These come at once; `true` is a mark.
    Send(Vec<bool>),
    Faults(Vec<Write>, Vec<Sync>),
    Room(usize),
    RoomAgain,
    /// Its name leads elsewhere, some things happen, and then it goes on in another file.
    Lost(Astray, Vec<bool>),
    /// The same record stands in its place, with so many bytes of what is not surely on disk.
    SameAgain(usize),
}

fn writes() -> impl Strategy<Value = Write> {
    prop_oneof![
        Just(Write::Whole),
        (1usize..40).prop_map(Write::Short),
        Just(Write::Interrupted),
        Just(Write::Broken),
        Just(Write::Full),
    ]
}

fn syncs() -> impl Strategy<Value = Sync> {
    prop_oneof![
        Just(Sync::Done),
        Just(Sync::Interrupted),
        (0usize..60).prop_map(Sync::Forgets),
    ]
}

fn sent() -> impl Strategy<Value = Vec<bool>> {
    prop::collection::vec(prop::bool::weighted(0.4), 1..6)
}

fn step() -> impl Strategy<Value = Step> {
    let faults = (
        prop::collection::vec(writes(), 0..6),
        prop::collection::vec(syncs(), 0..4),
    );
    prop_oneof![
        6 => sent().prop_map(Step::Send),
        4 => faults.prop_map(|(writes, syncs)| Step::Faults(writes, syncs)),
        1 => (0usize..200).prop_map(Step::Room),
        1 => Just(Step::RoomAgain),
        1 => (prop_oneof![Just(Astray::Gone), Just(Astray::Replaced)], sent())
            .prop_map(|(became, sent)| Step::Lost(became, sent)),
        1 => (0usize..90).prop_map(Step::SameAgain),
    ]
}

/// A writer at work, and what has been told of it.
struct Watched {
    disk: Fake,
    writer: JournalWriter,
    inbox: mpsc::Receiver<Message>,
    sent: Vec<Entry>,
    told: Vec<Entry>,
    /// So many of these were told to be on disk.
    safe: usize,
    /// Whether the board says that something is not.
    is_behind: bool,
}

impl Watched {
    fn begin() -> Self {
        let disk = Fake::default();
        let (writer, inbox) = disk.spawn();
        Self {
            disk,
            writer,
            inbox,
            sent: Vec::new(),
            told: Vec::new(),
            safe: 0,
            is_behind: false,
        }
    }

    fn take(&mut self, event: Event) {
        if let Event::Appended(entries) = event {
            let has_mark = entries.iter().any(is_mark);
            self.told.extend(entries);
            if has_mark {
                self.safe = self.told.len();
            }
        } else if let Event::Unsaved(entries, _) = event {
            self.told.extend(entries);
            self.is_behind = true;
        } else if let Event::Moved(moved) = event {
            assert_eq!(moved.unwrap().1, 0, "nothing was cut off");
        } else if event == Event::CaughtUp {
            self.safe = self.told.len();
            self.is_behind = false;
        } else if event == Event::Astray {
            assert!(self.is_behind, "lost, and nobody says so");
        }
    }

    /// Sends these, and waits until each is told.
    fn send(&mut self, marks: &[bool]) {
        for is_mark in marks {
            let n = self.sent.len() + 1;
            let (ms, id) = (i64::try_from(n).unwrap(), u32::try_from(n).unwrap());
            if *is_mark {
                self.sent.push(mark(ms, id));
                self.writer.facts.send(mark(ms, id)).unwrap();
            } else {
                self.sent.push(reading(ms));
                self.writer.readings.send(reading(ms)).unwrap();
            }
        }
        while self.told.len() < self.sent.len() {
            let event = next(&self.inbox);
            self.take(event);
        }
        self.take_rest();
    }

    fn take_rest(&mut self) {
        while let Ok(message) = self.inbox.try_recv() {
            self.take(message.event);
        }
    }

    fn play(&mut self, step: &Step) {
        match step {
            Step::Send(marks) => self.send(marks),
            Step::Faults(writes, syncs) => {
                let mut platter = self.disk.look();
                platter.writes.extend(writes);
                platter.syncs.extend(syncs);
            }
            Step::Room(room) => self.disk.look().room = Some(*room),
            Step::RoomAgain => self.disk.look().room = None,
            Step::Lost(became, marks) => {
                self.disk.look().became = Some(*became);
                let before = self.told.len();
                self.send(&[true]);
                self.send(marks);
                assert!(self.safe <= before, "told as saved in a file that is gone");
                let order = Order::GoOn("elsewhere".into());
                self.writer.orders.send(order).unwrap();
                loop {
                    let event = next(&self.inbox);
                    let is_over = matches!(event, Event::Moved(_));
                    self.take(event);
                    if is_over {
                        break;
                    }
                }
            }
            Step::SameAgain(held) => {
                {
                    let mut platter = self.disk.look();
                    platter.same_again = Some(*held);
                    platter.became = Some(Astray::Replaced);
                }
                self.send(&[true]);
            }
        }
    }

    /// What must hold at any moment, should the power go now and leave `more` of what was not synced.
    fn check(&mut self, more: usize) {
        self.take_rest();
        let platter = self.disk.look();
        let all = bytes_of(&self.told);
        assert!(
            all.starts_with(&platter.bytes),
            "the file holds something else"
        );
        if !self.is_behind {
            assert_eq!(platter.bytes, all, "not in the file, and nobody says so");
        }
        for more in [0, more, usize::MAX] {
            let survives = read_back(&platter.after_power_cut(more));
            assert_eq!(survives, self.told[..survives.len()]);
            assert!(survives.len() >= self.safe, "told as saved, and lost");
        }
    }

    /// Ends it with whatever faults are still to come.
    fn end(mut self) {
        let outcome = self.writer.stop(true);
        let mut told = self.told.len();
        while let Ok(message) = self.inbox.try_recv() {
            if let Event::Appended(entries) | Event::Unsaved(entries, _) = message.event {
                self.told.extend(entries);
            }
        }
        let platter = self.disk.look();
        let survives = read_back(&platter.after_power_cut(0));
        assert_eq!(survives, self.told[..survives.len()]);
        match outcome {
            Ok(_) => {
                assert_eq!(survives.len(), self.told.len());
                seal_holds(&platter.bytes);
                told += 1;
                assert_eq!(self.told.len(), told, "the seal is the last");
            }
            Err(unwritten) => {
                let lost = self.told.len() - survives.len();
                assert!(unwritten.entries >= u64::try_from(lost).unwrap(), "{lost}");
            }
        }
        for kind in [is_mark, is_reading] {
            let sent = self.sent.iter().filter(|entry| kind(entry));
            assert!(sent.eq(self.told.iter().filter(|entry| kind(entry))));
        }
    }
}

fn is_mark(entry: &Entry) -> bool {
    matches!(entry.fact, Fact::Mark(_))
}

fn is_reading(entry: &Entry) -> bool {
    matches!(entry.fact, Fact::Reading(_))
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 400,
        rng_seed: RngSeed::Fixed(12),
        ..ProptestConfig::default()
    })]

    #[test]
    fn no_fault_of_the_disk_takes_what_was_told(
        steps in prop::collection::vec((step(), 0usize..200), 1..16),
    ) {
        let mut watched = Watched::begin();
        for (step, more) in &steps {
            watched.play(step);
            watched.check(*more);
        }
        watched.end();
    }
}
