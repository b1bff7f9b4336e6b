//! Meters that are asked: nothing goes out that may not, nobody asks without end, and how an answer
//! is cut changes nothing.

use lullboard::meter::modbus::register::{CountScale, Kind, Order};
use lullboard::meter::modbus::{Modbus, ModbusOptions, Parity, RegisterTable};
use lullboard::meter::scpi::{Scpi, ScpiOptions};
use lullboard::meter::{Expects, Heard, Rate, Talker, Turn};
use lullboard::reading::Elapsed;

use super::decoders::can_be_kept;
use super::dice::{Dice, pieces};

/// What a register's answer is looked for in; more is dropped as noise.
const MOST_WAITING: usize = 64;

/// More questions than this in one moment are a loop.
const MOST_TURNS: usize = 8;

/// Asks until there is nothing left to say at this moment.
fn ask(talker: &mut dyn Talker, now: Elapsed, heard: &mut Vec<Heard>, may: &dyn Fn(&[u8]) -> bool) {
    for _ in 0..MOST_TURNS {
        match talker.turn(now, heard) {
            Turn::Send(bytes) => assert!(may(&bytes), "sent {}", bytes.escape_ascii()),
            Turn::ListenUntil(until) => return assert!(until > now, "{until} at {now}"),
            Turn::Listen => return,
        }
    }
    panic!("more than {MOST_TURNS} turns at {now}");
}

/// One thing that happens on the wire.
enum Step {
    /// Time passes, in milliseconds.
    Wait(i64),
    /// Bytes come.
    Come(Vec<u8>),
    /// The connection was lost.
    Lost,
}

fn talk(
    talker: &mut dyn Talker,
    steps: &[Step],
    cut: Option<u8>,
    may: &dyn Fn(&[u8]) -> bool,
) -> Vec<Heard> {
    let mut now = Elapsed::ZERO;
    let mut heard = Vec::new();
    for step in steps {
        ask(talker, now, &mut heard, may);
        match step {
            Step::Wait(ms) => now = Elapsed::from_ms(now.ms() + ms),
            Step::Come(bytes) => match cut {
                None => talker.feed(now, bytes, &mut heard),
                Some(seed) => {
                    for piece in pieces(bytes, seed) {
                        talker.feed(now, piece, &mut heard);
                    }
                }
            },
            Step::Lost => talker.reset(),
        }
    }
    ask(talker, now, &mut heard, may);
    heard
}

/// What a register holds is the same however its bytes came; what is noise in one moment is shown in
/// as many pieces as it came in, and more noise than any answer has is dropped where it is seen.
fn without_noise(heard: Vec<Heard>) -> Vec<Heard> {
    let is_noise = |heard: &Heard| matches!(heard, Heard::Rejected(_));
    heard.into_iter().filter(|heard| !is_noise(heard)).collect()
}

fn modbus_both_ways(
    new: impl Fn() -> Box<dyn Talker>,
    steps: &[Step],
    seed: u8,
    may: &dyn Fn(&[u8]) -> bool,
) {
    let came = steps.iter().map(|step| match step {
        Step::Come(bytes) => bytes.len(),
        Step::Wait(_) | Step::Lost => 0,
    });
    let whole = talk(&mut *new(), steps, None, may);
    for heard in &whole {
        can_be_kept(heard);
    }
    let cut = talk(&mut *new(), steps, Some(seed), may);
    if came.sum::<usize>() <= MOST_WAITING {
        assert_eq!(without_noise(whole), without_noise(cut), "cut otherwise");
    }
}

/// Both cuts must come to the same.
fn both_ways(
    new: impl Fn() -> Box<dyn Talker>,
    steps: &[Step],
    seed: u8,
    may: &dyn Fn(&[u8]) -> bool,
) {
    let whole = talk(&mut *new(), steps, None, may);
    let cut = talk(&mut *new(), steps, Some(seed), may);
    assert_eq!(whole, cut, "cut otherwise, something else was heard");
    for heard in &whole {
        can_be_kept(heard);
    }
}

const ANSWERS: [&str; 10] = [
    "+0,\"No error\"\n",
    "-113,\"Undefined header\"\n",
    "\"CURR +1.000000E+00,+1.000000E-06\"\n",
    "\"VOLT:DC 10,0.001\"\n",
    "\"CURR:AC 1,0.01\"\n",
    "+1.23400000E-02\n",
    "+9.90000000E+37\n",
    "9.91E37\r\n",
    "0.052\r\n",
    "-3.4E-4\n",
];

/// A bench meter.
pub fn scpi(bytes: &[u8]) {
    let mut dice = Dice::new(bytes);
    let how = dice.byte();
    let options = ScpiOptions {
        rate: Rate::default(),
        remote: how & 1 == 1,
        checks_function: how & 2 == 0,
    };
    let expects = if how & 4 == 0 {
        Expects::Amperes
    } else {
        Expects::Volts
    };
    let mut steps = Vec::new();
    while !dice.is_empty() {
        steps.push(match dice.byte() {
            kind @ 0..=9 => Step::Come(
                ANSWERS
                    .get(usize::from(kind))
                    .copied()
                    .unwrap_or_default()
                    .into(),
            ),
            10..=19 => Step::Wait(i64::from(dice.byte()) * 16),
            20 => Step::Lost,
            length => Step::Come(dice.take(usize::from(length % 48)).to_vec()),
        });
    }
    let allowed: [&[u8]; 4] = [b"SYST:REM\n", b"SYST:ERR?\n", b"CONF?\n", b"READ?\n"];
    both_ways(
        || Box::new(Scpi::new(options, expects)),
        &steps,
        how,
        &|sent| allowed.contains(&sent) && (options.remote || sent != b"SYST:REM\n"),
    );
}

/// The checksum of a frame (Modbus over Serial Line V1.02, 6.2.2), written anew beside the program's.
fn crc(bytes: &[u8]) -> [u8; 2] {
    let mut crc = 0xffff_u16;
    for byte in bytes {
        crc ^= u16::from(*byte);
        for _ in 0..8 {
            crc = if crc & 1 == 1 {
                crc >> 1 ^ 0xa001
            } else {
                crc >> 1
            };
        }
    }
    crc.to_le_bytes()
}

/// A panel meter.
pub fn modbus(bytes: &[u8]) {
    let mut dice = Dice::new(bytes);
    let how = dice.byte();
    let function = if how & 1 == 0 {
        RegisterTable::Holding
    } else {
        RegisterTable::Input
    };
    let options = ModbusOptions {
        unit: 1,
        function,
        register: dice.word(),
        kind: dice.one_of(&Kind::ALL),
        order: dice.one_of(&Order::ALL),
        scale: CountScale::default(),
        rate: Rate::default(),
        parity: Parity::default(),
    };
    let mut steps = Vec::new();
    while !dice.is_empty() {
        steps.push(match dice.byte() {
            kind @ 0..=5 => {
                let count = [2, 4, 4, 8, 1, 0]
                    .get(usize::from(kind))
                    .copied()
                    .unwrap_or_default();
                let data = dice.take(count);
                let length = u8::try_from(data.len()).unwrap_or_default();
                let mut frame = vec![1, function.code(), length];
                frame.extend(data);
                frame.extend(crc(&frame));
                Step::Come(frame)
            }
            6 => {
                let mut frame = vec![1, function.code() | 0x80, dice.byte()];
                frame.extend(crc(&frame));
                Step::Come(frame)
            }
            7..=19 => Step::Wait(i64::from(dice.byte()) * 16),
            20 => Step::Lost,
            length => Step::Come(dice.take(usize::from(length % 48)).to_vec()),
        });
    }
    let register = options.register.to_be_bytes();
    let words = options.kind.map_or(2, Kind::words);
    let mut request = vec![1, function.code(), register[0], register[1], 0, words];
    request.extend(crc(&request));
    let may = |sent: &[u8]| sent == request;
    modbus_both_ways(|| Box::new(Modbus::raw(&options)), &steps, how, &may);
    if Modbus::new(&options).is_ok() {
        let new = || -> Box<dyn Talker> {
            match Modbus::new(&options) {
                Ok(talker) => Box::new(talker),
                Err(_) => Box::new(Modbus::raw(&options)),
            }
        };
        modbus_both_ways(new, &steps, how, &may);
    }
}
