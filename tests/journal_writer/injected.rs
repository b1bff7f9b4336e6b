//! One fault at a time, on the disk in memory: what is told of it, and what it leaves. A full disk and a
//! sync that fails stand beside the other tests of the writer; any of them together in `schedules`.

use lullboard::desk::message::Event;
use lullboard::session::entry::Fact;
use lullboard::shell::files::journal_writer::{Astray, Order};

use super::fake::{Fake, Sync, Write};
use super::schedules::{read_back, seal_holds};
use super::{bytes_of, entries_in, mark, next, reading, told_until};

#[test]
fn a_write_that_takes_a_byte_at_a_time_is_gone_on_with() {
    let disk = Fake::default();
    let entry = mark(7, 1);
    let length = bytes_of(std::slice::from_ref(&entry)).len();
    disk.look()
        .writes
        .extend((0..length).map(|_| Write::Short(1)));
    let (writer, inbox) = disk.spawn();
    writer.facts.send(entry.clone()).unwrap();
    assert_eq!(next(&inbox), Event::Appended(vec![entry.clone()]));
    {
        let platter = disk.look();
        assert!(platter.writes.is_empty(), "each was asked for");
        assert_eq!(platter.after_power_cut(0), bytes_of(&[entry]));
    }
    writer.stop(false).unwrap();
}

#[test]
fn an_interrupted_write_is_no_fault() {
    let disk = Fake::default();
    let interrupted = [Write::Interrupted, Write::Short(5), Write::Interrupted];
    disk.look().writes.extend(interrupted);
    let (writer, inbox) = disk.spawn();
    writer.facts.send(mark(7, 1)).unwrap();
    assert_eq!(next(&inbox), Event::Appended(vec![mark(7, 1)]));
    assert_eq!(disk.look().after_power_cut(0), bytes_of(&[mark(7, 1)]));
    writer.stop(false).unwrap();
}

#[test]
fn an_interrupted_sync_is_asked_again_and_no_mark_is_told_before() {
    let disk = Fake::default();
    disk.look().syncs.push_back(Sync::Interrupted);
    let (writer, inbox) = disk.spawn();
    writer.facts.send(mark(7, 1)).unwrap();
    let told = told_until(&inbox, |event| {
        matches!(event, Event::Appended(_) | Event::CaughtUp)
    });
    assert_eq!(entries_in(&told), [mark(7, 1)]);
    assert_eq!(disk.look().after_power_cut(0), bytes_of(&[mark(7, 1)]));
    writer.stop(false).unwrap();
}

#[test]
fn a_disk_that_breaks_inside_a_line_is_told_and_goes_on_with_the_next_byte() {
    let disk = Fake::default();
    let breaks = [Write::Short(9), Write::Broken];
    disk.look().writes.extend(breaks);
    let (writer, inbox) = disk.spawn();
    writer.facts.send(mark(7, 1)).unwrap();
    let Event::Unsaved(entries, why) = next(&inbox) else {
        panic!("not told")
    };
    assert_eq!(entries, [mark(7, 1)]);
    assert!(why.contains("pulled out"), "{why}");
    writer.readings.send(reading(8)).unwrap();
    told_until(&inbox, |event| *event == Event::CaughtUp);
    writer.stop(false).unwrap();
    let expected = bytes_of(&[mark(7, 1), reading(8)]);
    assert_eq!(disk.look().after_power_cut(0), expected);
}

#[test]
fn what_a_failed_sync_forgot_is_on_disk_before_it_is_called_caught_up() {
    let disk = Fake::default();
    disk.look()
        .syncs
        .extend([Sync::Forgets(11), Sync::Forgets(3)]);
    let (writer, inbox) = disk.spawn();
    writer.facts.send(mark(7, 1)).unwrap();
    assert!(matches!(next(&inbox), Event::Unsaved(..)));
    let left = disk.look().after_power_cut(usize::MAX);
    assert!(left.len() < bytes_of(&[mark(7, 1)]).len(), "forgotten");
    writer.facts.send(mark(8, 2)).unwrap();
    told_until(&inbox, |event| *event == Event::CaughtUp);
    let left = disk.look().after_power_cut(0);
    assert_eq!(left, bytes_of(&[mark(7, 1), mark(8, 2)]));
    writer.stop(false).unwrap();
}

/// Readings are let wait for their sync; a mark takes those before it along.
#[test]
fn a_power_cut_takes_no_mark_and_tears_one_line_at_most() {
    let disk = Fake::default();
    let (writer, inbox) = disk.spawn();
    let entries = [reading(1), reading(2), mark(3, 1), reading(4), reading(5)];
    for entry in &entries[..2] {
        writer.readings.send(entry.clone()).unwrap();
        next(&inbox);
    }
    writer.facts.send(entries[2].clone()).unwrap();
    assert_eq!(next(&inbox), Event::Appended(vec![entries[2].clone()]));
    for entry in &entries[3..] {
        writer.readings.send(entry.clone()).unwrap();
        next(&inbox);
    }
    let whole = bytes_of(&entries).len();
    for more in 0..=whole {
        let left = disk.look().after_power_cut(more);
        let read = read_back(&left);
        assert!(read.len() >= 3, "{more}: {read:?}");
        assert_eq!(read, entries[..read.len()]);
    }
    writer.stop(false).unwrap();
}

#[test]
fn in_the_place_of_a_replaced_file_nothing_is_told_as_saved_until_it_goes_on_elsewhere() {
    let disk = Fake::default();
    let (writer, inbox) = disk.spawn();
    writer.facts.send(mark(1, 1)).unwrap();
    assert_eq!(next(&inbox), Event::Appended(vec![mark(1, 1)]));
    writer.readings.send(reading(2)).unwrap();
    assert_eq!(next(&inbox), Event::Appended(vec![reading(2)]));
    disk.look().became = Some(Astray::Replaced);
    writer.facts.send(mark(3, 2)).unwrap();
    let told = told_until(&inbox, |event| *event == Event::Astray);
    assert!(!told.iter().any(|event| matches!(event, Event::Appended(_))));
    writer.readings.send(reading(4)).unwrap();
    assert!(matches!(next(&inbox), Event::Unsaved(..)));
    writer.orders.send(Order::GoOn("elsewhere".into())).unwrap();
    let told = told_until(&inbox, |event| *event == Event::CaughtUp);
    assert!(told.contains(&Event::Moved(Ok(("elsewhere".into(), 0)))));
    let all = [mark(1, 1), reading(2), mark(3, 2), reading(4)];
    assert_eq!(disk.look().after_power_cut(0), bytes_of(&all));
    writer.stop(true).unwrap();
    seal_holds(&disk.look().after_power_cut(0));
}

/// A stick that came back, a copy that an editor saved: the same record, with less of its end.
#[test]
fn the_same_record_in_the_place_is_taken_up_and_its_missing_end_written() {
    for held in [0, 1, 20, 99] {
        let disk = Fake::default();
        let (writer, inbox) = disk.spawn();
        writer.facts.send(mark(1, 1)).unwrap();
        next(&inbox);
        writer.readings.send(reading(2)).unwrap();
        next(&inbox);
        disk.look().same_again = Some(held);
        disk.look().became = Some(Astray::Replaced);
        writer.facts.send(mark(3, 2)).unwrap();
        let told = told_until(&inbox, |event| {
            !entries_in(std::slice::from_ref(event)).is_empty()
        });
        assert_eq!(told, [Event::Appended(vec![mark(3, 2)])], "{held}");
        let all = [mark(1, 1), reading(2), mark(3, 2)];
        assert_eq!(disk.look().after_power_cut(0), bytes_of(&all), "{held}");
        writer.stop(true).unwrap();
        let left = disk.look().after_power_cut(0);
        seal_holds(&left);
        let seals = read_back(&left);
        assert!(matches!(seals.last().unwrap().fact, Fact::Seal(_)));
    }
}
