//! The conversation, played against the vectors.

use super::*;

/// Made from the specification and public manuals named in each row, apart from this program.
const VECTORS: &str = include_str!("../../../tests/vectors/modbus.tsv");

fn at(t_s: f64) -> Elapsed {
    Elapsed::from_secs(t_s)
}

fn options(function: RegisterTable, kind: &str, order: &str, scale: &str) -> ModbusOptions {
    ModbusOptions {
        unit: 1,
        function,
        register: 0,
        kind: Kind::named(kind),
        order: Order::named(order),
        scale: scale.parse().unwrap(),
        rate: Rate::default(),
        parity: Parity::default(),
    }
}

fn bytes(hex: &str) -> Vec<u8> {
    hex.split(' ')
        .map(|byte| u8::from_str_radix(byte, 16).unwrap())
        .collect()
}

/// A talker that has just asked.
fn asked(options: &ModbusOptions) -> Modbus {
    let mut talker = Modbus::new(options).unwrap();
    let turn = talker.turn(at(0.0), &mut Vec::new());
    assert_eq!(turn, Turn::Send(options.request().frame().to_vec()));
    talker
}

/// What is heard of an answer and the time-out after it.
fn heard(options: &ModbusOptions, answer: &[u8]) -> Vec<Heard> {
    let mut talker = asked(options);
    let mut heard = Vec::new();
    talker.feed(at(0.1), answer, &mut heard);
    talker.turn(at(1.1), &mut heard);
    heard
}

fn is_amps(heard: &[Heard], value_a: &str) -> bool {
    let [Heard::Value(Measured::Amps(amps))] = heard else {
        return false;
    };
    (amps.value_a() - value_a.parse::<f64>().unwrap()).abs() < 1e-8
}

#[test]
fn every_vector_is_heard_as_it_is_meant() {
    let mut rows = 0;
    for row in VECTORS.lines().filter(|line| !line.starts_with('#')) {
        let columns: Vec<&str> = row.split('\t').collect();
        let (id, hex, status) = (columns[0], columns[1], columns[2]);
        let (value_a, display) = (columns[3], columns[4]);
        let (kind, order, scale) = match id {
            "mb-i16-mA" | "mb-i16-sentinel" => ("i16", "abcd", "0.01mA"),
            "mb-i32-uA" => ("i32", "abcd", "1uA"),
            _ => ("f32", "abcd", "1"),
        };
        let order = if matches!(display, "CDAB" | "BADC" | "DCBA") {
            display.to_ascii_lowercase()
        } else {
            order.to_owned()
        };
        let frame = bytes(hex);
        let function = if frame[1] & 0x7f == 3 {
            RegisterTable::Holding
        } else {
            RegisterTable::Input
        };
        let options = options(function, kind, &order, scale);
        let heard = heard(&options, &frame);
        match status {
            "ok" => assert!(is_amps(&heard, value_a), "{id}: {heard:?}"),
            "overload" => assert_eq!(heard, [Heard::Value(Measured::Over)], "{id}"),
            "no-reading" if id == "mb-exception" => {
                let [Heard::Trouble(words)] = heard.as_slice() else {
                    panic!("{id}: {heard:?}")
                };
                assert!(words.contains("02: it has no such register"), "{words}");
            }
            "no-reading" => assert_eq!(heard, [Heard::Unusable(Unusable::NoReading)], "{id}"),
            "reject" => assert_eq!(heard, [Heard::rejected(&frame)], "{id}"),
            "info" if id == "mb-published-fixed" => assert!(
                matches!(heard.as_slice(), [Heard::Value(Measured::Amps(a))]
                    if (a.value_a() - 6.10383).abs() < 5e-6),
                "{heard:?}"
            ),
            // Questions and a write: none of them is an answer.
            "info" => assert!(
                !heard.iter().any(|h| matches!(h, Heard::Value(_))),
                "{id}: {heard:?}"
            ),
            other => panic!("{id}: status {other}"),
        }
        rows += 1;
    }
    assert_eq!(rows, 22, "every row of the file was tried");
}

#[test]
fn any_cut_of_an_answer_gives_the_same() {
    let options = options(RegisterTable::Input, "f32", "abcd", "1");
    let answer = bytes("01 04 00 00 00 02 71 CB 01 04 04 3C 4A 2D B6 4A E4");
    for cut in 0..=answer.len() {
        let mut talker = asked(&options);
        let mut heard = Vec::new();
        let (first, rest) = answer.split_at(cut);
        talker.feed(at(0.1), first, &mut heard);
        talker.feed(at(0.2), rest, &mut heard);
        assert!(is_amps(&heard, "0.01234"), "cut at {cut}: {heard:?}");
    }
}

#[test]
fn a_late_answer_belongs_to_no_question() {
    let options = options(RegisterTable::Input, "f32", "abcd", "1");
    let mut talker = asked(&options);
    let mut heard = Vec::new();
    assert_eq!(talker.turn(at(0.5), &mut heard), Turn::ListenUntil(at(1.0)));
    assert_eq!(talker.turn(at(1.0), &mut heard), Turn::ListenUntil(at(1.5)));
    talker.feed(at(1.2), &bytes("01 04 04 3C 4A 2D B6 4A E4"), &mut heard);
    assert!(
        matches!(heard.as_slice(), [Heard::Rejected(_)]),
        "{heard:?}"
    );
    let again = talker.turn(at(1.5), &mut heard);
    assert_eq!(again, Turn::Send(options.request().frame().to_vec()));
}

#[test]
fn it_asks_at_the_wanted_rate_and_tells_a_silence() {
    let options = options(RegisterTable::Input, "f32", "abcd", "1");
    let mut talker = asked(&options);
    let mut heard = Vec::new();
    talker.feed(at(0.1), &bytes("01 04 04 3C 4A 2D B6 4A E4"), &mut heard);
    assert_eq!(talker.turn(at(0.1), &mut heard), Turn::ListenUntil(at(0.5)));
    heard.clear();
    let mut t_s = 0.5;
    let mut questions = 0;
    while questions < 4 {
        match talker.turn(at(t_s), &mut heard) {
            Turn::Send(_) => questions += 1,
            Turn::ListenUntil(until) => t_s = until.secs(),
            Turn::Listen => panic!("it must ask"),
        }
    }
    let [Heard::Trouble(words)] = heard.as_slice() else {
        panic!("{heard:?}")
    };
    assert!(words.contains("no answer from unit 1"), "{words}");
}

#[test]
fn a_meter_that_never_has_a_value_is_asked_about() {
    let options = options(RegisterTable::Input, "f32", "abcd", "1");
    let mut talker = asked(&options);
    let mut heard = Vec::new();
    for n in 1..=4 {
        let t = at(f64::from(n));
        talker.asked_at = Some(t);
        talker.feed(t, &bytes("01 04 04 7F C0 00 00 E2 6C"), &mut heard);
    }
    let [_, _, _, Heard::Trouble(words)] = heard.as_slice() else {
        panic!("{heard:?}")
    };
    assert!(words.contains("NaN"), "{words}");
}

#[test]
fn without_a_type_only_bytes_are_fetched() {
    let open = options(RegisterTable::Input, "", "", "1");
    assert_eq!(Modbus::new(&open).err(), Some(Undecided));
    let needs_order = options(RegisterTable::Input, "f32", "", "1");
    assert_eq!(Modbus::new(&needs_order).err(), Some(Undecided));
    assert!(Modbus::new(&options(RegisterTable::Input, "i16", "", "1")).is_ok());
    let mut talker = Modbus::raw(&open);
    talker.turn(at(0.0), &mut Vec::new());
    talker.feed(
        at(0.1),
        &bytes("01 04 04 3C 4A 2D B6 4A E4"),
        &mut Vec::new(),
    );
    assert_eq!(talker.take_raw(), Some(vec![0x3c, 0x4a, 0x2d, 0xb6]));
    assert_eq!(talker.take_raw(), None);
}

#[test]
fn a_number_no_car_draws_asks_about_the_order() {
    let options = options(RegisterTable::Input, "f32", "dcba", "1");
    // Backwards it is 48 C8 00 00, which is 409600.
    let answer = {
        let body = [0x01, 0x04, 0x04, 0x00, 0x00, 0xc8, 0x48];
        let [low, high] = frame_crc(&body);
        [body.as_slice(), &[low, high]].concat()
    };
    let heard = heard(&options, &answer);
    let [Heard::Trouble(words)] = heard.as_slice() else {
        panic!("{heard:?}")
    };
    assert!(words.contains("order="), "{words}");
}

/// A checksum made in another way than the program's: bit by bit, highest first, then mirrored.
fn frame_crc(bytes: &[u8]) -> [u8; 2] {
    let mut register: u32 = 0xffff;
    for byte in bytes {
        register ^= u32::from(byte.reverse_bits()) << 8;
        for _ in 0..8 {
            register <<= 1;
            if register & 0x1_0000 != 0 {
                register ^= 0x1_8005;
            }
        }
    }
    u16::try_from(register)
        .unwrap()
        .reverse_bits()
        .to_le_bytes()
}
