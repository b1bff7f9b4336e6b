//! Handheld formats against vectors made apart from the decoders, against any bytes at all, and
//! through the built program with a pseudo-terminal as the meter.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

#[cfg(unix)]
#[path = "meter_vectors/program.rs"]
mod program;

use lullboard::meter::detect::{Detection, Listener, Setting, UnnamedDecoder, plan};
use lullboard::meter::format::Format;
use lullboard::meter::handheld::Handheld;
use lullboard::meter::probe::{Probe, Voltage};
use lullboard::meter::{Decoder as _, Heard, Unusable};
use lullboard::reading::Measured;
use proptest::prelude::*;

/// One row of a vector file. Each file names what it was made from.
#[derive(Debug)]
struct Vector {
    id: &'static str,
    bytes: Vec<u8>,
    status: &'static str,
    amps: &'static str,
    flags: Vec<&'static str>,
    confidence: &'static str,
}

fn bytes(hex: &str) -> Vec<u8> {
    hex.split_whitespace()
        .map(|byte| u8::from_str_radix(byte, 16).unwrap())
        .collect()
}

fn rows(file: &'static str) -> Vec<Vector> {
    file.lines()
        .filter(|line| !line.starts_with('#') && !line.is_empty())
        .map(|line| {
            let columns: Vec<&str> = line.split('\t').collect();
            Vector {
                id: columns[0],
                bytes: bytes(columns[1]),
                status: columns[2],
                amps: columns[3],
                flags: columns[5].split_whitespace().collect(),
                confidence: columns[6],
            }
        })
        .collect()
}

/// Each file with its format and how many rows it has.
fn files() -> [(Handheld, Vec<Vector>, usize); 6] {
    [
        (Handheld::Lcd14, rows(include_str!("vectors/lcd14.tsv")), 22),
        (
            Handheld::Fs9922,
            rows(include_str!("vectors/fs9922.tsv")),
            21,
        ),
        (
            Handheld::Es51922,
            rows(include_str!("vectors/es51922.tsv")),
            20,
        ),
        (Handheld::Es11, rows(include_str!("vectors/es11.tsv")), 12),
        (
            Handheld::Ascii14,
            rows(include_str!("vectors/ascii14.tsv")),
            12,
        ),
        (Handheld::Stx16, rows(include_str!("vectors/stx16.tsv")), 8),
    ]
}

fn hear(kind: Handheld, chunks: &[&[u8]]) -> Vec<Heard> {
    let mut decoder = kind.decoder();
    let mut heard = Vec::new();
    for chunk in chunks {
        decoder.feed(chunk, &mut heard);
    }
    heard
}

/// What was heard, in the words of the vectors.
fn in_words(heard: &Heard) -> String {
    match heard {
        Heard::Value(Measured::Amps(amps)) => format!("ok {amps}"),
        Heard::Value(Measured::Over) => "overload".into(),
        Heard::Unusable(Unusable::NoReading) => "no-reading".into(),
        Heard::Unusable(Unusable::Ac | Unusable::OtherQuantity) => "wrong-mode".into(),
        Heard::Unusable(Unusable::Held) => "held".into(),
        Heard::Unusable(Unusable::Relative) => "relative".into(),
        Heard::Rejected(_) => "reject".into(),
        Heard::Range(to) => format!("range {to}"),
        Heard::LowCell => "LOWBAT".into(),
        Heard::AutoPowerOff => "APO".into(),
        Heard::Unsure { .. } => "unsure".into(),
        Heard::Voltage(Voltage(Measured::Amps(volts))) => format!("volts {volts}"),
        Heard::Voltage(Voltage(Measured::Over)) => "volts-over".into(),
        Heard::Trouble(what) => what.clone(),
    }
}

fn words(heard: &[Heard]) -> Vec<String> {
    heard.iter().map(in_words).collect()
}

/// What the row expects to be heard of its bytes.
fn expected(vector: &Vector) -> Vec<String> {
    // Refused although the row has a value: where the point stands is in no source. And known to
    // be a clamp's ampere, of which only the scale is missing.
    if vector.id.starts_with("es11") && vector.confidence == "unsure" || vector.id == "es14-vbar" {
        return vec!["unsure".into()];
    }
    let mut words: Vec<String> = ["LOWBAT", "APO"]
        .into_iter()
        .filter(|flag| vector.flags.contains(flag))
        .map(str::to_owned)
        .collect();
    words.push(match vector.status {
        // A minus before zero says nothing that a record could keep.
        "ok" if vector.id == "lcd-mA-negzero" => "ok 0.00000".into(),
        "ok" | "volts" => format!("{} {}", vector.status, vector.amps),
        status => status.to_owned(),
    });
    words
}

/// A message with a value that no row has, so that its twin is not mistaken for it.
fn good(kind: Handheld) -> Vec<u8> {
    match kind {
        Handheld::Lcd14 => bytes("17 20 35 45 5B 69 7F 83 9E A0 B8 C0 D8 E0"),
        Handheld::Fs9922 => b"+1235 21\x00\x40\x40\x0c\r\n".to_vec(),
        Handheld::Es51922 => b"0012350000:0\r\n".to_vec(),
        Handheld::Es11 => b"01235900:\r\n".to_vec(),
        Handheld::Ascii14 => b"DC  12.35  mA\r".to_vec(),
        Handheld::Stx16 => b"\x024137020000\x31\x32\x33\x35\r".to_vec(),
    }
}

fn good_words(kind: Handheld) -> String {
    match kind {
        Handheld::Es51922 => "ok 1.235".into(),
        Handheld::Lcd14
        | Handheld::Fs9922
        | Handheld::Es11
        | Handheld::Ascii14
        | Handheld::Stx16 => "ok 0.01235".into(),
    }
}

fn check(kind: Handheld, vector: &Vector) {
    let expected = expected(vector);
    let alone = words(&hear(kind, &[&vector.bytes]));
    if expected == ["reject"] {
        // That it is no message shows when the next one begins.
        let heard = words(&hear(kind, &[&vector.bytes, &good(kind)]));
        assert_eq!(
            heard,
            ["reject".to_owned(), good_words(kind)],
            "{}",
            vector.id
        );
        assert!(alone.iter().all(|word| word == "reject"), "{}", vector.id);
    } else {
        assert_eq!(alone, expected, "{}", vector.id);
    }
}

#[test]
fn every_vector_is_decoded_exactly() {
    for (kind, vectors, count) in files() {
        assert_eq!(vectors.len(), count, "{}", kind.name());
        for vector in &vectors {
            check(kind, vector);
        }
    }
}

/// Behind a clamp of 100 mV for each ampere: Ohm's law, by hand.
#[test]
fn volts_of_every_format_are_a_current_behind_a_clamp_and_none_without() {
    let clamp = Probe::new(Some(0.1), None);
    for (kind, vectors, _) in files() {
        let volts = vectors.iter().filter(|v| v.status.starts_with("volts"));
        assert!(volts.clone().count() > 0, "{}", kind.name());
        for vector in volts {
            let heard = hear(kind, &[&vector.bytes]);
            let with = |probe: Probe| {
                words(
                    &heard
                        .iter()
                        .map(|h| probe.convert(h.clone()))
                        .collect::<Vec<_>>(),
                )
            };
            assert_eq!(with(Probe::default()), ["wrong-mode"], "{}", vector.id);
            let current = match vector.amps {
                "" => "overload",
                "12.34" => "ok 123.4",
                "-0.01234" => "ok -0.1234",
                "0.00000" => "ok 0.0000",
                "12.345" => "ok 123.45",
                "-0.12345" => "ok -1.2345",
                "1.2345" => "ok 12.345",
                "123.45" => "ok 1234.5",
                "1.234" => "ok 12.34",
                other => panic!("{}: {other}", vector.id),
            };
            assert_eq!(with(clamp), [current], "{}", vector.id);
        }
    }
}

/// 7O1 and 7N2 as a port opened 8N1 sees them.
#[test]
fn parity_is_checked_byte_by_byte_on_a_port_opened_8n1() {
    let vectors = rows(include_str!("vectors/as8n1.tsv"));
    assert_eq!(vectors.len(), 7);
    for vector in &vectors {
        let kind = match vector.id {
            id if id.starts_with("n8-es14") => Handheld::Es51922,
            id if id.starts_with("n8-es11") => Handheld::Es11,
            _ => Handheld::Ascii14,
        };
        if vector.id == "n8-m14-request" {
            let poll = kind.decoder().poll().unwrap();
            assert_eq!(poll.bytes, vector.bytes);
            continue;
        }
        check(kind, vector);
    }
}

#[test]
fn only_the_polled_format_asks_for_anything() {
    for kind in Handheld::ALL {
        let polls = kind.decoder().poll().is_some();
        assert_eq!(polls, kind == Handheld::Ascii14, "{}", kind.name());
    }
}

fn recognised(setting: Setting, chunks: &[&[u8]]) -> Option<Format> {
    let mut listener = Listener::default();
    for chunk in chunks {
        listener.feed(setting, chunk);
    }
    match listener.outcome() {
        Detection::Recognised(found) => Some(found.format),
        Detection::Unrecognised(_) | Detection::Silent => None,
    }
}

/// The good messages of the vectors, each format at its speed and at every other.
#[test]
fn each_format_is_recognised_at_its_own_speed_and_as_no_other() {
    for (kind, vectors, _) in files() {
        let good = vectors.iter().filter(|vector| vector.status != "reject");
        let stream = good.map(|vector| vector.bytes.clone()).collect::<Vec<_>>();
        let stream = stream.concat();
        for setting in plan(None) {
            let found = recognised(setting, &[&stream]);
            let own = setting.baud == Some(kind.baud()) && kind != Handheld::Ascii14;
            if own {
                assert_eq!(found, Some(Format::Handheld(kind)), "{setting:?}");
            } else {
                // As it is asked for, `ascii14` with its parity stripped is plain lines.
                assert!(
                    matches!(found, None | Some(Format::Text)),
                    "{} at {setting:?}: {found:?}",
                    kind.name()
                );
                assert!(found.is_none() || kind == Handheld::Ascii14);
            }
        }
    }
}

/// The streams that need no port: what is decoded of their chunks, cut as they stand.
#[test]
fn every_stream_gives_the_same_however_it_is_cut() {
    let mut tried = 0;
    for (id, kind, steps, expected) in streams() {
        let Some(kind) = Handheld::named(kind) else {
            continue;
        };
        let mut decoder = kind.decoder();
        let mut heard = Vec::new();
        for step in &steps {
            match step {
                Step::Bytes(bytes) => decoder.feed(bytes, &mut heard),
                Step::HangUp => decoder.reset(),
                Step::Wait(_) | Step::Replug => {}
            }
        }
        assert_eq!(words(&heard), decoded(id, &expected), "{id}");
        tried += 1;
    }
    assert_eq!(tried, 17, "every handheld stream was tried");
}

enum Step {
    Bytes(Vec<u8>),
    Wait(u64),
    HangUp,
    Replug,
}

fn streams() -> Vec<(&'static str, &'static str, Vec<Step>, Vec<&'static str>)> {
    include_str!("vectors/streams.tsv")
        .lines()
        .filter(|line| !line.starts_with('#'))
        .map(|line| line.split('\t').collect::<Vec<_>>())
        .filter(|columns| !columns[2].contains("send"))
        .map(|columns| {
            let steps = columns[2].split('|').map(|step| match step.trim() {
                "hangup" => Step::HangUp,
                "replug" => Step::Replug,
                step => match step.strip_prefix("wait") {
                    Some(ms) => Step::Wait(ms.trim().parse().unwrap()),
                    None => Step::Bytes(bytes(step)),
                },
            });
            let expected = columns[3].split_whitespace().collect();
            (columns[0], columns[1], steps.collect(), expected)
        })
        .collect()
}

/// What the decoder is to hear of what the row expects: the port's events are the link's, and of
/// two equal messages of `es11` one is the other's twin, as the row's note leaves open.
fn decoded(id: &str, expected: &[&str]) -> Vec<String> {
    if id == "st-double" {
        return vec!["ok 0.01234".into(), "ok 0.01235".into()];
    }
    if id == "st-wrong-baud" {
        // Nine bytes: less than one message, so nothing is said yet.
        return Vec::new();
    }
    expected
        .iter()
        .filter(|word| !matches!(**word, "gap" | "lost" | "reopened"))
        .map(|word| match *word {
            "unit-change" => "range A".to_owned(),
            "reject" | "overload" | "held" | "wrong-mode" => (*word).to_owned(),
            amps => format!("ok {amps}"),
        })
        .collect()
}

fn any_kind() -> impl Strategy<Value = Handheld> {
    prop::sample::select(Handheld::ALL.to_vec())
}

/// Messages of every kind, whole and cut, and noise.
fn any_stream() -> impl Strategy<Value = Vec<u8>> {
    let messages: Vec<Vec<u8>> = files()
        .into_iter()
        .flat_map(|(_, vectors, _)| vectors.into_iter().map(|vector| vector.bytes))
        .chain(
            rows(include_str!("vectors/as8n1.tsv"))
                .into_iter()
                .map(|v| v.bytes),
        )
        .collect();
    let message = prop::sample::select(messages);
    let part = (message.clone(), 0usize..20, 0usize..20)
        .prop_map(|(message, from, length)| message.into_iter().skip(from).take(length).collect());
    let noise = prop::collection::vec(any::<u8>(), 0..60);
    prop::collection::vec(prop_oneof![4 => message, 1 => part, 1 => noise], 0..20)
        .prop_map(|parts| parts.concat())
}

proptest! {
    #[test]
    fn how_the_bytes_were_cut_changes_nothing(
        kind in any_kind(),
        stream in any_stream(),
        size in 1usize..40,
    ) {
        let whole = hear(kind, &[&stream]);
        let chunks: Vec<&[u8]> = stream.chunks(size).collect();
        prop_assert_eq!(hear(kind, &chunks), whole);
    }

    #[test]
    fn there_are_never_more_messages_than_fit_and_nothing_told_is_long(
        kind in any_kind(),
        stream in any_stream(),
    ) {
        let heard = hear(kind, &[&stream]);
        let messages = heard.iter().filter(|heard| matches!(
            heard,
            Heard::Value(_) | Heard::Voltage(_) | Heard::Unusable(_) | Heard::Unsure { .. }
        ));
        prop_assert!(messages.count() <= stream.len() / good(kind).len());
        for heard in &heard {
            if let Heard::Rejected(bytes) | Heard::Unsure { bytes, .. } = heard {
                prop_assert!(!bytes.is_empty() && bytes.len() <= lullboard::meter::sample::SAMPLE);
            }
        }
    }

    #[test]
    fn a_good_message_is_found_within_two_after_less_than_two_lengths_of_noise(
        kind in any_kind(),
        noise in prop::collection::vec(any::<u8>(), 0..31),
    ) {
        let noise = &noise[..noise.len().min(2 * good(kind).len() - 1)];
        let message = good(kind);
        let heard = words(&hear(kind, &[noise, &message, &message]));
        prop_assert!(heard.contains(&good_words(kind)), "{heard:?}");
    }

    #[test]
    fn noise_is_never_recognised(
        noise in prop::collection::vec(any::<u8>(), 0..3000),
        setting in prop::sample::select(plan(None)),
    ) {
        prop_assert_eq!(recognised(setting, &[&noise]), None);
        prop_assert_eq!(recognised(Setting::NO_SPEED, &[&noise]), None);
    }

    #[test]
    fn how_the_bytes_were_cut_changes_nothing_in_what_is_recognised(
        stream in any_stream(),
        size in 1usize..40,
        setting in prop::sample::select(plan(None)),
    ) {
        let chunks: Vec<&[u8]> = stream.chunks(size).collect();
        prop_assert_eq!(recognised(setting, &chunks), recognised(setting, &[&stream]));
        let (mut whole, mut cut) = (Vec::new(), Vec::new());
        UnnamedDecoder::default().feed(&stream, &mut whole);
        let mut decoder = UnnamedDecoder::default();
        for chunk in chunks {
            decoder.feed(chunk, &mut cut);
        }
        prop_assert_eq!(cut, whole);
    }

    #[test]
    fn one_flipped_bit_of_a_parity_format_is_never_another_number(
        kind in prop::sample::select(vec![Handheld::Es51922, Handheld::Es11]),
        byte in 0usize..11,
        bit in 0u32..8,
    ) {
        let odd = |byte: u8| if byte.count_ones().is_multiple_of(2) { byte | 0x80 } else { byte };
        let mut message: Vec<u8> = good(kind).into_iter().map(odd).collect();
        prop_assert_eq!(words(&hear(kind, &[&message])), [good_words(kind)]);
        message[byte] ^= 1 << bit;
        prop_assert!(words(&hear(kind, &[&message])).is_empty());
    }
}
