//! How an answer leaves the program: one JSON document and a line feed, or lines to read.

use std::io::{self, Write};

use serde_json::Value;

pub(super) fn write_document(mut out: impl Write, document: &Value) -> io::Result<()> {
    serde_json::to_writer_pretty(&mut out, document)?;
    out.write_all(b"\n")?;
    out.flush()
}

pub(super) fn write_lines(mut out: impl Write, lines: &[String]) -> io::Result<()> {
    for line in lines {
        writeln!(out, "{line}")?;
    }
    out.flush()
}
