//! Listens on a port without sending anything, to find out what speaks there and how fast.

use std::path::Path;

use super::serial::open_port;
use super::{SourceError, is_nothing_yet, shown};
use crate::meter::text::{TextDecoder, TextOptions};
use crate::meter::{Decoder, Heard, SAMPLE};
use crate::shell::clock::Clock;

/// The speeds meters use, the likeliest first.
pub const SPEEDS: [u32; 6] = [9600, 2400, 19200, 115_200, 4800, 1200];
/// How long to listen at each speed: three messages of a meter that sends two a second.
pub const EACH_S: f64 = 1.5;

/// What was heard on a port.
#[derive(Clone, Debug, PartialEq)]
pub enum Verdict {
    /// Readings in a row, and nothing else between them.
    Sure {
        /// The wire format.
        format: &'static str,
        /// Bits a second.
        baud: u32,
        /// The last of them, in ampere.
        example: String,
    },
    /// Something, but too little or not understood.
    Unsure {
        /// Bits a second at which it looked best.
        baud: u32,
        /// A few of the bytes.
        sample: String,
    },
    /// Nothing.
    Silent,
    /// The port could not be opened.
    NotOpened(SourceError),
    /// The port went away while listening.
    Lost(String),
}

/// A format on trial.
struct Candidate {
    decoder: Box<dyn Decoder>,
    /// So many readings in a row cannot be luck.
    enough: usize,
    in_a_row: usize,
    example: String,
}

/// Every format that can be told by listening.
fn candidates() -> Vec<Candidate> {
    vec![Candidate {
        decoder: Box::new(TextDecoder::new(TextOptions::default())),
        enough: 5,
        in_a_row: 0,
        example: String::new(),
    }]
}

impl Candidate {
    fn feed(&mut self, bytes: &[u8]) {
        let mut heard = Vec::new();
        self.decoder.feed(bytes, &mut heard);
        for heard in heard {
            match heard {
                Heard::Value(measured) => {
                    self.in_a_row = self.in_a_row.saturating_add(1);
                    self.example = match measured {
                        crate::reading::Measured::Amps(amps) => format!("{amps} A"),
                        crate::reading::Measured::Over => "over-range".to_owned(),
                    };
                }
                Heard::Rejected(_) => self.in_a_row = 0,
                Heard::Unusable(_)
                | Heard::Range(_)
                | Heard::LowCell
                | Heard::Voltage(_)
                | Heard::Trouble(_) => {}
            }
        }
    }
}

/// Opens the port at 8N1, sends nothing, and listens `each_s` seconds at each of `speeds` for as
/// long as `keep_on` agrees.
pub fn listen(
    path: &Path,
    speeds: &[u32],
    each_s: f64,
    clock: &Clock,
    keep_on: impl Fn() -> bool,
) -> Verdict {
    let Some(&first) = speeds.first() else {
        return Verdict::Silent;
    };
    let mut port = match open_port(path, first) {
        Ok(port) => port,
        Err(error) => return Verdict::NotOpened(error),
    };
    let mut best: Option<(usize, Verdict)> = None;
    for &baud in speeds {
        // Never by opening anew: that resets many boards. A pseudo-terminal takes any speed.
        let set = port
            .set_baud_rate(baud)
            .and_then(|()| port.clear(serialport::ClearBuffer::Input));
        if let Err(error) = set {
            return Verdict::Lost(error.to_string());
        }
        match at_speed(port.as_mut(), baud, each_s, clock, &keep_on) {
            Ok(AtSpeed::Known(verdict)) => return verdict,
            Ok(AtSpeed::Nothing) => {}
            Ok(AtSpeed::Something(score, verdict)) => {
                if best.as_ref().is_none_or(|(most, _)| score > *most) {
                    best = Some((score, verdict));
                }
            }
            Err(error) => return Verdict::Lost(error.to_string()),
        }
        if !keep_on() {
            break;
        }
    }
    best.map_or(Verdict::Silent, |(_, verdict)| verdict)
}

enum AtSpeed {
    Known(Verdict),
    /// How much of it was understood, and what to say if nothing better comes.
    Something(usize, Verdict),
    Nothing,
}

fn at_speed(
    port: &mut dyn serialport::SerialPort,
    baud: u32,
    each_s: f64,
    clock: &Clock,
    keep_on: &impl Fn() -> bool,
) -> std::io::Result<AtSpeed> {
    let until = clock.now().plus_secs(each_s);
    let mut candidates = candidates();
    for candidate in &mut candidates {
        candidate.decoder.join_midway();
    }
    let mut sample: Vec<u8> = Vec::new();
    let mut buffer = [0; 1024];
    while clock.now() < until && keep_on() {
        let count = match port.read(&mut buffer) {
            Ok(0) => return Err(std::io::ErrorKind::BrokenPipe.into()),
            Ok(count) => count,
            Err(error) if is_nothing_yet(&error) => continue,
            Err(error) => return Err(error),
        };
        let bytes = buffer.get(..count).unwrap_or_default();
        let room = SAMPLE.saturating_sub(sample.len());
        sample.extend(bytes.iter().take(room));
        for candidate in &mut candidates {
            candidate.feed(bytes);
        }
        if let Some(sure) = candidates.iter().find(|c| c.in_a_row >= c.enough) {
            return Ok(AtSpeed::Known(Verdict::Sure {
                format: sure.decoder.name(),
                baud,
                example: sure.example.clone(),
            }));
        }
    }
    if sample.is_empty() {
        return Ok(AtSpeed::Nothing);
    }
    let score = candidates.iter().map(|c| c.in_a_row).max().unwrap_or(0);
    let sample = shown(&sample);
    Ok(AtSpeed::Something(score, Verdict::Unsure { baud, sample }))
}
