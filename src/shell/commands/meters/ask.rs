//! `meters --ask`: sends one named query to one port and shows what came back. The flag is the
//! user's word; nothing is tried again, and no other port or speed.

use std::io::{self, Write};
use std::num::NonZeroU32;
use std::path::Path;

use anyhow::{Context, Result, bail};

use super::read;
use crate::meter::query::{Query, Reply};
use crate::meter::sample::hex;
use crate::meter::scpi::ScpiOptions;
use crate::meter::uri::{AskedMeter, MeterUri, SerialLine, Wire};
use crate::meter::{Format, Handheld};
use crate::reading::{Elapsed, sanitize};
use crate::shell::clock::Clock;
use crate::shell::ports::{self, OpenSource, Stream, is_nothing_yet};
use crate::shell::printed;

/// How long an answer may take.
const ANSWER_S: f64 = 2.0;
/// How long an instrument may complain about the empty line.
const CLEARED_S: f64 = 0.2;
/// More is no answer to one question.
const MOST_BYTES: usize = 256;

pub(super) fn run(query: Query, port: &Path) -> Result<()> {
    let uri = uri(query, &port.to_string_lossy())?;
    let OpenSource::Bytes { opened, opener } = ports::open_first(&uri)? else {
        bail!("{uri}: cannot be asked: expected a port, serial: or tcp:");
    };
    let mut out = printed::out();
    writeln!(
        out,
        "{}\nSending {} to {uri}",
        query.facts().caution,
        query.facts().in_words
    )?;
    out.flush()?;
    let answer = exchange(query, opened.stream, opener.loss())?;
    writeln!(out, "{}", in_words(query, &uri, &answer))?;
    Ok(())
}

/// The URI that would read what answers this query.
fn uri(query: Query, port: &str) -> Result<MeterUri> {
    let mut uri = if port.starts_with("serial:") || port.starts_with("tcp:") {
        port.parse()?
    } else {
        MeterUri::Serial(SerialLine {
            path: port.to_owned(),
            ..SerialLine::default()
        })
    };
    if uri.wire().is_some_and(|wire| *wire != Wire::default()) {
        bail!("{uri}: the query names the format itself: expected no more than baud= and rts=");
    }
    if let MeterUri::Serial(SerialLine { wire, .. }) | MeterUri::Tcp { wire, .. } = &mut uri {
        match query {
            Query::Letter => wire.format = Some(Format::Handheld(Handheld::Ascii14)),
            Query::Identity => wire.ask = Some(AskedMeter::Scpi(ScpiOptions::default())),
        }
    }
    if let MeterUri::Serial(line) = &mut uri {
        line.baud = line.baud.or(NonZeroU32::new(query.facts().baud));
    }
    Ok(uri)
}

/// Asks once; all that came.
fn exchange(query: Query, mut stream: Box<dyn Stream>, loss: &'static str) -> Result<Vec<u8>> {
    let clock = Clock::start(Elapsed::ZERO, 1.0);
    stream.discard_waiting();
    if query.facts().clears_line {
        stream.send(b"\n").context(loss)?;
        hear(stream.as_mut(), &clock, CLEARED_S, |_| false).context(loss)?;
    }
    stream.send(query.facts().bytes).context(loss)?;
    let enough = |bytes: &[u8]| query.reply(bytes).is_some() || bytes.len() >= MOST_BYTES;
    hear(stream.as_mut(), &clock, ANSWER_S, enough).context(loss)
}

/// What comes within `for_s`, or until it is enough.
fn hear(
    stream: &mut dyn Stream,
    clock: &Clock,
    for_s: f64,
    enough: impl Fn(&[u8]) -> bool,
) -> io::Result<Vec<u8>> {
    let until = clock.now().plus_secs(for_s);
    let mut came = Vec::new();
    let mut buffer = [0; MOST_BYTES];
    while clock.now() < until && !enough(&came) {
        match stream.read(&mut buffer) {
            Ok(0) => return Err(io::ErrorKind::BrokenPipe.into()),
            Ok(count) => came.extend_from_slice(buffer.get(..count).unwrap_or_default()),
            Err(error) if is_nothing_yet(&error) => {}
            Err(error) => return Err(error),
        }
    }
    Ok(came)
}

fn in_words(query: Query, uri: &MeterUri, answer: &[u8]) -> String {
    if answer.is_empty() {
        return format!(
            "nothing came in {ANSWER_S} s: {}",
            query.facts().when_silent
        );
    }
    // What a meter of seven bits sends has its parity or stop bit on top.
    let text: String = answer.iter().map(|byte| char::from(byte & 0x7f)).collect();
    let came = format!(
        "came: {}\n  as text: '{}'",
        hex(answer),
        sanitize::text(text.trim())
    );
    match query.reply(answer) {
        Some(Reply::Display(heard)) => {
            let shows = read::in_words(&heard).unwrap_or_default();
            format!(
                "{came}\nThe answer of a meter: {shows}. Does its display show the same? --meter \"{uri}\""
            )
        }
        Some(Reply::Name(_)) => {
            format!("{came}\nThe answer of a bench meter: --meter \"{uri}\"")
        }
        None => format!(
            "{came}\nThis is no answer to that. A meter that speaks unasked is heard with \
             'lullboard meters PORT'"
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_port_by_its_path_or_as_a_uri_becomes_the_uri_that_reads_the_answer() {
        let letter = |port| uri(Query::Letter, port).map(|uri| uri.to_string());
        assert_eq!(
            letter("/dev/ttyUSB0").unwrap(),
            "serial:/dev/ttyUSB0?baud=1200&format=ascii14"
        );
        assert_eq!(
            letter("serial:COM3?baud=2400&rts=on").unwrap(),
            "serial:COM3?baud=2400&rts=on&format=ascii14"
        );
        let identity = |port| uri(Query::Identity, port).unwrap().to_string();
        assert_eq!(identity("COM3"), "serial:COM3?baud=9600&format=scpi");
        assert_eq!(identity("tcp:dmm:5025"), "tcp:dmm:5025?format=scpi");
        let named = letter("serial:COM3?format=lcd14").unwrap_err().to_string();
        assert!(named.contains("names the format itself"), "{named}");
    }

    #[test]
    fn what_is_no_answer_is_shown_and_not_called_one() {
        let uri = uri(Query::Identity, "COM3").unwrap();
        let words = in_words(Query::Identity, &uri, b"\x1b[2Jok\n");
        assert!(
            words.starts_with("came: 1B 5B 32 4A 6F 6B 0A\n  as text: '?[2Jok'"),
            "{words}"
        );
        assert!(
            words.contains("no answer") && !words.contains("--meter"),
            "{words}"
        );
        let silent = in_words(Query::Letter, &uri, b"");
        assert!(
            silent.starts_with("nothing came in 2 s: is the meter on"),
            "{silent}"
        );
    }
}
