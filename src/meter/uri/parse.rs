//! Text to a meter URI; every refusal says what was found and what would do.

use std::fmt;
use std::path::PathBuf;
use std::str::FromStr;

use super::{ESCAPES, MeterUri, SerialLine, UriError, Wire, asked};
use crate::meter::Format;

/// Where instruments listen for raw SCPI by convention ("SCPI Socket Services").
const SCPI_PORT: &str = ":5025";
const FORMATS: &str = "text, scpi, modbus, lcd14, fs9922, es51922, es11, ascii14 or stx16";
const WIRE_OPTIONS: &str = "format, column, field or unit";
const SERIAL_OPTIONS: &str = "baud, rts, format, column, field or unit";

impl FromStr for MeterUri {
    type Err = UriError;

    fn from_str(text: &str) -> Result<Self, UriError> {
        let text = text.trim();
        let (scheme, rest) = text.split_once(':').ok_or_else(|| no_scheme(text))?;
        let (place, query) = rest.split_once('?').unwrap_or((rest, ""));
        if place
            .split_once('&')
            .is_some_and(|(_, option)| option.contains('='))
        {
            return Err(UriError::QuestionMark {
                found: text.to_owned(),
                example: text.replacen('&', "?", 1),
            });
        }
        let place = unescaped(place.trim());
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

pub(super) type Pairs = [(String, String)];

fn serial(text: &str, path: String, pairs: &Pairs) -> Result<MeterUri, UriError> {
    if path.is_empty() {
        return Err(no_place(text, "port", "serial:/dev/ttyUSB0?baud=9600"));
    }
    let mut line = SerialLine::default();
    let mut rest = Vec::new();
    for (key, value) in pairs {
        match key.as_str() {
            "baud" => line.baud = Some(number(key, value, "bits a second, as in baud=9600")?),
            "rts" => line.rts = switch(key, value, [("on", true), ("off", false)])?,
            _ => rest.push((key.clone(), value.clone())),
        }
    }
    line.path = path;
    line.wire = Wire::read(&rest, "serial:", SERIAL_OPTIONS)?;
    Ok(MeterUri::Serial(line))
}

fn tcp(text: &str, mut address: String, pairs: &Pairs) -> Result<MeterUri, UriError> {
    let wire = Wire::read(pairs, "tcp:", WIRE_OPTIONS)?;
    let lacks_port = |address: &str| address.ends_with(']') || !address.contains(':');
    if matches!(wire.ask, Some(asked::AskedMeter::Scpi(_))) && lacks_port(&address) {
        address.push_str(SCPI_PORT);
    }
    let port = address.rsplit_once(':').and_then(|(host, port)| {
        let port: u16 = port.parse().ok()?;
        (!host.is_empty()).then_some(port)
    });
    if port.is_none() {
        return Err(no_place(text, "host and port", "tcp:192.168.1.20:5025"));
    }
    Ok(MeterUri::Tcp { address, wire })
}

fn pipe(text: &str, place: &str, pairs: &Pairs) -> Result<MeterUri, UriError> {
    if place != "-" {
        return Err(no_place(text, "standard input", "pipe:-"));
    }
    let wire = Wire::read(pairs, "pipe:", WIRE_OPTIONS)?;
    if let Some(ask) = &wire.ask {
        return Err(bad_value(
            "format",
            ask.name(),
            "text: what comes through a pipe cannot be asked",
        ));
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
    fn read(pairs: &Pairs, scheme: &'static str, known: &'static str) -> Result<Self, UriError> {
        let mut wire = Self {
            ask: asked::read(pairs, scheme)?,
            ..Self::default()
        };
        if wire.ask.is_none() {
            for (key, value) in pairs {
                wire.take(key, value, scheme, known)?;
            }
        }
        Ok(wire)
    }

    fn take(
        &mut self,
        key: &str,
        value: &str,
        scheme: &'static str,
        known: &'static str,
    ) -> Result<(), UriError> {
        match key {
            "format" => {
                let format = Format::named(value);
                self.format = Some(format.ok_or_else(|| bad_value(key, value, FORMATS))?);
            }
            "column" => self.text.column = Some(parsed(key, value)?),
            "field" if value.is_empty() => {
                return Err(bad_value(key, value, "a JSON path or a label"));
            }
            "field" => self.text.field = Some(value.to_owned()),
            "unit" => self.text.unit = parsed(key, value)?,
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
        .map(|(key, value)| (key.to_owned(), unescaped(value.trim())))
        .collect()
}

pub(super) fn number<T: FromStr>(key: &str, value: &str, expected: &str) -> Result<T, UriError> {
    value.parse().map_err(|_| bad_value(key, value, expected))
}

/// A value whose own error says what would do.
pub(super) fn parsed<T>(key: &str, value: &str) -> Result<T, UriError>
where
    T: FromStr<Err: fmt::Display>,
{
    value.parse().map_err(|why| bad_value(key, value, why))
}

/// Yes or no, as one of these two words says it.
pub(super) fn switch(key: &str, value: &str, words: [(&str, bool); 2]) -> Result<bool, UriError> {
    let said = words.iter().find(|(word, _)| *word == value);
    let expected = || words.map(|(word, _)| word).join(" or ");
    said.map(|(_, yes)| *yes)
        .ok_or_else(|| bad_value(key, value, expected()))
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

pub(super) fn no_place(found: &str, missing: &'static str, example: &'static str) -> UriError {
    UriError::Place {
        found: found.to_owned(),
        missing,
        example,
    }
}

pub(super) fn no_option(key: &str, scheme: &'static str, known: &'static str) -> UriError {
    UriError::Option {
        key: key.to_owned(),
        scheme,
        known,
    }
}

pub(super) fn bad_value(key: &str, value: &str, expected: impl fmt::Display) -> UriError {
    UriError::Value {
        key: key.to_owned(),
        value: value.to_owned(),
        expected: expected.to_string(),
    }
}

fn unescaped(text: &str) -> String {
    ESCAPES
        .iter()
        .fold(text.to_owned(), |text, (plain, escaped)| {
            text.replace(escaped, plain)
        })
}
