//! How an answer leaves the program: one JSON document and a line feed, or lines to read.

use std::io::{self, BufWriter, Write};

use serde::Serialize;

use crate::reading::sanitize::is_harmful;

/// Writes `document` and a line feed, so that a terminal can be shown it; piece by piece, for a long list
/// need not lie in memory as text.
///
/// # Errors
/// Whatever `out` reports.
pub(super) fn write_document(out: impl Write, document: &impl Serialize) -> io::Result<()> {
    let mut out = Harmless(BufWriter::new(out));
    serde_json::to_writer_pretty(&mut out, document)?;
    out.write_all(b"\n")?;
    out.flush()
}

/// JSON's own signs are plain, so whatever is harmful stands within a string, where an escape means the
/// same character.
struct Harmless<W>(W);

impl<W: Write> Write for Harmless<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        // The library hands whole characters over.
        let text = std::str::from_utf8(bytes).map_err(io::Error::other)?;
        let mut units = [0; 2];
        for piece in text.split_inclusive(|c| c != '\n' && is_harmful(c)) {
            let last = piece.chars().next_back();
            let Some(harmful) = last.filter(|c| *c != '\n' && is_harmful(*c)) else {
                self.0.write_all(piece.as_bytes())?;
                continue;
            };
            self.0
                .write_all(piece.trim_end_matches(harmful).as_bytes())?;
            for unit in harmful.encode_utf16(&mut units) {
                write!(self.0, "\\u{unit:04x}")?;
            }
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

pub(super) fn write_lines(mut out: impl Write, lines: &[String]) -> io::Result<()> {
    for line in lines {
        writeln!(out, "{line}")?;
    }
    out.flush()
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::{Value, json};

    #[test]
    fn what_would_act_on_a_terminal_is_escaped_and_means_the_same() {
        let document = json!({"what": ["a\u{7f}b", "\u{9b}31m", "L\u{202e}\u{202e}5", "\u{1b}\n", "\u{e0041}ü"]});
        let mut out = Vec::new();
        write_document(&mut out, &document).unwrap();
        let text = String::from_utf8(out).unwrap();
        assert!(text.chars().all(|c| c == '\n' || !is_harmful(c)), "{text}");
        assert!(text.contains("\\u202e\\u202e5") && text.contains('ü'));
        assert_eq!(serde_json::from_str::<Value>(&text).unwrap(), document);
    }
}
