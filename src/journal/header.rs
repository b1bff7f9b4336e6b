//! The first line of a session file: the file's version, when the session began, the card, the
//! meter, and the fuse map beside the card, so that a session tells of its car by itself.

use std::io::{self, Write};

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::line::{LineError, stamp};
use crate::fuse::map::Circuit;
use crate::reading::sanitize::{self, excerpt};
use crate::session::{Card, Header, MeterCard};

/// The file version that this program writes, and the newest that it reads.
pub const VERSION: u64 = 1;

/// Why a line is not the header of a session.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum HeaderError {
    /// It is no session file at all: the line, or its beginning.
    #[error("not a lullboard session: found {0}, expected a line that begins {{\"lullboard\":1")]
    Foreign(String),
    /// A later program wrote it, in this version of the file.
    #[error("written by a newer lullboard (file version {0}); this one reads {VERSION}: update")]
    Newer(u64),
    /// It was a header once.
    #[error("the header is damaged: {0}")]
    Damaged(LineError),
}

#[derive(Serialize)]
struct HeaderLine<'a> {
    lullboard: u64,
    started: String,
    card: &'a Card,
    meter: &'a MeterCard,
    #[serde(skip_serializing_if = "Option::is_none")]
    fuses: Option<Vec<Circuit>>,
}

#[derive(Deserialize)]
struct Version {
    lullboard: Option<u64>,
}

#[derive(Deserialize)]
struct ReadHeader {
    started: DateTime<FixedOffset>,
    #[serde(default)]
    card: Card,
    #[serde(default)]
    meter: MeterCard,
    #[serde(default)]
    fuses: Option<Vec<Circuit>>,
}

/// Writes the header and its line feed.
///
/// # Errors
/// Whatever `out` reports; a `Vec` reports nothing.
pub fn write(header: &Header, out: &mut impl Write) -> io::Result<()> {
    let mut card = header.card.clone();
    let fuses = card.fuses.take();
    let written = HeaderLine {
        lullboard: VERSION,
        started: stamp(&header.started),
        card: &card,
        meter: &header.meter,
        fuses,
    };
    serde_json::to_writer(&mut *out, &written)?;
    out.write_all(b"\n")
}

/// Reads the header, with or without its line end.
///
/// # Errors
/// [`HeaderError`], which tells a damaged header from a foreign file and from a newer one.
pub fn read(line: &[u8]) -> Result<Header, HeaderError> {
    let line = line.strip_prefix("\u{feff}".as_bytes()).unwrap_or(line);
    let line = line.trim_ascii();
    let damaged = |error: &serde_json::Error| {
        let why = sanitize::text(&error.to_string());
        HeaderError::Damaged(LineError {
            found: excerpt(line),
            expected: format!(
                r#"{{"lullboard":1,"started":"2026-11-25T08:00:00.000+00:00","card":{{}},"meter":{{}}}} ({why})"#
            ),
        })
    };
    let foreign = || HeaderError::Foreign(excerpt(line));
    match serde_json::from_slice::<Version>(line) {
        Ok(Version { lullboard }) => match lullboard {
            None => return Err(foreign()),
            Some(found @ 2..) => return Err(HeaderError::Newer(found)),
            Some(0 | VERSION) => {}
        },
        Err(error) if line.starts_with(br#"{"lullboard""#) => return Err(damaged(&error)),
        Err(_) => return Err(foreign()),
    }
    let wire: ReadHeader = serde_json::from_slice(line).map_err(|error| damaged(&error))?;
    let mut card = wire.card;
    card.fuses = wire.fuses.or(card.fuses);
    Ok(Header {
        started: wire.started,
        card,
        meter: wire.meter,
    })
}

/// What stands in for a header that is damaged: nothing known, begun at the Unix epoch.
pub fn unknown() -> Header {
    Header::default()
}

#[cfg(test)]
mod tests {
    use super::*;

    const SAMPLE: &str = r#"{"lullboard":1,"started":"2026-11-25T08:00:00.000+00:00","card":{"limit_a":0.05},"meter":{"uri":"pipe:-"}}"#;

    #[test]
    fn a_header_reads_back_to_the_letter() {
        let mut out = Vec::new();
        write(&read(SAMPLE.as_bytes()).unwrap(), &mut out).unwrap();
        assert_eq!(String::from_utf8(out).unwrap(), format!("{SAMPLE}\n"));
    }

    #[test]
    fn the_fuse_map_stands_beside_the_card() {
        let text = r#"{"lullboard":1,"started":"2026-11-25T08:00:00.000+00:00","card":{},"meter":{"uri":"pipe:-"},"fuses":[{"label":"D7","feeds":["sunroof control"]}]}"#;
        let header = read(text.as_bytes()).unwrap();
        assert_eq!(header.card.fuses.as_ref().unwrap()[0].label, "D7");
        let mut out = Vec::new();
        write(&header, &mut out).unwrap();
        assert_eq!(String::from_utf8(out).unwrap(), format!("{text}\n"));
    }

    #[test]
    fn an_editors_byte_order_mark_and_a_missing_card_do_no_harm() {
        let text = "\u{feff}{\"lullboard\":1,\"started\":\"2026-11-25T08:00:00Z\"}\r\n";
        assert_eq!(read(text.as_bytes()).unwrap().card, Card::default());
    }

    #[test]
    fn newer_foreign_and_damaged_are_told_apart() {
        let newer = read(br#"{"lullboard":2,"began":7}"#).unwrap_err();
        assert_eq!(
            newer.to_string(),
            "written by a newer lullboard (file version 2); this one reads 1: update"
        );
        for text in ["", "time_s,current_a", r#"{"name":"x"}"#, "\0\0\0", "[1,2]"] {
            let error = read(text.as_bytes()).unwrap_err();
            assert!(matches!(error, HeaderError::Foreign(_)), "{text:?}");
        }
        for text in [
            r#"{"lullboard":1}"#,
            r#"{"lullboard":1,"started":"yesterday"}"#,
            r#"{"lullboard":1,"sta"#,
            r#"{"lullboard":"one"}"#,
        ] {
            let error = read(text.as_bytes()).unwrap_err();
            assert!(matches!(error, HeaderError::Damaged(_)), "{text:?}");
        }
    }
}
