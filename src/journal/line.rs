//! One entry to one line of JSON and back. The written places of a current survive both ways.
//!
//! A week is six million readings, so a plain reading is written without an allocation and read
//! without a JSON parser; everything else takes the careful way through `serde_json`. The first
//! line of a file stands in `header`.

use std::io::{self, Write};

use chrono::{DateTime, FixedOffset, SecondsFormat};
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use serde_json::{Value, json};

use super::{decimal, ms_of, time_ms};
use crate::reading::sanitize::{self, excerpt};
use crate::reading::{Amps, Elapsed, Measured, Volts};
use crate::session::entry::{Entry, Fact, FuseDrop, Judged, MeterEvent, Seal};
use crate::session::{Card, Doubt, Mark, MarkId};

/// Why a line is not an entry.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("found {found}, expected {expected}")]
pub struct LineError {
    /// The line, or its beginning.
    pub found: String,
    /// What was expected in its place.
    pub expected: String,
}

/// Writes one entry and its line feed.
///
/// # Errors
/// Whatever `out` reports; a `Vec` reports nothing.
pub fn write(entry: &Entry, out: &mut impl Write) -> io::Result<()> {
    let t = entry.t;
    match &entry.fact {
        Fact::Reading(Measured::Amps(amps)) => writeln!(out, r#"{{"t":{t},"a":{amps}}}"#),
        Fact::Reading(Measured::Over) => writeln!(out, r#"{{"t":{t},"over":true}}"#),
        Fact::Volts(volts) => writeln!(out, r#"{{"t":{t},"v":{volts}}}"#),
        Fact::Mark(mark) => keyed(out, t, "mark", mark),
        Fact::Strike(id) => keyed(out, t, "strike", id),
        Fact::Drop(drop) => keyed(out, t, "drop", drop),
        Fact::Set(card) => keyed(out, t, "set", card),
        Fact::Meter(event) => keyed(out, t, "meter", &told(event)),
        Fact::VoltsMeter(event) => keyed(out, t, "volts_meter", &told(event)),
        Fact::Resumed(wall) => keyed(out, t, "resumed", &stamp(wall)),
        Fact::Judged(judged) => keyed(out, t, "judged", judged),
        Fact::Seal(seal) => keyed(out, t, "seal", seal),
        Fact::Unknown => writeln!(out, r#"{{"t":{t}}}"#),
    }
}

fn keyed(out: &mut impl Write, t: Elapsed, key: &str, value: &impl Serialize) -> io::Result<()> {
    write!(out, r#"{{"t":{t},"{key}":"#)?;
    serde_json::to_writer(&mut *out, value)?;
    out.write_all(b"}\n")
}

fn told(event: &MeterEvent) -> Value {
    match event {
        MeterEvent::Lost(why) => json!({"lost": why}),
        MeterEvent::Back(whence) => json!({"back": whence}),
        MeterEvent::Range(range) => json!({"range": range}),
        MeterEvent::Held(on) => json!({"held": on}),
        MeterEvent::Ac(on) => json!({"ac": on}),
        MeterEvent::AutoOff(on) => json!({"auto_off": on}),
        MeterEvent::LowCell => json!({"low_cell": true}),
        MeterEvent::Doubt { doubt, on } => json!({"doubt": doubt.name(), "on": on}),
        MeterEvent::Gap { why, for_s } => json!({"gap": why, "for_s": for_s}),
    }
}

/// A moment of the wall clock as the file has it.
pub(super) fn stamp(wall: &DateTime<FixedOffset>) -> String {
    wall.to_rfc3339_opts(SecondsFormat::Millis, false)
}

/// Reads one line, with or without its line end.
///
/// # Errors
/// [`LineError`] when it is no entry.
///
/// ```
/// use lullboard::journal::line;
/// let entry = line::read(br#"{"t":0.250,"a":0.0610}"#).unwrap();
/// let mut again = Vec::new();
/// line::write(&entry, &mut again).unwrap();
/// assert_eq!(again, b"{\"t\":0.250,\"a\":0.0610}\n");
/// ```
pub fn read(line: &[u8]) -> Result<Entry, LineError> {
    let line = line.strip_suffix(b"\n").unwrap_or(line);
    let line = line.strip_suffix(b"\r").unwrap_or(line);
    match plain(line) {
        Some((entry, [])) => Ok(entry),
        _ => careful(line),
    }
}

/// A reading exactly as `write` writes it, and what stands behind its brace; `None` sends the line to
/// `careful`.
pub(super) fn plain(bytes: &[u8]) -> Option<(Entry, &[u8])> {
    let (digits, decimals, rest) = decimal(bytes.strip_prefix(br#"{"t":"#)?)?;
    let t = Elapsed::from_ms(ms_of(digits, decimals)?);
    let (fact, rest) = if let Some(rest) = rest.strip_prefix(br#","a":"#) {
        let (digits, decimals, rest) = decimal(rest)?;
        let amps = Measured::Amps(Amps::new(digits, decimals)?);
        (Fact::Reading(amps), rest)
    } else if let Some(rest) = rest.strip_prefix(br#","v":"#) {
        let (digits, decimals, rest) = decimal(rest)?;
        (Fact::Volts(Volts::new(digits, decimals)?), rest)
    } else {
        let rest = rest.strip_prefix(br#","over":true"#)?;
        (Fact::Reading(Measured::Over), rest)
    };
    Some((Entry { t, fact }, rest.strip_prefix(b"}")?))
}

/// A line as JSON has it; keys that are not named here are ignored.
#[derive(Deserialize)]
struct ReadLine<'a> {
    lullboard: Option<serde::de::IgnoredAny>,
    #[serde(borrow)]
    t: Option<&'a RawValue>,
    #[serde(borrow)]
    a: Option<&'a RawValue>,
    #[serde(borrow)]
    v: Option<&'a RawValue>,
    over: Option<bool>,
    mark: Option<Box<Mark>>,
    strike: Option<MarkId>,
    drop: Option<Box<FuseDrop>>,
    set: Option<Box<Card>>,
    meter: Option<ReadEvent>,
    volts_meter: Option<ReadEvent>,
    resumed: Option<DateTime<FixedOffset>>,
    judged: Option<Box<Judged>>,
    seal: Option<Seal>,
}

#[derive(Deserialize)]
struct ReadEvent {
    lost: Option<String>,
    back: Option<String>,
    range: Option<String>,
    held: Option<bool>,
    ac: Option<bool>,
    auto_off: Option<bool>,
    low_cell: Option<bool>,
    doubt: Option<String>,
    on: Option<bool>,
    gap: Option<String>,
    for_s: Option<f64>,
}

fn careful(line: &[u8]) -> Result<Entry, LineError> {
    let refuse = |expected: String| LineError {
        found: excerpt(line),
        expected,
    };
    let wire: ReadLine<'_> = serde_json::from_slice(line).map_err(|error| {
        let why = sanitize::text(&error.to_string());
        refuse(format!(
            r#"an entry such as {{"t":0.250,"a":2.746}} ({why})"#
        ))
    })?;
    if wire.lullboard.is_some() {
        return Err(refuse("an entry; a session has one header".into()));
    }
    let t = wire
        .t
        .and_then(|raw| time_ms(raw.get()))
        .map(Elapsed::from_ms)
        .ok_or_else(|| refuse("a time in seconds under the key \"t\"".into()))?;
    let current = match wire.a {
        None => None,
        Some(raw) => Some(Amps::parse_in(raw.get(), 0).map_err(|error| {
            refuse(format!(
                "a current in ampere under the key \"a\" ({error}: {})",
                excerpt(raw.get().as_bytes())
            ))
        })?),
    };
    let mut facts = [
        current.map(|amps| Fact::Reading(Measured::Amps(amps))),
        (wire.over == Some(true)).then_some(Fact::Reading(Measured::Over)),
        wire.mark.map(Fact::Mark),
        wire.strike.map(Fact::Strike),
        wire.drop.map(Fact::Drop),
        wire.set.map(Fact::Set),
        wire.meter.map(|event| event.fact(Fact::Meter)),
        wire.volts_meter.map(|event| event.fact(Fact::VoltsMeter)),
        wire.resumed.map(Fact::Resumed),
        wire.judged.map(Fact::Judged),
        wire.seal.map(Fact::Seal),
    ]
    .into_iter()
    .flatten();
    let fact = match (facts.next(), wire.v) {
        // Beside another fact `v` is a key that nobody knows, as it was before there were volts.
        (Some(fact), _) => fact,
        (None, None) => Fact::Unknown,
        (None, Some(raw)) => Fact::Volts(Volts::parse_in(raw.get(), 0).map_err(|error| {
            refuse(format!(
                "the battery's voltage under the key \"v\" ({error}: {})",
                excerpt(raw.get().as_bytes())
            ))
        })?),
    };
    if facts.next().is_some() {
        return Err(refuse("one fact a line".into()));
    }
    Ok(Entry { t, fact })
}

impl ReadEvent {
    /// The event; one that this program does not know is kept in the file, without effect.
    fn fact(self, of: fn(MeterEvent) -> Fact) -> Fact {
        let Self { gap, for_s, .. } = self;
        let on = self.on.unwrap_or(true);
        let doubt = self.doubt.as_deref().and_then(Doubt::named);
        let event = self
            .lost
            .map(MeterEvent::Lost)
            .or(self.back.map(MeterEvent::Back))
            .or(self.range.map(MeterEvent::Range))
            .or(self.held.map(MeterEvent::Held))
            .or(self.ac.map(MeterEvent::Ac))
            .or(self.auto_off.map(MeterEvent::AutoOff))
            .or((self.low_cell == Some(true)).then_some(MeterEvent::LowCell))
            .or(doubt.map(|doubt| MeterEvent::Doubt { doubt, on }))
            .or(gap.map(|why| MeterEvent::Gap {
                why,
                for_s: for_s.unwrap_or(0.0),
            }));
        event.map_or(Fact::Unknown, of)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::mark::Did;

    fn back(text: &str) -> String {
        let mut out = Vec::new();
        write(&read(text.as_bytes()).unwrap(), &mut out).unwrap();
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn the_contracts_lines_read_back_to_the_letter() {
        for text in [
            r#"{"t":0.250,"a":2.746}"#,
            r#"{"t":0.250,"a":0.0610}"#,
            r#"{"t":-3.000,"a":-12}"#,
            r#"{"t":0.500,"over":true}"#,
            r#"{"t":91.000,"mark":{"id":3,"did":"pull","what":["L8"]}}"#,
            r#"{"t":91.000,"mark":{"id":3,"did":"pull","what":["L8"],"at":88.5}}"#,
            r#"{"t":91.000,"mark":{"id":4,"did":"note","text":"key \"far\" away\nreally"}}"#,
            r#"{"t":95.000,"strike":3}"#,
            r#"{"t":95.000,"drop":{"what":"L8","mv":2.3}}"#,
            r#"{"t":95.000,"drop":{"what":"L8","mv":-0.4,"step_mv":0.01,"ohms":0.0077,"style":"mini","rating_a":7.5}}"#,
            r#"{"t":96.000,"set":{"limit_a":0.05}}"#,
            r#"{"t":99.000,"meter":{"lost":"cable"}}"#,
            r#"{"t":99.000,"meter":{"back":"/dev/ttyUSB0"}}"#,
            r#"{"t":99.000,"meter":{"range":"10 A"}}"#,
            r#"{"t":99.000,"meter":{"held":true}}"#,
            r#"{"t":99.000,"meter":{"ac":false}}"#,
            r#"{"t":99.000,"meter":{"auto_off":true}}"#,
            r#"{"t":99.000,"meter":{"low_cell":true}}"#,
            r#"{"t":99.000,"meter":{"doubt":"zero","on":true}}"#,
            r#"{"t":99.000,"meter":{"doubt":"frozen","on":false}}"#,
            r#"{"t":99.000,"meter":{"gap":"laptop slept","for_s":1803.2}}"#,
            r#"{"t":12.500,"v":12.41}"#,
            r#"{"t":12.500,"v":12.410}"#,
            r#"{"t":99.000,"volts_meter":{"lost":"cable"}}"#,
            r#"{"t":120.000,"resumed":"2026-11-25T08:02:00.000+00:00"}"#,
            r#"{"t":130.000,"seal":{"lines":481,"sha256":"00ff"}}"#,
        ] {
            assert_eq!(back(text), format!("{text}\n"));
        }
    }

    #[test]
    fn the_careful_way_agrees_with_the_fast_one() {
        for text in [
            r#"{"t":0.250,"a":0.0610}"#,
            r#"{"t":12,"a":-1}"#,
            r#"{"t":0.5004,"over":true}"#,
            r#"{"t":0.250,"v":12.40}"#,
        ] {
            let (fast, _) = plain(text.as_bytes()).unwrap();
            assert_eq!(careful(text.as_bytes()).unwrap(), fast, "{text}");
        }
        assert_eq!(
            back(r#" { "a" : 6.10e-2 , "new key": [1], "t" : 2.5e-1 }"#),
            "{\"t\":0.250,\"a\":0.0610}\n"
        );
        assert_eq!(
            back("{\"t\":1.000,\"a\":1.0}\r\n"),
            "{\"t\":1.000,\"a\":1.0}\n"
        );
    }

    #[test]
    fn what_a_newer_program_wrote_is_counted_without_effect() {
        for text in [
            r#"{"t":1.0,"weather":"rain"}"#,
            r#"{"t":1.0}"#,
            r#"{"t":1.0,"meter":{"smell":"hot"}}"#,
            r#"{"t":1.0,"volts_meter":{"smell":"hot"}}"#,
            r#"{"t":1.0,"meter":{"doubt":"weather","on":true}}"#,
        ] {
            assert_eq!(read(text.as_bytes()).unwrap().fact, Fact::Unknown, "{text}");
        }
        // Old files may hold a key `v` of their own beside a fact.
        for beside in [r#""v":12.4"#, r#""v":"full""#] {
            let entry = read(format!(r#"{{"t":1.0,"a":0.05,{beside}}}"#).as_bytes()).unwrap();
            assert!(matches!(entry.fact, Fact::Reading(_)), "{beside}");
        }
        let entry = read(br#"{"t":1.0,"mark":{"id":1,"did":"lock","mood":"wet"}}"#).unwrap();
        let Fact::Mark(mark) = entry.fact else {
            panic!("not a mark: {entry:?}")
        };
        assert_eq!(mark.did, Did::Lock);
    }

    #[test]
    fn what_is_no_entry_is_named_with_what_was_expected() {
        for (text, expected) in [
            ("", "an entry such as"),
            ("what?", "an entry such as"),
            (r#"{"t":0.250,"a":2.0"#, "an entry such as"),
            (r#"{"a":2.0}"#, "a time in seconds"),
            (r#"{"t":"noon","a":2.0}"#, "a time in seconds"),
            (r#"{"t":1e300,"a":2.0}"#, "a time in seconds"),
            (r#"{"t":1.0,"a":"two"}"#, "a current in ampere"),
            (r#"{"t":1.0,"v":"flat"}"#, "the battery's voltage"),
            (r#"{"t":1.0,"a":2.0,"strike":3}"#, "one fact a line"),
            (r#"{"t":1.0,"mark":{"id":1,"did":"tow"}}"#, "`pull`"),
            (r#"{"lullboard":1,"started":"x"}"#, "one header"),
        ] {
            let error = read(text.as_bytes()).unwrap_err().to_string();
            assert!(error.contains(expected), "{text}: {error}");
        }
    }
}
