//! Meter URIs: where readings come from, as one line of text and back.

use std::fmt;
use std::num::NonZeroU32;
use std::path::PathBuf;
use std::str::FromStr;

use crate::meter::Decoder;
use crate::meter::text::{TextDecoder, TextOptions, Unit};

/// Where readings come from.
#[derive(Clone, Debug, PartialEq)]
pub enum MeterUri {
    /// A serial port: `serial:/dev/ttyUSB0?baud=9600&format=text`.
    Serial {
        /// The port's path or name.
        path: String,
        /// Bits a second, if given.
        baud: Option<NonZeroU32>,
        /// How to read the bytes.
        wire: Wire,
    },
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

/// How to read a source's bytes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wire {
    /// The wire format; `None` when the URI names none, which means text until others are heard.
    pub format: Option<Format>,
    /// What the user said about text lines.
    pub text: TextOptions,
}

/// The wire formats that can be named in a URI.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Format {
    /// Plain text lines.
    Text,
}

impl Format {
    const NAMES: &'static str = "text";

    /// The name in a URI.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Text => "text",
        }
    }
}

impl Wire {
    /// A decoder for these bytes.
    #[must_use]
    pub fn decoder(&self) -> Box<dyn Decoder> {
        match self.format {
            Some(Format::Text) | None => Box::new(TextDecoder::new(self.text.clone())),
        }
    }
}

impl MeterUri {
    /// How the bytes are read; `None` where no bytes come.
    #[must_use]
    pub const fn wire(&self) -> Option<&Wire> {
        match self {
            Self::Serial { wire, .. } | Self::Tcp { wire, .. } | Self::Pipe { wire } => Some(wire),
            Self::Replay { .. } | Self::Manual | Self::Rehearsal { .. } => None,
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

const WIRE_OPTIONS: &str = "format, column, field or unit";
const SERIAL_OPTIONS: &str = "baud, format, column, field or unit";

impl FromStr for MeterUri {
    type Err = UriError;

    fn from_str(text: &str) -> Result<Self, UriError> {
        let text = text.trim();
        let (scheme, rest) = text.split_once(':').ok_or_else(|| no_scheme(text))?;
        let (place, query) = rest.split_once('?').unwrap_or((rest, ""));
        let place = unescaped(place);
        let pairs = pairs(query);
        match scheme {
            "serial" => serial(text, place, &pairs),
            "tcp" => tcp(text, place, &pairs),
            "pipe" => pipe(text, &place, &pairs),
            "replay" => replay(text, &place, &pairs),
            "manual" => match pairs.first() {
                None => Ok(Self::Manual),
                Some((key, _)) => Err(no_option(key, "manual:", "none")),
            },
            "rehearsal" => rehearsal(place, &pairs),
            _ => Err(no_scheme(text)),
        }
    }
}

type Pairs = [(String, String)];

fn serial(text: &str, path: String, pairs: &Pairs) -> Result<MeterUri, UriError> {
    if path.is_empty() {
        return Err(no_place(text, "port", "serial:/dev/ttyUSB0?baud=9600"));
    }
    let (mut baud, mut wire) = (None, Wire::default());
    for (key, value) in pairs {
        if key == "baud" {
            baud = Some(number(key, value, "bits a second, as in baud=9600")?);
        } else {
            wire.take(key, value, "serial:", SERIAL_OPTIONS)?;
        }
    }
    Ok(MeterUri::Serial { path, baud, wire })
}

fn tcp(text: &str, address: String, pairs: &Pairs) -> Result<MeterUri, UriError> {
    let port = address.rsplit_once(':').and_then(|(host, port)| {
        let port: u16 = port.parse().ok()?;
        (!host.is_empty()).then_some(port)
    });
    if port.is_none() {
        return Err(no_place(text, "host and port", "tcp:192.168.1.20:5025"));
    }
    let mut wire = Wire::default();
    for (key, value) in pairs {
        wire.take(key, value, "tcp:", WIRE_OPTIONS)?;
    }
    Ok(MeterUri::Tcp { address, wire })
}

fn pipe(text: &str, place: &str, pairs: &Pairs) -> Result<MeterUri, UriError> {
    if place != "-" {
        return Err(no_place(text, "standard input", "pipe:-"));
    }
    let mut wire = Wire::default();
    for (key, value) in pairs {
        wire.take(key, value, "pipe:", WIRE_OPTIONS)?;
    }
    Ok(MeterUri::Pipe { wire })
}

fn replay(text: &str, place: &str, pairs: &Pairs) -> Result<MeterUri, UriError> {
    if place.is_empty() {
        return Err(no_place(text, "file", "replay:night.lull?speed=10"));
    }
    let mut speed = 1.0;
    for (key, value) in pairs {
        match key.as_str() {
            "speed" => speed = positive(key, value)?,
            _ => return Err(no_option(key, "replay:", "speed")),
        }
    }
    let file = PathBuf::from(place);
    Ok(MeterUri::Replay { file, speed })
}

fn rehearsal(story: String, pairs: &Pairs) -> Result<MeterUri, UriError> {
    let (mut factor, mut seed) = (1.0, None);
    for (key, value) in pairs {
        match key.as_str() {
            "speed" => factor = positive(key, value)?,
            "seed" => seed = Some(number(key, value, "a whole number, as in seed=7")?),
            _ => return Err(no_option(key, "rehearsal:", "speed or seed")),
        }
    }
    Ok(MeterUri::Rehearsal {
        story,
        speed: factor,
        seed,
    })
}

impl Wire {
    fn take(
        &mut self,
        key: &str,
        value: &str,
        scheme: &'static str,
        known: &'static str,
    ) -> Result<(), UriError> {
        match key {
            "format" if value == Format::Text.name() => self.format = Some(Format::Text),
            "format" => return Err(bad_value(key, value, Format::NAMES)),
            "column" => {
                let column = value.parse().map_err(|e| bad_value(key, value, e))?;
                self.text.column = Some(column);
            }
            "field" if value.is_empty() => {
                return Err(bad_value(key, value, "a JSON path or a label"));
            }
            "field" => self.text.field = Some(value.to_owned()),
            "unit" => self.text.unit = value.parse().map_err(|e| bad_value(key, value, e))?,
            _ => return Err(no_option(key, scheme, known)),
        }
        Ok(())
    }
}

fn pairs(query: &str) -> Vec<(String, String)> {
    query
        .split('&')
        .filter(|pair| !pair.is_empty())
        .map(|pair| pair.split_once('=').unwrap_or((pair, "")))
        .map(|(key, value)| (key.to_owned(), unescaped(value)))
        .collect()
}

fn number<T: FromStr>(key: &str, value: &str, expected: &str) -> Result<T, UriError> {
    value.parse().map_err(|_| bad_value(key, value, expected))
}

fn positive(key: &str, value: &str) -> Result<f64, UriError> {
    let speed: f64 = number(key, value, "a factor, as in speed=10")?;
    if speed.is_finite() && speed > 0.0 {
        Ok(speed)
    } else {
        Err(bad_value(key, value, "a factor above zero, as in speed=10"))
    }
}

fn no_scheme(text: &str) -> UriError {
    let example = match text {
        _ if text.starts_with("/dev/") || text.starts_with("COM") => format!("serial:{text}"),
        "-" => "pipe:-".to_owned(),
        _ => "serial:/dev/ttyUSB0".to_owned(),
    };
    UriError::Scheme {
        found: text.to_owned(),
        example,
    }
}

fn no_place(found: &str, missing: &'static str, example: &'static str) -> UriError {
    UriError::Place {
        found: found.to_owned(),
        missing,
        example,
    }
}

fn no_option(key: &str, scheme: &'static str, known: &'static str) -> UriError {
    UriError::Option {
        key: key.to_owned(),
        scheme,
        known,
    }
}

fn bad_value(key: &str, value: &str, expected: impl fmt::Display) -> UriError {
    UriError::Value {
        key: key.to_owned(),
        value: value.to_owned(),
        expected: expected.to_string(),
    }
}

/// The characters that would end a part of the URI, as `%3F` and the like.
const ESCAPES: [(&str, &str); 3] = [("?", "%3F"), ("&", "%26"), ("%", "%25")];

fn unescaped(text: &str) -> String {
    ESCAPES
        .iter()
        .fold(text.to_owned(), |text, (plain, escaped)| {
            text.replace(escaped, plain)
        })
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
            Self::Serial { path, baud, .. } => {
                if let Some(baud) = baud {
                    query.insert(0, format!("baud={baud}"));
                }
                write!(f, "serial:{}", escaped(path))?;
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
        query.extend(
            self.format
                .map(|format| format!("format={}", format.name())),
        );
        let column = self.text.column.as_ref();
        query.extend(column.map(|column| format!("column={}", escaped(&column.to_string()))));
        let field = self.text.field.as_ref();
        query.extend(field.map(|field| format!("field={}", escaped(field))));
        if self.text.unit != Unit::default() {
            query.push(format!("unit={}", self.text.unit));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_uri_reads_back_as_it_was_written() {
        for text in [
            "serial:/dev/ttyUSB0",
            "serial:/dev/ttyUSB0?baud=9600&format=text&column=2&unit=mA",
            "serial:/dev/serial/by-id/usb-1a86?field=ina.current_mA",
            "serial:COM3?baud=2400",
            "serial:/dev/odd%3Fname%25",
            "tcp:192.168.1.20:5025?format=text",
            "tcp:[::1]:5025",
            "pipe:-",
            "pipe:-?column=I %26 U",
            "replay:night.lull?speed=10",
            "manual:",
            "rehearsal:?speed=1",
            "rehearsal:radio?speed=20&seed=3",
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
            ("serial:/dev/x?parity=odd", ["'parity'", "baud, format"]),
            ("serial:/dev/x?format=morse", ["format=morse", "text"]),
            ("pipe:-?unit=MA", ["unit=MA", "mA"]),
            ("pipe:-?column=0", ["column=0", "from 1"]),
            ("pipe:file", ["standard input", "pipe:-"]),
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
