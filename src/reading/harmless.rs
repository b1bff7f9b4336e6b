//! Text from people and from files, made harmless: what would move a cursor, hide words or turn a
//! line round is shown as `?`. What a file format itself would obey is `report::safe`'s work.

/// Whether `c` would act instead of being read: controls, marks of the writing direction, blanks
/// of no width, tags, and the two values that no XML file may hold.
#[must_use]
pub fn is_harmful(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}'
            | '\u{fffe}' | '\u{ffff}' | '\u{e0000}'..='\u{e007f}')
}

/// `c`, or `?` for a harmful one.
#[must_use]
pub fn shown(c: char) -> char {
    if is_harmful(c) { '?' } else { c }
}

/// `text` with every harmful character shown as `?`.
///
/// ```
/// use lullboard::reading::harmless;
/// assert_eq!(harmless::text("L11\u{202e}gnp"), "L11?gnp");
/// ```
#[must_use]
pub fn text(text: &str) -> String {
    text.chars().map(shown).collect()
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
}
