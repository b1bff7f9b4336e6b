//! Text from people and from files, sanitized: what would move a cursor, hide words or turn a
//! line round is shown as `?`. What a file format itself would obey is `report::safe`'s work.

/// Whether `c` would act instead of being read: controls, marks of the writing direction, blanks
/// of no width, tags, and the two values that no XML file may hold.
pub fn is_harmful(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}'
            | '\u{fffe}' | '\u{ffff}' | '\u{e0000}'..='\u{e007f}')
}

/// `c`, or `?` for a harmful one.
pub fn shown(c: char) -> char {
    if is_harmful(c) { '?' } else { c }
}

/// `text` with every harmful character shown as `?`.
///
/// ```
/// use lullboard::reading::sanitize;
/// assert_eq!(sanitize::text("L11\u{202e}gnp"), "L11?gnp");
/// ```
pub fn text(text: &str) -> String {
    // Nearly all text is plain, and a frame has a thousand pieces of it.
    if is_plain(text) {
        return text.to_owned();
    }
    text.chars().map(shown).collect()
}

/// Whether every character is one of ASCII that is printed.
pub fn is_plain(text: &str) -> bool {
    text.bytes().all(|byte| matches!(byte, b' '..=b'~'))
}

/// Shows bytes from a file in an error: one line, nothing that acts, not too long.
pub fn excerpt(bytes: &[u8]) -> String {
    const SHOWN: usize = 60;
    if bytes.is_empty() {
        return "an empty line".into();
    }
    if bytes.iter().all(|byte| *byte == 0) {
        return format!("{} NUL bytes", bytes.len());
    }
    // Four bytes a character at most, so a line of a megabyte is not copied to show its start.
    let head = bytes.get(..SHOWN * 4).unwrap_or(bytes);
    let text = String::from_utf8_lossy(head);
    let mut shown = String::from("'");
    for c in text.chars().take(SHOWN) {
        if is_harmful(c) {
            shown.extend(c.escape_default());
        } else {
            shown.push(c);
        }
    }
    shown.push('\'');
    if head.len() < bytes.len() || text.chars().nth(SHOWN).is_some() {
        shown.push_str("...");
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_acts_is_shown_and_what_reads_is_kept() {
        assert_eq!(text("L11\u{1b}[2J\u{202e}gnp\u{ffff}"), "L11?[2J?gnp?");
        assert_eq!(
            text("T\u{fc}re \u{8eca} \u{5d0} <b> =1+1"),
            "T\u{fc}re \u{8eca} \u{5d0} <b> =1+1"
        );
    }

    #[test]
    fn an_excerpt_is_one_short_line() {
        assert_eq!(excerpt(&[0; 4096]), "4096 NUL bytes");
        assert_eq!(excerpt(b"a\x1b[31m"), "'a\\u{1b}[31m'");
        assert!(excerpt(&[b'x'; 5000]).len() < 80);
    }
}
