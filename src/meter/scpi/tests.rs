//! The conversation, played against scripted answers and the vectors.

use super::*;
use crate::meter::Unusable;
use crate::meter::probe::Voltage;
use crate::reading::{Amps, Measured};

/// Made from the open standards named in each row, apart from this program.
const VECTORS: &str = include_str!("../../../tests/vectors/scpi.tsv");

fn at(t_s: f64) -> Elapsed {
    Elapsed::from_secs(t_s)
}

/// An instrument on the other end: what was sent, what was heard, at which time.
struct Bench {
    talker: Scpi,
    now: Elapsed,
    sent: Vec<String>,
    heard: Vec<Heard>,
}

impl Bench {
    fn new(options: ScpiOptions) -> Self {
        Self::expecting(options, Expects::Amperes)
    }

    fn expecting(options: ScpiOptions, expects: Expects) -> Self {
        let mut bench = Self {
            talker: Scpi::new(options, expects),
            now: at(0.0),
            sent: Vec::new(),
            heard: Vec::new(),
        };
        bench.settle();
        bench
    }

    /// Sends all that is to be sent now.
    fn settle(&mut self) {
        while let Turn::Send(bytes) = self.talker.turn(self.now, &mut self.heard) {
            self.sent.push(String::from_utf8(bytes).unwrap());
        }
    }

    fn answer(&mut self, bytes: &[u8]) {
        self.talker.feed(self.now, bytes, &mut self.heard);
        self.settle();
    }

    fn wait(&mut self, secs: f64) {
        let until = self.now.plus_secs(secs);
        while self.now < until {
            self.now = self.now.plus_secs(0.1).min(until);
            self.settle();
        }
    }

    fn sent(&mut self) -> Vec<String> {
        std::mem::take(&mut self.sent)
    }

    fn heard(&mut self) -> Vec<Heard> {
        std::mem::take(&mut self.heard)
    }

    /// Through the set-up, up to the first `READ?`.
    fn reading() -> Self {
        let mut bench = Self::new(ScpiOptions::default());
        bench.answer(b"+0,\"No error\"\n");
        bench.answer(b"\"CURR +1.0E-02,+1.0E-06\"\r\n");
        assert_eq!(bench.sent(), ["SYST:ERR?\n", "CONF?\n", "READ?\n"]);
        assert_eq!(bench.heard(), []);
        bench
    }
}

fn amps(text: &str) -> Heard {
    Heard::Value(Measured::Amps(Amps::parse_in(text, 0).unwrap()))
}

const NOTHING: Heard = Heard::Unusable(Unusable::NoReading);

fn trouble(heard: &[Heard]) -> &str {
    match heard {
        [Heard::Trouble(words), ..] => words,
        other => panic!("{other:?}"),
    }
}

#[test]
fn every_vector_is_heard_as_it_is_meant() {
    let mut rows = 0;
    for row in VECTORS.lines().filter(|line| !line.starts_with('#')) {
        let columns: Vec<&str> = row.split('\t').collect();
        let (id, hex, status, value) = (columns[0], columns[1], columns[2], columns[3]);
        let bytes: Vec<u8> = hex
            .split(' ')
            .map(|byte| u8::from_str_radix(byte, 16).unwrap())
            .collect();
        let mut bench = Bench::reading();
        bench.answer(&bytes);
        let heard = bench.heard();
        match status {
            "ok" => {
                let expected: Vec<Heard> = value.split(';').map(amps).collect();
                assert_eq!(heard, expected, "{id}");
            }
            "overload" => assert_eq!(heard, [Heard::Value(Measured::Over)], "{id}"),
            // As an answer to READ? what is no number is refused; it never becomes one.
            "no-reading" if value.is_empty() && hex.starts_with("39 2E 39 31") => {
                assert_eq!(heard, [NOTHING], "{id}");
            }
            "no-reading" if id == "scpi-nan-long" => assert_eq!(heard, [NOTHING], "{id}"),
            "no-reading" | "reject" => {
                assert!(
                    heard.iter().any(|h| matches!(h, Heard::Rejected(_)))
                        && !heard.iter().any(|h| matches!(h, Heard::Value(_))),
                    "{id}: {heard:?}"
                );
            }
            other => panic!("{id}: status {other}"),
        }
        rows += 1;
    }
    assert_eq!(rows, 16, "every row of the file was tried");
}

#[test]
fn readings_are_asked_for_at_the_wanted_rate() {
    let rate = "4".parse().unwrap();
    let mut bench = Bench::new(ScpiOptions {
        rate,
        ..ScpiOptions::default()
    });
    bench.answer(b"0,\"No error\"\n");
    bench.answer(b"CURR\n");
    bench.sent();
    for n in 0..20 {
        bench.answer(b"+1.0E-02\n");
        assert_eq!(bench.sent(), [""; 0], "not before a quarter second, {n}");
        bench.wait(0.25);
        assert_eq!(bench.sent(), ["READ?\n"], "{n}");
    }
}

/// Stream `st-scpi-late`.
#[test]
fn a_late_answer_is_not_taken_for_the_next_one() {
    let mut bench = Bench::reading();
    bench.wait(2.9);
    assert_eq!(bench.sent(), [""; 0], "silent while it drains");
    bench.wait(0.05);
    bench.answer(b"+1.0E-02\n");
    assert_eq!(bench.heard(), [NOTHING], "late");
    bench.wait(0.1);
    assert_eq!(bench.sent(), ["SYST:ERR?\n"]);
    bench.answer(b"0,\"No error\"\n");
    bench.answer(b"CURR\n");
    assert_eq!(bench.sent(), ["CONF?\n", "READ?\n"]);
    bench.answer(b"+2.0E-02\n");
    assert_eq!(bench.heard(), [amps("+2.0E-02")]);
}

#[test]
fn an_answer_later_than_the_drain_is_still_not_taken() {
    let mut bench = Bench::reading();
    bench.wait(3.1);
    assert_eq!(bench.sent(), ["SYST:ERR?\n"]);
    bench.answer(b"+1.0E-02\n+0,\"No error\"\n");
    assert_eq!(bench.heard(), [NOTHING]);
    assert_eq!(bench.sent(), ["CONF?\n"]);
}

#[test]
fn a_slow_instrument_is_given_three_times_its_own_time() {
    let mut bench = Bench::reading();
    bench.wait(4.0);
    bench.answer(b"+1.0E-02\n0,\"No error\"\n");
    bench.answer(b"CURR\n");
    bench.heard();
    bench.sent();
    bench.wait(4.0);
    assert_eq!(bench.sent(), [""; 0], "patient now");
    bench.answer(b"+2.0E-02\n");
    assert_eq!(bench.heard(), [amps("+2.0E-02")]);
}

#[test]
fn another_function_is_told_and_nothing_but_questions_goes_out() {
    let mut bench = Bench::new(ScpiOptions::default());
    bench.answer(b"0,\"No error\"\n");
    bench.answer(b"\"CURR:AC +1.0E-02\"\n");
    let heard = bench.heard();
    assert!(trouble(&heard).contains("CURR:AC: turn it to DC current"));
    assert_eq!(heard[1], Heard::Unusable(Unusable::Ac));
    for answer in ["\"VOLT +1.0E+01\"\n", "\"CURR:AC\"\n", "RES\n", "CURR\n"] {
        bench.wait(3.1);
        assert_eq!(bench.sent.last().map(String::as_str), Some("CONF?\n"));
        bench.answer(answer.as_bytes());
    }
    let sent = bench.sent();
    assert_eq!(sent.last().map(String::as_str), Some("READ?\n"));
    assert!(
        sent.iter()
            .all(|line| ["SYST:ERR?\n", "CONF?\n", "READ?\n"].contains(&line.as_str())),
        "{sent:?}"
    );
}

#[test]
fn a_turned_knob_is_noticed_within_seconds() {
    let mut bench = Bench::reading();
    while !bench.sent().contains(&"CONF?\n".to_owned()) {
        assert!(bench.now < at(20.0), "never asked again");
        bench.answer(b"+1.0E-02\n");
        bench.wait(0.5);
    }
    bench.answer(b"VOLT\n");
    let heard = bench.heard();
    assert!(matches!(heard.last(), Some(Heard::Trouble(_))), "{heard:?}");
}

#[test]
fn old_errors_are_thrown_away_and_new_ones_told() {
    let mut bench = Bench::new(ScpiOptions::default());
    bench.answer(b"-222,\"Data out of range\"\n");
    bench.answer(b"+0,\"No error\"\n");
    assert_eq!(bench.sent(), ["SYST:ERR?\n", "SYST:ERR?\n", "CONF?\n"]);
    bench.wait(3.1);
    bench.answer(b"-113,\"Undefined header\"\n");
    let heard = bench.heard();
    let words = trouble(&heard);
    assert!(
        words.contains("-113 \"Undefined header\"") && words.contains("conf=0"),
        "{words}"
    );
}

#[test]
fn a_silent_instrument_is_asked_about_and_asked_again() {
    let mut bench = Bench::new(ScpiOptions::default());
    bench.wait(3.1);
    let heard = bench.heard();
    assert!(trouble(&heard).contains("no answer"));
    assert_eq!(bench.sent(), ["SYST:ERR?\n"; 2]);
}

#[test]
fn what_is_sent_is_what_the_user_allowed() {
    let bare = Bench::new(ScpiOptions {
        remote: true,
        checks_function: false,
        ..ScpiOptions::default()
    });
    assert_eq!(bare.sent, ["SYST:REM\n", "SYST:ERR?\n"]);
    let mut bench = bare;
    bench.answer(b"SYST:ERR?\r\n+0,\"No error\"\r\n");
    assert_eq!(bench.sent().last().map(String::as_str), Some("READ?\n"));
    bench.answer(b"READ?\r\n-3.456E-04\r\n");
    assert_eq!(bench.heard(), [amps("-3.456E-04")], "echoes are no answers");
}

#[test]
fn behind_a_clamp_volts_are_wanted_and_heard() {
    let mut bench = Bench::expecting(ScpiOptions::default(), Expects::Volts);
    bench.answer(b"0,\"No error\"\n");
    bench.answer(b"\"CURR 1\"\n");
    assert!(trouble(&bench.heard()).contains("turn it to DC volts"));
    bench.wait(3.1);
    bench.answer(b"\"VOLT 1\"\n");
    bench.answer(b"4.2E-3\n");
    let volts = Measured::Amps(Amps::parse("4.2E-3").unwrap());
    assert_eq!(bench.heard(), [Heard::Voltage(Voltage(volts))]);
}

#[test]
fn telnet_bytes_are_dropped_and_named_once() {
    let mut bench = Bench::reading();
    bench.answer(b"\xff\xfb\x01+1.0E-02\n");
    let heard = bench.heard();
    assert!(trouble(&heard).contains("telnet"));
    assert_eq!(heard[1..], [amps("+1.0E-02")]);
    bench.wait(0.5);
    bench.answer(b"\xff\xfb\x01+1.0E-02\n");
    assert_eq!(bench.heard(), [amps("+1.0E-02")]);
}

#[test]
fn after_a_loss_the_conversation_begins_again() {
    let mut bench = Bench::reading();
    bench.answer(b"+1.0E");
    bench.talker.reset();
    bench.settle();
    assert_eq!(bench.sent(), ["SYST:ERR?\n"]);
    bench.answer(b"-02\n");
    assert_eq!(bench.heard(), [NOTHING], "half a line is never completed");
}
