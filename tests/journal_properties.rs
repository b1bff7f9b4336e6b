//! What must hold for every session file, whatever happened to its bytes.
#![cfg(test)]

use std::fs::{self, OpenOptions};
use std::io::{BufReader, Write};

use chrono::{DateTime, FixedOffset};
use lullboard::journal::import::{ImportOptions, Importer};
use lullboard::journal::recover::{Found, Reader};
use lullboard::journal::seal::{self, Chain, SealState};
use lullboard::journal::{header, line};
use lullboard::judge::judge;
use lullboard::reading::{Amps, Elapsed, Measured, Volts};
use lullboard::report::case::{Case, Source};
use lullboard::report::csv::CsvExport;
use lullboard::session::Session;
use lullboard::session::card::{Accuracy, Battery, BatteryKind, Card};
use lullboard::session::entry::{Entry, Fact, FuseDrop, Header, MeterCard, MeterEvent, Seal};
use lullboard::session::mark::{Did, Mark, MarkId, parse_mark};
use lullboard::shell::files::session_file::{self, FileFault};
use lullboard::shell::zone;
use proptest::prelude::*;

fn text() -> impl Strategy<Value = String> {
    prop_oneof![
        any::<String>(),
        "[a-zA-Z0-9 +,;\"'\\\\/]{0,12}",
        Just("L10 \u{1b}[31m \u{0} \u{2028} \"q\" \\ \u{1f697}\r\n".to_owned()),
    ]
}

fn moment() -> impl Strategy<Value = Elapsed> {
    prop_oneof![
        (-10_000i64..1_000_000).prop_map(Elapsed::from_ms),
        (-1_000_000_000_000_000i64..=1_000_000_000_000_000).prop_map(Elapsed::from_ms),
    ]
}

fn wall() -> impl Strategy<Value = DateTime<FixedOffset>> {
    (0i64..4_102_444_800_000, -14 * 60i32..=14 * 60).prop_map(|(ms, minutes)| {
        DateTime::from_timestamp_millis(ms)
            .unwrap()
            .with_timezone(&FixedOffset::east_opt(minutes * 60).unwrap())
    })
}

fn amps() -> impl Strategy<Value = Amps> {
    prop_oneof![
        (-99_999i64..99_999, 0u8..=6),
        ((-i64::MAX)..=i64::MAX, 0u8..=12)
    ]
    .prop_map(|(digits, decimals)| Amps::new(digits, decimals).unwrap())
}

fn finite() -> impl Strategy<Value = f64> {
    use proptest::num::f64::{NEGATIVE, NORMAL, POSITIVE, SUBNORMAL, ZERO};
    prop_oneof![
        -1e3..1e3f64,
        POSITIVE | NEGATIVE | NORMAL | SUBNORMAL | ZERO
    ]
}

fn card() -> impl Strategy<Value = Card> {
    let accuracy =
        (finite(), finite(), finite()).prop_map(|(percent, counts, amount_a)| Accuracy {
            percent,
            counts,
            amount_a,
        });
    let kind = prop_oneof![
        Just(BatteryKind::Flooded),
        Just(BatteryKind::Efb),
        Just(BatteryKind::Agm),
        Just(BatteryKind::Gel)
    ];
    let battery = (kind, proptest::option::of(finite())).prop_map(|(kind, c20_ah)| Battery {
        kind,
        c20_ah,
        reserve_min: None,
        cranking: None,
    });
    (
        proptest::option::of(text()),
        proptest::option::of(finite()),
        proptest::option::of(accuracy),
        proptest::option::of(battery),
        proptest::option::of(any::<bool>()),
    )
        .prop_map(|(car, limit_a, accuracy, battery, asleep_at_start)| Card {
            car,
            limit_a,
            accuracy,
            battery,
            asleep_at_start,
            ..Card::default()
        })
}

fn mark() -> impl Strategy<Value = Mark> {
    (
        any::<u32>(),
        proptest::sample::select(Did::ALL.to_vec()),
        proptest::collection::vec(text(), 0..3),
        proptest::option::of(moment()),
        proptest::option::of((moment(), moment())),
        proptest::option::of(8.0..900.0),
        text(),
    )
        .prop_map(|(id, did, what, at, stretch, every_s, text)| Mark {
            id: MarkId(id),
            did,
            what,
            at,
            from: stretch.map(|(from, _)| from),
            to: stretch.map(|(_, to)| to),
            every_s,
            text,
        })
}

fn fuse_drop() -> impl Strategy<Value = FuseDrop> {
    let optional = || proptest::option::of(finite());
    (
        text(),
        finite(),
        optional(),
        optional(),
        proptest::option::of(text()),
        optional(),
    )
        .prop_map(|(what, mv, step_mv, ohms, style, rating_a)| FuseDrop {
            what,
            mv,
            step_mv,
            ohms,
            style,
            rating_a,
        })
}

fn event() -> impl Strategy<Value = MeterEvent> {
    prop_oneof![
        text().prop_map(MeterEvent::Lost),
        text().prop_map(MeterEvent::Back),
        text().prop_map(MeterEvent::Range),
        any::<bool>().prop_map(MeterEvent::Held),
        any::<bool>().prop_map(MeterEvent::Ac),
        any::<bool>().prop_map(MeterEvent::AutoOff),
        Just(MeterEvent::LowCell),
        (text(), finite()).prop_map(|(why, for_s)| MeterEvent::Gap { why, for_s }),
    ]
}

fn fact() -> impl Strategy<Value = Fact> {
    prop_oneof![
        8 => amps().prop_map(|amps| Fact::Reading(Measured::Amps(amps))),
        1 => Just(Fact::Reading(Measured::Over)),
        3 => mark().prop_map(|it| Fact::Mark(Box::new(it))),
        1 => any::<u32>().prop_map(|id| Fact::Strike(MarkId(id))),
        1 => fuse_drop().prop_map(|it| Fact::Drop(Box::new(it))),
        1 => card().prop_map(|card| Fact::Set(Box::new(card))),
        2 => event().prop_map(Fact::Meter),
        2 => amps().prop_map(|decimal| Fact::Volts(Volts::heard(decimal))),
        1 => event().prop_map(Fact::VoltsMeter),
        1 => wall().prop_map(Fact::Resumed),
        1 => (any::<u64>(), text()).prop_map(|(lines, sha256)| Fact::Seal(Seal { lines, sha256 })),
        1 => Just(Fact::Unknown),
    ]
}

fn entry() -> impl Strategy<Value = Entry> {
    (moment(), fact()).prop_map(|(t, fact)| Entry { t, fact })
}

fn any_header() -> impl Strategy<Value = Header> {
    let any = (wall(), card(), text(), proptest::option::of(text()));
    any.prop_map(|(started, card, uri, volts)| Header {
        started,
        card,
        meter: MeterCard {
            uri,
            format: None,
            volts,
        },
    })
}

fn file_of(header: &Header, entries: &[Entry]) -> Vec<u8> {
    let mut bytes = Vec::new();
    header::write(header, &mut bytes).unwrap();
    for entry in entries {
        line::write(entry, &mut bytes).unwrap();
    }
    bytes
}

/// Entries, damaged lines, and whether the end is torn.
fn recovered(bytes: &[u8], buffer: usize) -> Option<(Vec<Entry>, Vec<u64>, bool)> {
    let mut reader = Reader::new(BufReader::with_capacity(buffer, bytes)).ok()?;
    let mut entries = Vec::new();
    let mut damaged = Vec::new();
    for found in reader.by_ref() {
        match found.unwrap() {
            Found::Entry(entry) => entries.push(entry),
            Found::Damage(damage) => damaged.push(damage.line),
        }
    }
    Some((entries, damaged, reader.is_torn()))
}

fn fold(header: &Header, entries: &[Entry]) -> Session {
    let mut session = Session::new(header.clone());
    for entry in entries {
        session.apply(entry);
    }
    session
}

fn sample() -> Vec<u8> {
    let lines = [
        r#"{"lullboard":1,"started":"2026-11-25T08:00:00.000+00:00","card":{"limit_a":0.05},"meter":{"uri":"pipe:-"}}"#,
        r#"{"t":0.250,"a":1.914}"#,
        r#"{"t":0.500,"over":true}"#,
        r#"{"t":91.000,"mark":{"id":3,"did":"pull","what":["L10","\u001b \"x\" ä"],"at":90.5}}"#,
        r#"{"t":95.000,"strike":3}"#,
        r#"{"t":96.000,"set":{"limit_a":0.04}}"#,
        r#"{"t":99.000,"meter":{"gap":"laptop slept","for_s":1803.2}}"#,
        r#"{"t":120.000,"resumed":"2026-11-25T08:02:00.000+00:00"}"#,
        r#"{"t":121.000,"a":0.0520}"#,
    ];
    let mut bytes = (lines.join("\n") + "\n").into_bytes();
    let mut chain = Chain::default();
    chain.update(&bytes);
    let fact = Fact::Seal(chain.seal());
    let t = Elapsed::from_secs(130.0);
    line::write(&Entry { t, fact }, &mut bytes).unwrap();
    bytes
}

#[test]
fn cut_at_every_byte_all_whole_lines_live_and_going_on_loses_none() {
    let whole = sample();
    let (all, damaged, torn) = recovered(&whole, 4096).unwrap();
    assert_eq!((all.len(), damaged.len(), torn), (9, 0, false));
    let header_ends = whole.iter().position(|byte| *byte == b'\n').unwrap();
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("cut.lull");
    for cut in 0..=whole.len() {
        let kept = &whole[..cut];
        fs::write(&path, kept).unwrap();
        let resumed = match session_file::resume(&path, &mut |_, _| Ok(true)) {
            Ok(resumed) => resumed,
            Err(error) => {
                assert!(cut < header_ends, "cut at {cut}: {error}");
                assert!(matches!(error.why, FileFault::NotASession(_)), "{error}");
                assert_eq!(fs::read(&path).unwrap(), kept, "refused, so left alone");
                continue;
            }
        };
        let whole_lines = kept.split(|byte| *byte == b'\n').count() - 1;
        let is_torn = !kept.ends_with(b"\n");
        // A cut just before a line feed leaves the line itself whole.
        let is_closed = is_torn && whole[cut] == b'\n';
        let expected = (whole_lines + usize::from(is_closed)) - 1;
        assert_eq!(resumed.notices.first.is_empty(), !is_torn, "cut at {cut}");
        drop(resumed);

        let mut file = OpenOptions::new().append(true).open(&path).unwrap();
        file.write_all(b"{\"t\":140.000,\"a\":0.1}\n").unwrap();
        let (entries, damaged, torn) = recovered(&fs::read(&path).unwrap(), 4096).unwrap();
        assert!(!torn);
        assert_eq!(entries[..expected], all[..expected], "cut at {cut}");
        assert_eq!(entries.len(), expected + 1, "cut at {cut}");
        assert_eq!(damaged.is_empty(), !is_torn || is_closed, "cut at {cut}");
    }
}

#[test]
fn a_flipped_bit_anywhere_under_a_seal_is_found() {
    let whole = sample();
    assert!(seal::check(&whole[..]).unwrap().is_whole());
    let body = &whole[..whole.len() - 1];
    let seal_line = body.iter().rposition(|byte| *byte == b'\n').unwrap() + 1;
    // The seal's own line is not under it: of that line the time is free, the rest is compared.
    let free = seal_line..seal_line + r#"{"t":130.000"#.len();
    for at in 0..whole.len() {
        for bit in 0..8 {
            let mut bytes = whole.clone();
            bytes[at] ^= 1 << bit;
            match seal::check(&bytes[..]) {
                Ok(report) => {
                    let is_found = !report.is_whole();
                    assert!(is_found || free.contains(&at), "byte {at} bit {bit}");
                    if at < seal_line && report.seals > 0 {
                        assert!(
                            matches!(report.state, SealState::Altered { .. }),
                            "byte {at} bit {bit}: {report}"
                        );
                    }
                }
                Err(error) => assert!(at < 24, "byte {at} bit {bit}: {error}"),
            }
        }
    }
}

proptest! {
    #[test]
    fn an_entry_and_its_line_are_the_same(entry in entry()) {
        let mut bytes = Vec::new();
        line::write(&entry, &mut bytes).unwrap();
        prop_assert_eq!(bytes.iter().position(|byte| *byte == b'\n'), Some(bytes.len() - 1));
        prop_assert_eq!(line::read(&bytes), Ok(entry));
    }

    #[test]
    fn a_header_and_its_line_are_the_same(header in any_header()) {
        let mut bytes = Vec::new();
        header::write(&header, &mut bytes).unwrap();
        prop_assert_eq!(header::read(&bytes), Ok(header));
    }

    #[test]
    fn live_and_replay_are_the_same_fold(
        header in any_header(),
        entries in proptest::collection::vec(entry(), 0..40),
        buffer in 1usize..100,
    ) {
        let bytes = file_of(&header, &entries);
        let (again, damaged, torn) = recovered(&bytes, buffer).unwrap();
        prop_assert!(damaged.is_empty() && !torn);
        let (live, replay) = (fold(&header, &entries), fold(&header, &again));
        prop_assert_eq!(judge(&live), judge(&replay));
        prop_assert_eq!(format!("{live:?}"), format!("{replay:?}"));
    }

    #[test]
    fn flipped_bytes_cost_only_their_lines(
        flips in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6),
    ) {
        let whole = sample();
        let (all, _, _) = recovered(&whole, 4096).unwrap();
        let mut bytes = whole.clone();
        for (at, byte) in &flips {
            let at = at.index(bytes.len());
            bytes[at] = *byte;
        }
        let _ = seal::check(&bytes[..]);
        if let Some((entries, _, _)) = recovered(&bytes, 16) {
            // A flip costs one line; a line feed that is lost costs the two it parted.
            let kept = all.iter().filter(|entry| entries.contains(entry)).count();
            prop_assert!(kept + 2 * flips.len() >= all.len(), "{kept} of {}", all.len());
        }
    }

    #[test]
    fn no_bytes_at_all_panic(
        bytes in proptest::collection::vec(any::<u8>(), 0..300),
        with_header in any::<bool>(),
    ) {
        let mut file = Vec::new();
        if with_header {
            header::write(&header::unknown(), &mut file).unwrap();
        }
        file.extend(&bytes);
        prop_assert!(!with_header || recovered(&file, 7).is_some());
        let _ = seal::check(&file[..]);
        let mut csv = b"time_s,current_a,mark\n0,1,\n".to_vec();
        csv.extend(&bytes);
        let began = header::unknown().started;
        if let Ok(rows) = Importer::new(&csv[..], &ImportOptions::default(), began) {
            // The first error is the last thing it says.
            prop_assert!(rows.filter(Result::is_err).count() <= 1);
        }
    }

    #[test]
    fn a_session_and_its_csv_are_judged_alike(
        rows in proptest::collection::vec((1i64..2000, amps(), 0u8..12), 1..60),
    ) {
        let mut ms = 0;
        let mut id = 0;
        let mut entries = Vec::new();
        for (step, amps, what) in rows {
            ms += step;
            let t = Elapsed::from_ms(ms);
            let cell = match what {
                0 => "lock",
                1 => "pull L10+E7",
                2 => "refit L10",
                3 => "note a, \"b\"",
                _ => "",
            };
            if !cell.is_empty() {
                id += 1;
                let mark = parse_mark(MarkId(id), cell).unwrap();
                entries.push(Entry { t, fact: Fact::Mark(Box::new(mark)) });
            }
            let value = if what == 11 { Measured::Over } else { Measured::Amps(amps) };
            entries.push(Entry { t, fact: Fact::Reading(value) });
        }
        let session = fold(&header::unknown(), &entries);
        let mut csv = Vec::new();
        let source = Source { started: Some(header::unknown().started), ..Source::default() };
        let case = Case::new(session, source, zone::offsets);
        let mut export = CsvExport::new(&case, &mut csv).unwrap();
        for entry in &entries {
            export.entry(entry).unwrap();
        }
        export.finish().unwrap();
        let began = header::unknown().started;
        let importer = Importer::new(&csv[..], &ImportOptions::default(), began).unwrap();
        let again: Vec<Entry> = importer.map(Result::unwrap).collect();
        prop_assert_eq!(&again, &entries);
        prop_assert_eq!(case.judgement, judge(&fold(&header::unknown(), &again)));
    }
}
