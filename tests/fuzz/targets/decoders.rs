//! Decoders: however the bytes are cut, the same is heard, no more messages than fit, and every
//! number can be written down and read back.

use lullboard::meter::detect::{Detection, Listener, Setting, UnnamedDecoder};
use lullboard::meter::probe::{Probe, Voltage};
use lullboard::meter::sample::{self, SAMPLE};
use lullboard::meter::text::{TextDecoder, TextOptions};
use lullboard::meter::{Decoder, Handheld, Heard, Unit};
use lullboard::reading::{Amps, Measured, quantity};

use super::dice::{Dice, pieces};

/// The shortest message of any handheld's format.
const SHORTEST: usize = 11;

/// What is heard of the bytes after a lost connection, if `lost`, and joined midway, if `midway`.
fn heard(decoder: &mut dyn Decoder, pieces: &[&[u8]], midway: bool, lost: bool) -> Vec<Heard> {
    let mut heard = Vec::new();
    if midway {
        decoder.join_midway();
    }
    for piece in pieces {
        decoder.feed(piece, &mut heard);
    }
    if lost {
        decoder.reset();
        for piece in pieces {
            decoder.feed(piece, &mut heard);
        }
    }
    heard
}

/// The first byte says how the rest is cut.
fn any_cut(new: impl Fn() -> Box<dyn Decoder>, dice: &mut Dice<'_>) -> (Vec<Heard>, usize) {
    let seed = dice.byte();
    let (midway, lost) = (seed & 1 == 1, seed & 2 == 2);
    let bytes = dice.rest();
    let whole = heard(&mut *new(), &[bytes], midway, lost);
    let cut = heard(&mut *new(), &pieces(bytes, seed), midway, lost);
    assert_eq!(whole, cut, "cut otherwise, something else was heard");
    for heard in &whole {
        can_be_kept(heard);
    }
    let fed = if lost { 2 * bytes.len() } else { bytes.len() };
    (whole, fed)
}

/// What any decoder may say.
pub fn can_be_kept(heard: &Heard) {
    match heard {
        Heard::Value(value) | Heard::Voltage(Voltage(value)) => number_reads_back(*value),
        // Nothing is left of a line that was a greeting of telnet alone (vector `scpi-prompt`).
        Heard::Rejected(bytes) => {
            assert!(bytes.len() <= SAMPLE, "{heard:?}");
            sample::shown(bytes);
        }
        Heard::Unusable(_)
        | Heard::Range(_)
        | Heard::LowCell
        | Heard::Trouble(_)
        | Heard::AutoPowerOff
        | Heard::Unsure { .. } => {}
    }
    for probe in [
        Probe::default(),
        Probe::on_battery(),
        Probe::new(Some(0.1), Some(5.0)),
        Probe::new(Some(1e-6), None),
    ] {
        if let Heard::Value(value) = probe.convert(heard.clone()) {
            number_reads_back(value);
        }
    }
}

fn number_reads_back(value: Measured) {
    let Measured::Amps(amps) = value else { return };
    assert_eq!(Amps::parse(&amps.to_string()), Ok(amps));
    assert!(amps.value_a().is_finite() && amps.resolution_a() > 0.0);
    quantity::shown(amps);
}

fn is_message(heard: &Heard) -> bool {
    matches!(
        heard,
        Heard::Value(_) | Heard::Voltage(_) | Heard::Unusable(_) | Heard::Unsure { .. }
    )
}

/// A handheld's format.
pub fn handheld(kind: Handheld, bytes: &[u8]) {
    let (heard, fed) = any_cut(|| kind.decoder(), &mut Dice::new(bytes));
    let messages = heard.iter().filter(|heard| is_message(heard)).count();
    assert!(messages * SHORTEST <= fed, "{messages} messages in {fed}");
}

/// Listening says the same however the bytes come.
fn listen(baud: u32, bytes: &[u8]) {
    let mut dice = Dice::new(bytes);
    let seed = dice.byte();
    let setting = Setting {
        baud: Some(baud),
        rts: false,
    };
    let bytes = dice.rest();
    let (mut whole, mut cut) = (Listener::default(), Listener::default());
    let found = whole.feed(setting, bytes);
    let first = pieces(bytes, seed)
        .into_iter()
        .find_map(|piece| cut.feed(setting, piece));
    assert_eq!(found, first);
    let outcome = whole.outcome();
    assert_eq!(outcome, cut.outcome());
    assert_eq!(bytes.is_empty(), outcome == Detection::Silent);
}

/// Lines of text, with what a URI can say of them.
pub fn text(bytes: &[u8]) {
    let mut dice = Dice::new(bytes);
    let options = match dice.byte() % 6 {
        1 => TextOptions {
            unit: Unit::Milliampere,
            ..TextOptions::default()
        },
        2 => TextOptions {
            column: "2".parse().ok(),
            ..TextOptions::default()
        },
        3 => TextOptions {
            column: "current".parse().ok(),
            ..TextOptions::default()
        },
        4 => TextOptions {
            field: Some("a.b".into()),
            ..TextOptions::default()
        },
        5 => TextOptions {
            field: Some("I".into()),
            unit: Unit::Volt,
            ..TextOptions::default()
        },
        _ => TextOptions::default(),
    };
    let (heard, fed) = any_cut(|| Box::new(TextDecoder::new(options.clone())), &mut dice);
    let messages = heard.iter().filter(|heard| is_message(heard)).count();
    assert!(messages <= fed, "{messages} messages in {fed}");
}

/// A source whose format nobody named.
pub fn unnamed(bytes: &[u8]) {
    any_cut(|| Box::<UnnamedDecoder>::default(), &mut Dice::new(bytes));
    let mut dice = Dice::new(bytes);
    let baud = dice.one_of(&[1200, 2400, 9600, 19_200]);
    listen(baud.unwrap_or(2400), bytes);
}
