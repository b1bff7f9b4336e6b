//! The journal thread and its files: nothing lost, nothing told before it is on disk, one writer.
#![cfg(test)]

#[path = "journal_writer/fake.rs"]
mod fake;
#[path = "journal_writer/injected.rs"]
mod injected;
#[path = "journal_writer/schedules.rs"]
mod schedules;

use std::fs::{self, File, OpenOptions};
use std::io;
use std::path::Path;
use std::sync::mpsc;
use std::time::Duration;

use crossbeam_channel::{Sender, bounded};
use fake::Fake;
use lullboard::desk::message::{Event, Message};
use lullboard::journal::import::ImportOptions;
use lullboard::journal::seal::{Chain, SealState};
use lullboard::journal::{header, line};
use lullboard::reading::{Amps, Elapsed, Measured};
use lullboard::session::Session;
use lullboard::session::entry::{Entry, Fact};
use lullboard::session::mark::{MarkId, parse_mark};
use lullboard::shell::clock::Clock;
use lullboard::shell::files::journal_writer::{self, Disk, JournalFile, Order};
use lullboard::shell::files::session_file::{self, FileFault};
use lullboard::shell::outbox::channel;

const PATIENCE: Duration = Duration::from_secs(30);

fn clock() -> Clock {
    Clock::start(Elapsed::ZERO, 1.0)
}

fn reading(ms: i64) -> Entry {
    let amps = Amps::new(520 + ms % 7, 4).unwrap();
    Entry {
        t: Elapsed::from_ms(ms),
        fact: Fact::Reading(Measured::Amps(amps)),
    }
}

fn mark(ms: i64, id: u32) -> Entry {
    Entry {
        t: Elapsed::from_ms(ms),
        fact: Fact::Mark(Box::new(parse_mark(MarkId(id), "pull D6").unwrap())),
    }
}

fn bytes_of(entries: &[Entry]) -> Vec<u8> {
    let mut bytes = Vec::new();
    for entry in entries {
        line::write(entry, &mut bytes).unwrap();
    }
    bytes
}

fn next(inbox: &mpsc::Receiver<Message>) -> Event {
    inbox.recv_timeout(PATIENCE).expect("nothing told").event
}

fn wait_until(what: &str, mut holds: impl FnMut() -> bool) {
    let clock = clock();
    while !holds() {
        assert!(clock.now().secs() < PATIENCE.as_secs_f64(), "never: {what}");
        std::thread::yield_now();
    }
}

/// Everything told until `enough` says so, as it was told.
fn told_until(
    inbox: &mpsc::Receiver<Message>,
    mut enough: impl FnMut(&Event) -> bool,
) -> Vec<Event> {
    let mut told = Vec::new();
    loop {
        told.push(next(inbox));
        if enough(told.last().unwrap()) {
            return told;
        }
    }
}

fn entries_in(told: &[Event]) -> Vec<Entry> {
    let mut all = Vec::new();
    for event in told {
        if let Event::Appended(entries) | Event::Unsaved(entries, _) = event {
            all.extend(entries.iter().cloned());
        }
    }
    all
}

#[test]
fn what_is_told_is_what_the_file_holds() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("one.lull");
    let file = session_file::create(&path, &header::unknown()).unwrap();
    let (desk, inbox) = channel(clock());
    let writer = journal_writer::spawn(file, &desk).unwrap();
    for ms in 0..500 {
        writer.readings.send(reading(ms * 100)).unwrap();
        if ms % 100 == 0 {
            let id = u32::try_from(ms).unwrap() + 1;
            writer.facts.send(mark(ms * 100, id)).unwrap();
        }
    }
    writer.stop(true).unwrap();
    let told: Vec<Event> = inbox.try_iter().map(|message| message.event).collect();
    let told = entries_in(&told);
    assert_eq!(told.len(), 500 + 5 + 1);
    assert!(matches!(told.last().unwrap().fact, Fact::Seal(_)));
    let mut expected = Vec::new();
    header::write(&header::unknown(), &mut expected).unwrap();
    expected.extend(bytes_of(&told));
    assert_eq!(fs::read(&path).unwrap(), expected);
    let report = session_file::check(&path).unwrap();
    assert!(report.is_whole(), "{report}");
}

/// What is judged at the end is said of every reading in the file: none comes after the last is told.
#[test]
fn the_last_readings_are_told_before_the_end_and_none_is_taken_after_it() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("last.lull");
    let file = session_file::create(&path, &header::unknown()).unwrap();
    let (desk, inbox) = channel(clock());
    let writer = journal_writer::spawn(file, &desk).unwrap();
    writer.orders.send(Order::LeaveUnwatched).unwrap();
    for ms in 0..3 {
        writer.readings.send(reading(ms * 100)).unwrap();
    }
    writer.orders.send(Order::TakeLast).unwrap();
    let told = told_until(&inbox, |event| *event == Event::ToldAll);
    assert_eq!(entries_in(&told).len(), 3);
    writer.readings.send(reading(300)).unwrap_err();
    writer.facts.send(mark(400, 1)).unwrap();
    writer.stop(true).unwrap();
    let last: Vec<Event> = inbox.try_iter().map(|message| message.event).collect();
    let [noted, sealed] = entries_in(&last).try_into().unwrap();
    assert_eq!(noted, mark(400, 1));
    assert!(matches!(sealed.fact, Fact::Seal(_)));
}

#[test]
fn a_session_goes_on_below_a_torn_line_and_both_seals_hold() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("two.lull");
    let file = session_file::create(&path, &header::unknown()).unwrap();
    let (desk, _inbox) = channel(clock());
    let writer = journal_writer::spawn(file, &desk).unwrap();
    writer.readings.send(reading(100)).unwrap();
    writer.stop(true).unwrap();
    append(&path, b"{\"t\":0.2");

    let resumed = session_file::resume(&path, &mut |_, _| Ok(true)).unwrap();
    assert_eq!(resumed.session.readings(), 1);
    let notices = resumed.notices.to_string();
    assert!(
        notices.contains("line 4") && notices.contains("cut short"),
        "{notices}"
    );
    let writer = journal_writer::spawn(resumed.file, &desk).unwrap();
    writer.readings.send(reading(300)).unwrap();
    writer.stop(true).unwrap();

    let report = session_file::check(&path).unwrap();
    assert_eq!((report.state, report.seals), (SealState::Whole, 2));
    assert_eq!((report.damaged, report.unsealed), (1, 0));
    let (session, notices) = session_file::fold(&path, &ImportOptions::default(), |_| ()).unwrap();
    assert_eq!(session.readings(), 2);
    assert_eq!(notices.first.len(), 1);
}

fn append(path: &Path, bytes: &[u8]) {
    let mut file = OpenOptions::new().append(true).open(path).unwrap();
    io::Write::write_all(&mut file, bytes).unwrap();
}

#[test]
fn a_mark_is_on_disk_before_it_is_told() {
    let disk = Fake::default();
    let (writer, inbox) = disk.spawn();
    for ms in 0..50 {
        let id = u32::try_from(ms).unwrap() + 1;
        writer.facts.send(mark(ms, id)).unwrap();
        assert_eq!(next(&inbox), Event::Appended(vec![mark(ms, id)]));
        let platter = disk.look();
        assert_eq!(platter.synced, platter.bytes.len());
    }
    writer.stop(false).unwrap();
}

#[test]
fn readings_alone_reach_the_disk_too() {
    let disk = Fake::default();
    let (writer, inbox) = disk.spawn();
    writer.readings.send(reading(1)).unwrap();
    assert_eq!(next(&inbox), Event::Appended(vec![reading(1)]));
    wait_until("synced", || disk.look().synced > 0);
    writer.stop(false).unwrap();
}

#[test]
fn a_flood_comes_as_few_messages() {
    let disk = Fake::default();
    let (open, gate): (Sender<()>, _) = bounded(0);
    disk.look().gate = Some(gate);
    let (writer, inbox) = disk.spawn();
    writer.readings.send(reading(0)).unwrap();
    // The writer stands in its first write now, or is about to; the rest waits behind it.
    wait_until("taken", || writer.readings.is_empty());
    for ms in 1..900 {
        writer.readings.send(reading(ms)).unwrap();
    }
    drop(open);
    let mut count = 0;
    let told = told_until(&inbox, |event| {
        count += entries_in(std::slice::from_ref(event)).len();
        count == 900
    });
    assert!(told.len() <= 3, "{} messages", told.len());
    writer.stop(false).unwrap();
}

#[test]
fn a_full_disk_loses_nothing_and_tears_no_line() {
    let disk = Fake::default();
    disk.look().room = Some(100);
    let (writer, inbox) = disk.spawn();
    for ms in 0..40 {
        writer.readings.send(reading(ms)).unwrap();
    }
    writer.facts.send(mark(40, 1)).unwrap();
    let mut count = 0;
    let mut told = told_until(&inbox, |event| {
        count += entries_in(std::slice::from_ref(event)).len();
        count == 41
    });
    assert!(told.iter().any(|event| {
        matches!(event, Event::Unsaved(_, why) if why.contains("the disk is full"))
    }));
    assert!(!told.contains(&Event::CaughtUp));
    assert_eq!(disk.look().bytes.len(), 100, "it failed inside a line");

    // A little room first, then enough; nothing new is sent: it is tried again by itself.
    disk.look().room = Some(7);
    wait_until("used the little room", || disk.look().bytes.len() == 107);
    disk.look().room = None;
    told.extend(told_until(&inbox, |event| *event == Event::CaughtUp));
    let all = entries_in(&told);
    assert_eq!(all.len(), 41, "each is told once");
    {
        let platter = disk.look();
        assert_eq!(platter.bytes, bytes_of(&all));
        assert_eq!(platter.synced, platter.bytes.len());
    }
    writer.facts.send(mark(50, 2)).unwrap();
    assert_eq!(next(&inbox), Event::Appended(vec![mark(50, 2)]));
    writer.stop(false).unwrap();
}

#[test]
fn a_disk_that_does_not_sync_is_told_and_caught_up_with() {
    let disk = Fake::default();
    disk.look().sync_fails = true;
    let (writer, inbox) = disk.spawn();
    writer.readings.send(reading(1)).unwrap();
    assert_eq!(next(&inbox), Event::Appended(vec![reading(1)]));
    let Event::Unsaved(entries, why) = next(&inbox) else {
        panic!("the failed sync was not told")
    };
    assert!(entries.is_empty() && why.contains("pulled out"), "{why}");
    writer.facts.send(mark(2, 1)).unwrap();
    assert!(matches!(next(&inbox), Event::Unsaved(..)));
    disk.look().sync_fails = false;
    assert_eq!(next(&inbox), Event::CaughtUp);
    {
        let platter = disk.look();
        assert_eq!(platter.bytes, bytes_of(&[reading(1), mark(2, 1)]));
        assert_eq!(platter.synced, platter.bytes.len(), "written again");
    }
    writer.stop(false).unwrap();
}

#[test]
fn the_end_of_a_file_is_written_again_in_its_place() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("end.lull");
    fs::write(&path, "first\nsecond\n").unwrap();
    let file = OpenOptions::new().read(true).append(true).open(&path);
    let file = file.unwrap();
    let mut sheet = JournalFile::new(file, path.clone());
    sheet.write(b"third\n").unwrap();
    sheet.write_again(b"second\nthird\n").unwrap();
    sheet.write(b"fourth\n").unwrap();
    let expected = "first\nsecond\nthird\nfourth\n";
    assert_eq!(fs::read_to_string(&path).unwrap(), expected);
    assert!(
        sheet.write_again(&[b'x'; 99]).is_err(),
        "longer than the file"
    );
    assert_eq!(fs::read_to_string(&path).unwrap(), expected);

    // Its name leads to another file now: that one is left alone.
    fs::rename(&path, directory.path().join("moved.lull")).unwrap();
    fs::write(&path, expected).unwrap();
    assert!(sheet.write_again(b"fourth\n").is_err());
}

#[test]
fn what_never_reached_the_disk_is_counted_at_the_end() {
    let disk = Fake::default();
    disk.look().room = Some(0);
    let (writer, inbox) = disk.spawn();
    writer.facts.send(mark(1, 1)).unwrap();
    assert!(matches!(next(&inbox), Event::Unsaved(..)));
    let error = writer.stop(true).unwrap_err();
    assert_eq!(error.entries, 1);
    assert!(error.to_string().contains("the disk is full"), "{error}");
}

#[cfg(target_os = "linux")]
#[test]
fn the_systems_own_full_device_is_told_in_words() {
    let file = OpenOptions::new().write(true).open("/dev/full").unwrap();
    let full = JournalFile::new(file, "/dev/full".into());
    let (desk, inbox) = channel(clock());
    let writer = journal_writer::spawn_on(full, Chain::default(), &desk).unwrap();
    writer.readings.send(reading(1)).unwrap();
    let Event::Unsaved(entries, why) = next(&inbox) else {
        panic!("not told")
    };
    assert_eq!(entries, [reading(1)]);
    assert!(why.starts_with("the disk is full"), "{why}");
    assert_eq!(writer.stop(false).unwrap_err().entries, 1);
}

#[test]
fn a_dropped_writer_still_writes_what_it_was_given() {
    let disk = Fake::default();
    let (writer, inbox) = disk.spawn();
    writer.readings.send(reading(1)).unwrap();
    drop(writer);
    assert_eq!(next(&inbox), Event::Appended(vec![reading(1)]));
    // The thread has ended when its way to the desk is closed.
    let end = inbox.recv_timeout(PATIENCE).unwrap_err();
    assert_eq!(end, mpsc::RecvTimeoutError::Disconnected);
    assert_eq!(disk.look().synced, bytes_of(&[reading(1)]).len());
}

#[test]
fn two_writers_are_refused_and_no_file_is_overwritten() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("one.lull");
    let first = session_file::create(&path, &header::unknown()).unwrap();
    let error = session_file::resume(&path, &mut |_, _| Ok(true)).unwrap_err();
    assert!(matches!(error.why, FileFault::Busy));
    let words = error.to_string();
    assert!(
        words.contains("another lullboard is writing this session"),
        "{words}"
    );
    let error = session_file::create(&path, &header::unknown()).unwrap_err();
    assert!(matches!(error.why, FileFault::Exists), "{error}");
    // Reading is free.
    session_file::fold(&path, &ImportOptions::default(), |_| ()).unwrap();
    drop(first);
    session_file::resume(&path, &mut |_, _| Ok(true)).unwrap();
}

#[test]
fn the_default_name_is_the_wall_clock_and_numbered_when_taken() {
    let directory = tempfile::tempdir().unwrap();
    let now = chrono::DateTime::parse_from_rfc3339("2026-11-25T08:00:30+01:00").unwrap();
    for name in [
        "2026-11-25_0800.lull",
        "2026-11-25_0800_2.lull",
        "2026-11-25_0800_3.lull",
    ] {
        let path = session_file::default_name(directory.path(), now);
        assert_eq!(path, directory.path().join(name));
        File::create(path).unwrap();
    }
}

#[test]
fn time_goes_on_from_the_wall_clock_and_never_back() {
    let mut session = Session::new(header::unknown());
    session.apply(&reading(5_000));
    let at = |text| chrono::DateTime::parse_from_rfc3339(text).unwrap();
    let later = session_file::base(&session, at("1970-01-01T00:01:00.250Z"));
    assert_eq!(later, Elapsed::from_ms(60_250));
    let set_back = session_file::base(&session, at("1969-12-31T23:00:00Z"));
    assert_eq!(set_back, Elapsed::from_ms(5_000));
}

#[test]
fn any_record_is_read_by_its_first_bytes_and_named_in_errors() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("log.txt");
    let options = ImportOptions::default();
    fs::write(&path, "time_s,current_a\n0,1.0\n1,2.0\n").unwrap();
    let mut record = session_file::read_any(&path, &options).unwrap();
    assert_eq!(record.by_ref().flatten().count(), 2);
    assert_eq!(record.progress(), (29, 29));
    assert!(record.notices.to_string().contains("tells no date"));
    for (content, wanted) in [
        (&b""[..], "the file is empty"),
        (
            b"\x7fELF\x02\x01\x01\0\0",
            "found the byte 0x02, which stands in no text",
        ),
        (b"{\"name\":1}\n", "not a lullboard session"),
        (b"{\"lullboard\":2}\n", "written by a newer lullboard"),
        (b"time_s,current_a\n0,1.0\n1,x\n", "line 3: found 'x'"),
    ] {
        fs::write(&path, content).unwrap();
        let error = session_file::fold(&path, &options, |_| ())
            .unwrap_err()
            .to_string();
        assert!(
            error.contains("log.txt: ") && error.contains(wanted),
            "{error}"
        );
    }
    let error = session_file::fold(directory.path(), &options, |_| ()).unwrap_err();
    assert!(error.to_string().contains("cannot read it"), "{error}");
}
