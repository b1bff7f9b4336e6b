//! Bytes of one line to text: UTF-8 or Latin-1, without terminal colours and byte-order marks.

/// More bytes that are no UTF-8 than this in one line, and it is not Latin-1 text but noise: a unit needs one
/// (µ, °), a sign one.
const MAX_LATIN1: usize = 3;

/// The line as trimmed text, every minus sign an ASCII one; `None` when it is not text.
pub(super) fn text(bytes: &[u8]) -> Option<String> {
    let mut text = String::with_capacity(bytes.len());
    let mut latin1: usize = 0;
    for chunk in bytes.utf8_chunks() {
        text.push_str(chunk.valid());
        for &byte in chunk.invalid() {
            latin1 = latin1.saturating_add(1);
            text.push(char::from(byte));
        }
    }
    let text = without_escapes(&text);
    let unprintable = |c: char| c.is_control() && c != '\t';
    if latin1 > MAX_LATIN1 || text.contains(unprintable) {
        return None;
    }
    let text = text.trim_start_matches('\u{feff}').trim();
    Some(text.replace('\u{2212}', "-"))
}

/// Drops `ESC [ ... letter` (colours, cursor moves) and any other two-character escape.
fn without_escapes(text: &str) -> String {
    let mut kept = String::with_capacity(text.len());
    let mut rest = text.chars();
    while let Some(c) = rest.next() {
        if c != '\u{1b}' {
            kept.push(c);
        } else if rest.next() == Some('[') {
            // The parameters end at the first byte from @ to ~.
            rest.by_ref().find(|c| matches!(c, '@'..='~'));
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_go_and_words_stay() {
        assert_eq!(text(b"\x1b[0;32m12.3 mA\x1b[0m").unwrap(), "12.3 mA");
        assert_eq!(text(b"12.3\x1b").unwrap(), "12.3");
    }

    #[test]
    fn control_bytes_are_no_text() {
        assert_eq!(
            text(b"12.\x003"),
            None,
            "a lost digit must not make another number"
        );
        assert_eq!(text(&[0xf8, 0x80, 0xe0, 0xfe, b'7']), None);
    }
}
