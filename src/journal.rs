//! The session file: entries to lines and back, whatever happened to the bytes in between.
//! No file is opened here: `shell::scribe` does that.

pub mod line;
