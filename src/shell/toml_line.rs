//! Where in a file of TOML something is wrong, on one line: its own errors draw a picture over
//! several.

use anyhow::{Error, anyhow};

/// What the reader says, with the line it says it of.
pub(super) fn refusal(text: &str, error: &toml::de::Error) -> Error {
    let at = error.span().map(|span| of(text, span.start));
    let said = error.message().trim().replace('\n', " ");
    anyhow!("{}{said}", at.unwrap_or_default())
}

/// The line of this byte, as an error begins.
pub(super) fn of(text: &str, at: usize) -> String {
    let before = text.get(..at).unwrap_or(text);
    format!("line {}: ", before.matches('\n').count() + 1)
}
