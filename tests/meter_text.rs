//! Text lines against vectors made apart from the decoder, and against any bytes at all.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use lullboard::meter::text::{Column, TextDecoder, TextOptions};
use lullboard::meter::{Decoder, Heard, Unusable};
use lullboard::reading::Measured;
use proptest::prelude::*;

/// Made from the open standards and notes named in each row, apart from this program.
const VECTORS: &str = include_str!("vectors/text.tsv");

fn options_for(id: &str) -> TextOptions {
    let mut options = TextOptions::default();
    match id {
        "txt-csv-2" => options.column = Some("2".parse().unwrap()),
        "txt-json-nested" => options.field = Some("ina.current_mA".into()),
        _ => {}
    }
    options
}

fn bytes(hex: &str) -> Vec<u8> {
    hex.split_whitespace()
        .map(|byte| u8::from_str_radix(byte, 16).unwrap())
        .collect()
}

fn hear(options: TextOptions, chunks: &[&[u8]]) -> Vec<Heard> {
    let mut decoder = TextDecoder::new(options);
    let mut heard = Vec::new();
    for chunk in chunks {
        decoder.feed(chunk, &mut heard);
    }
    heard
}

/// What was heard, in the words of the vectors.
fn in_words(heard: &Heard) -> (String, String) {
    let (status, amps) = match heard {
        Heard::Value(Measured::Amps(amps)) => ("ok", amps.to_string()),
        Heard::Value(Measured::Over) => ("overload", String::new()),
        Heard::Unusable(Unusable::NoReading) => ("no-reading", String::new()),
        Heard::Unusable(Unusable::Ac | Unusable::OtherQuantity) | Heard::Voltage(_) => {
            ("wrong-mode", String::new())
        }
        Heard::Trouble(_) => ("trouble", String::new()),
        Heard::Unusable(Unusable::Held) => ("held", String::new()),
        Heard::Unusable(Unusable::Relative) => ("relative", String::new()),
        Heard::Rejected(_) => ("reject", String::new()),
        Heard::Range(_) => ("range", String::new()),
        Heard::LowCell => ("low cell", String::new()),
        Heard::AutoPowerOff => ("auto power off", String::new()),
        Heard::Unsure { .. } => ("unsure", String::new()),
    };
    (status.into(), amps)
}

#[test]
fn every_vector_is_decoded_exactly() {
    let mut rows = 0;
    for row in VECTORS.lines().filter(|line| !line.starts_with('#')) {
        let columns: Vec<&str> = row.split('\t').collect();
        let (id, hex, status, amps) = (columns[0], columns[1], columns[2], columns[3]);
        let heard = hear(options_for(id), &[&bytes(hex)]);
        let said: Vec<_> = heard.iter().map(in_words).collect();
        assert_eq!(said, [(status.to_owned(), amps.to_owned())], "{id}");
        rows += 1;
    }
    assert_eq!(rows, 30, "every row of the file was tried");
}

#[test]
fn every_vector_but_the_chosen_paths_needs_no_options() {
    let row = VECTORS
        .lines()
        .find(|line| line.starts_with("txt-json-nested"))
        .unwrap();
    let hex = row.split('\t').nth(1).unwrap();
    let heard = hear(TextOptions::default(), &[&bytes(hex)]);
    assert_eq!(in_words(&heard[0]), ("ok".into(), "-0.01234".into()));
}

/// Stream `st-lines-split`: CR LF split over reads gives no empty reading.
#[test]
fn a_line_end_split_over_reads_is_one_line_end() {
    let chunks: [&[u8]; 4] = [b"12.3", b"4 mA\r", b"\n12.35", b" mA\n"];
    let said: Vec<_> = hear(TextOptions::default(), &chunks)
        .iter()
        .map(in_words)
        .collect();
    let ok = |amps: &str| ("ok".to_owned(), amps.to_owned());
    assert_eq!(said, [ok("0.01234"), ok("0.01235")]);
}

/// Lines that meters, boards and scripts send, and bytes that nobody sends.
fn any_stream() -> impl Strategy<Value = Vec<u8>> {
    let lines = prop::sample::select(vec![
        "12.34 mA\r\n",
        "0.012\n",
        "OL\r",
        "t,current_mA\n",
        "1,2.5\n",
        "{\"current\":1.20}\n",
        "Current: - 3 A\n",
        "HOLD 3 A\n",
        "----\n",
        "\u{b5}A 3 \u{3bc}A\n",
        "{\"a\":[1,{\"i\":2}]}\n",
    ])
    .prop_map(|line| line.as_bytes().to_vec());
    let noise = prop::collection::vec(any::<u8>(), 0..200);
    prop::collection::vec(prop_oneof![lines, noise], 0..20).prop_map(|parts| parts.concat())
}

fn any_options() -> impl Strategy<Value = TextOptions> {
    let columns = prop::option::of(prop_oneof![
        Just("2".parse::<Column>().unwrap()),
        Just("current_mA".parse::<Column>().unwrap()),
    ]);
    let fields = prop::option::of(prop_oneof![
        Just("current".to_owned()),
        Just("a.1.i".to_owned())
    ]);
    (columns, fields).prop_map(|(column, field)| TextOptions {
        column,
        field,
        ..TextOptions::default()
    })
}

proptest! {
    #[test]
    fn how_the_bytes_were_cut_changes_nothing(
        stream in any_stream(),
        options in any_options(),
        size in 1usize..40,
    ) {
        let whole = hear(options.clone(), &[&stream]);
        let chunks: Vec<&[u8]> = stream.chunks(size).collect();
        prop_assert_eq!(hear(options, &chunks), whole);
    }

    #[test]
    fn there_are_never_more_readings_than_line_ends(
        stream in any_stream(),
        options in any_options(),
    ) {
        let heard = hear(options, &[&stream]);
        let values = heard.iter().filter(|h| matches!(h, Heard::Value(_))).count();
        let ends = stream.iter().filter(|b| matches!(b, b'\r' | b'\n')).count();
        prop_assert!(values <= ends);
    }

    #[test]
    fn a_good_line_is_found_within_two_lines_of_any_noise(
        noise in prop::collection::vec(any::<u8>(), 0..5000),
    ) {
        let mut stream = noise;
        stream.extend_from_slice(b"\n12.34 mA\n12.34 mA\n");
        let heard = hear(TextOptions::default(), &[&stream]);
        let last = heard.last().map(in_words);
        prop_assert_eq!(last, Some(("ok".to_owned(), "0.01234".to_owned())));
    }

    #[test]
    fn a_number_keeps_every_written_place(digits in 0u32..1_000_000, places in 0u32..6) {
        let scale = 10u32.pow(places);
        let width = usize::try_from(places).unwrap();
        let number = match places {
            0 => digits.to_string(),
            _ => format!("{}.{:0width$}", digits / scale, digits % scale),
        };
        prop_assume!(digits / scale < 100_000);
        let line = format!("{number} A\n");
        let heard = hear(TextOptions::default(), &[line.as_bytes()]);
        prop_assert_eq!(in_words(&heard[0]), ("ok".to_owned(), number));
    }
}
