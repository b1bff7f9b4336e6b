//! Meter URIs: where readings come from, as one line of text and back.

mod asked;
mod parse;

use std::fmt;
use std::num::NonZeroU32;
use std::path::PathBuf;

pub use asked::AskedMeter;

use super::detect::UnnamedDecoder;
use super::modbus::Undecided;
use super::talker::{Talker, Unasked};
use super::text::{TextDecoder, TextOptions};
use super::{Decoder, Expects, Format};

/// Where readings come from.
#[derive(Clone, Debug, PartialEq)]
pub enum MeterUri {
    /// A serial port: `serial:/dev/ttyUSB0?baud=9600&format=text`.
    Serial(SerialLine),
    /// A network socket: `tcp:HOST:5025?format=text`.
    Tcp {
        /// Host and port, as `std::net` reads them.
        address: String,
        /// How to read the bytes.
        wire: Wire,
    },
    /// Standard input: `pipe:-`.
    Pipe {
        /// How to read the bytes.
        wire: Wire,
    },
    /// A recorded session or a CSV, played again: `replay:FILE?speed=10`.
    Replay {
        /// The file.
        file: PathBuf,
        /// How many times as fast as it was recorded.
        speed: f64,
    },
    /// Readings are typed in: `manual:`.
    Manual,
    /// A simulated car: `rehearsal:STORY?speed=20&seed=3`.
    Rehearsal {
        /// Which story; empty for the first one.
        story: String,
        /// How many times as fast as life.
        speed: f64,
        /// The seed, if given.
        seed: Option<u64>,
    },
}

/// A serial port and how to listen there.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SerialLine {
    /// The port's path or name.
    pub path: String,
    /// Bits a second, if given.
    pub baud: Option<NonZeroU32>,
    /// Whether the RTS line is on; most optical cables want it off.
    pub rts: bool,
    /// How to read the bytes.
    pub wire: Wire,
}

impl SerialLine {
    /// The speed that was given, or the usual one of the format.
    pub fn baud_or_usual(&self) -> Option<NonZeroU32> {
        let usual = || self.wire.format.and_then(Format::baud);
        self.baud.or_else(usual)
    }
}

impl MeterUri {
    /// How the bytes are read; `None` where no bytes come.
    pub const fn wire(&self) -> Option<&Wire> {
        match self {
            Self::Serial(SerialLine { wire, .. })
            | Self::Tcp { wire, .. }
            | Self::Pipe { wire } => Some(wire),
            Self::Replay { .. } | Self::Manual | Self::Rehearsal { .. } => None,
        }
    }

    /// Its speed, if it is a serial port and one was named.
    pub fn baud(&self) -> Option<NonZeroU32> {
        let Self::Serial(line) = self else {
            return None;
        };
        line.baud_or_usual()
    }

    /// Whether it sends by itself; others say nothing unless they are asked.
    pub fn speaks(&self) -> bool {
        self.wire().is_none_or(|wire| {
            let polled = |format| match format {
                Format::Text => false,
                Format::Handheld(kind) => kind.decoder().poll().is_some(),
            };
            wire.ask.is_none() && !wire.format.is_some_and(polled)
        })
    }
}

/// How to read a source's bytes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wire {
    /// A meter that answers only when it is asked, with all that was said about it; then nothing
    /// else here counts.
    pub ask: Option<AskedMeter>,
    /// The wire format; `None` when the URI names none: then it is listened first.
    pub format: Option<Format>,
    /// What the user said about text lines.
    pub text: TextOptions,
}

impl Wire {
    /// Keeps the conversation with the meter, whose knob must stand on what is expected.
    ///
    /// # Errors
    /// [`Undecided`] when the user has still to choose how its register is to be read.
    pub fn talker(&self, expects: Expects) -> Result<Box<dyn Talker>, Undecided> {
        match &self.ask {
            Some(ask) => ask.talker(expects),
            None => Ok(Box::new(Unasked::new(self.decoder()))),
        }
    }

    /// The format's name, if the URI says it.
    pub fn format_name(&self) -> Option<&'static str> {
        match &self.ask {
            Some(ask) => Some(ask.name()),
            None => self.format.map(Format::name),
        }
    }

    /// A decoder for the bytes of a meter that speaks by itself.
    pub fn decoder(&self) -> Box<dyn Decoder> {
        match self.format {
            Some(Format::Handheld(kind)) => kind.decoder(),
            None if self.text == TextOptions::default() => Box::<UnnamedDecoder>::default(),
            Some(Format::Text) | None => Box::new(TextDecoder::new(self.text.clone())),
        }
    }
}

/// Why a text is no meter URI.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum UriError {
    /// No known word before the colon.
    #[error(
        "'{found}' does not say what kind of meter it is: expected serial:, tcp:, pipe:, replay:, \
         manual: or rehearsal:, as in {example}"
    )]
    Scheme {
        /// What was typed.
        found: String,
        /// A URI that would do.
        example: String,
    },
    /// Nothing, or the wrong thing, between the colon and the question mark.
    #[error("'{found}' names no {missing}: expected for example {example}")]
    Place {
        /// What was typed.
        found: String,
        /// What is missing.
        missing: &'static str,
        /// A URI that would do.
        example: &'static str,
    },
    /// An option stands behind an ampersand, and none behind a question mark.
    #[error(
        "'{found}' lacks the question mark before its first option: expected {example} (or %26 for a & that \
         is part of the name)"
    )]
    QuestionMark {
        /// What was typed.
        found: String,
        /// What would do.
        example: String,
    },
    /// An option that this kind of meter has not.
    #[error("'{key}' is not an option of {scheme}: expected {known}")]
    Option {
        /// The option.
        key: String,
        /// The kind of meter.
        scheme: &'static str,
        /// The options it has.
        known: &'static str,
    },
    /// An option's value cannot be used.
    #[error("'{key}={value}' cannot be used: expected {expected}")]
    Value {
        /// The option.
        key: String,
        /// Its value.
        value: String,
        /// What would do.
        expected: String,
    },
}

/// The characters that would end a part of the URI, as `%3F` and the like.
const ESCAPES: [(&str, &str); 3] = [("?", "%3F"), ("&", "%26"), ("%", "%25")];

/// An option as the URI has it, unless it is as where nothing is said.
fn option<T: fmt::Display + Default + PartialEq>(key: &str, value: &T) -> Option<String> {
    (*value != T::default()).then(|| format!("{key}={value}"))
}

fn escaped(text: &str) -> String {
    ESCAPES
        .iter()
        .rev()
        .fold(text.to_owned(), |text, (plain, escaped)| {
            text.replace(plain, escaped)
        })
}

impl fmt::Display for MeterUri {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut query = Vec::new();
        if let Some(wire) = self.wire() {
            wire.tell(&mut query);
        }
        match self {
            Self::Serial(line) => {
                if line.rts {
                    query.insert(0, "rts=on".to_owned());
                }
                if let Some(baud) = line.baud {
                    query.insert(0, format!("baud={baud}"));
                }
                write!(f, "serial:{}", escaped(&line.path))?;
            }
            Self::Tcp { address, .. } => write!(f, "tcp:{}", escaped(address))?,
            Self::Pipe { .. } => write!(f, "pipe:-")?,
            Self::Replay { file, speed } => {
                query.push(format!("speed={speed}"));
                write!(f, "replay:{}", escaped(&file.to_string_lossy()))?;
            }
            Self::Manual => write!(f, "manual:")?,
            Self::Rehearsal { story, speed, seed } => {
                query.push(format!("speed={speed}"));
                query.extend(seed.map(|seed| format!("seed={seed}")));
                write!(f, "rehearsal:{}", escaped(story))?;
            }
        }
        if query.is_empty() {
            Ok(())
        } else {
            write!(f, "?{}", query.join("&"))
        }
    }
}

impl Wire {
    fn tell(&self, query: &mut Vec<String>) {
        if let Some(ask) = &self.ask {
            return ask.tell(query);
        }
        query.extend(
            self.format
                .map(|format| format!("format={}", format.name())),
        );
        let column = self.text.column.as_ref();
        query.extend(column.map(|column| format!("column={}", escaped(&column.to_string()))));
        let field = self.text.field.as_ref();
        query.extend(field.map(|field| format!("field={}", escaped(field))));
        query.extend(option("unit", &self.text.unit));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blanks_around_a_part_are_none_of_it() {
        let uri: MeterUri = "serial: /dev/x ?field=a \u{b}&unit=mA".parse().unwrap();
        assert_eq!(uri.to_string(), "serial:/dev/x?field=a&unit=mA");
    }

    #[test]
    fn a_uri_reads_back_as_it_was_written() {
        for text in [
            "serial:/dev/ttyUSB0",
            "serial:/dev/ttyUSB0?baud=9600&format=text&column=2&unit=mA",
            "serial:/dev/serial/by-id/usb-1a86?field=ina.current_mA",
            "serial:COM3?baud=2400",
            "serial:COM3?baud=2400&rts=on&format=lcd14",
            "pipe:-?format=es11",
            "serial:/dev/odd%3Fname%25",
            "tcp:192.168.1.20:5025?format=text",
            "tcp:[::1]:5025",
            "tcp:192.168.1.20:5025?format=scpi",
            "serial:/dev/ttyUSB0?baud=9600&format=scpi&rate=4&remote=1&conf=0",
            "serial:/dev/ttyUSB0?format=modbus&register=0",
            "serial:/dev/ttyUSB0?baud=19200&format=modbus&unit=7&register=3000&function=4&type=f32&order=cdab&scale=0.001&parity=even&rate=5",
            "pipe:-",
            "pipe:-?column=I %26 U",
            "replay:night.lull?speed=10",
            "manual:",
            "rehearsal:?speed=1",
            "rehearsal:two-boxes?speed=20&seed=3",
        ] {
            let uri: MeterUri = text.parse().unwrap();
            assert_eq!(uri.to_string(), text);
            assert_eq!(uri.to_string().parse::<MeterUri>().unwrap(), uri);
        }
    }

    #[test]
    fn errors_say_what_was_found_expected_and_the_mend() {
        for (text, words) in [
            ("/dev/ttyUSB0", ["'/dev/ttyUSB0'", "serial:/dev/ttyUSB0"]),
            ("usb:1", ["'usb:1'", "expected serial:"]),
            ("serial:", ["names no port", "serial:/dev/ttyUSB0"]),
            ("tcp:meter", ["host and port", "tcp:192.168.1.20:5025"]),
            ("serial:/dev/x?baud=fast", ["baud=fast", "baud=9600"]),
            ("serial:/dev/x?baud=0", ["baud=0", "baud=9600"]),
            (
                "serial:/dev/x?parity=odd",
                ["'parity'", "baud, rts, format"],
            ),
            ("serial:/dev/x?format=morse", ["format=morse", "text, scpi"]),
            ("serial:/dev/x?rts=1", ["rts=1", "on or off"]),
            ("pipe:-?unit=MA", ["unit=MA", "mA"]),
            ("pipe:-?column=0", ["column=0", "from 1"]),
            ("pipe:file", ["standard input", "pipe:-"]),
            (
                "serial:/dev/x&format=text&unit=mA",
                [
                    "question mark",
                    "expected serial:/dev/x?format=text&unit=mA",
                ],
            ),
            (
                "serial:/dev/x?format=modbus&register=0&parity=mark",
                ["parity=mark", "even or odd"],
            ),
            ("pipe:-?format=scpi", ["format=scpi", "cannot be asked"]),
            ("tcp:h:1?format=scpi&rate=0", ["rate=0", "rate=2"]),
            ("tcp:h:1?format=scpi&remote=yes", ["remote=yes", "0 or 1"]),
            (
                "tcp:h:1?format=scpi&column=2",
                ["'column'", "rate, remote or conf"],
            ),
            ("serial:/dev/x?format=modbus", ["register", "register=0"]),
            (
                "serial:/dev/x?format=modbus&register=40001&function=6",
                ["function=6", "3 or 4"],
            ),
            (
                "serial:/dev/x?format=modbus&register=0&type=f64",
                ["type=f64", "f32"],
            ),
            (
                "serial:/dev/x?format=modbus&register=0&unit=0",
                ["unit=0", "1 to 247"],
            ),
            ("replay:x?speed=-1", ["speed=-1", "above zero"]),
            ("manual:?x=1", ["'x'", "none"]),
        ] {
            let error = text.parse::<MeterUri>().unwrap_err().to_string();
            for word in words {
                assert!(error.contains(word), "{text}: {error}");
            }
        }
    }
}
