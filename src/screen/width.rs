//! Text and the cells it takes: measured, clipped, wrapped, and made harmless. A label typed by
//! hand or read from a file must not move the cursor nor turn the line round.

use textwrap::{Options, WordSeparator, WordSplitter, WrapAlgorithm};

pub use crate::chart::label::{cells, clip};
pub use crate::reading::sanitize::text as sanitize;

/// `text` for a terminal that has ASCII only.
pub fn ascii(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '±' => out.push_str("+/-"),
            '→' => out.push_str("->"),
            '…' => out.push('~'),
            'µ' | 'μ' => out.push('u'),
            '\u{2212}' | '–' => out.push('-'),
            '\u{a0}' | '\u{202f}' => out.push(' '),
            c if c.is_ascii() => out.push(c),
            _ => out.push('?'),
        }
    }
    out
}

/// The end of `text` in at most `room` cells; a cut shows as `…`.
pub fn tail(text: &str, room: u16) -> String {
    if cells(text) <= room {
        return text.to_owned();
    }
    let Some(room) = room.checked_sub(1) else {
        return String::new();
    };
    let mut from = text.chars();
    while cells(from.as_str()) > room && from.next().is_some() {}
    format!("…{}", from.as_str())
}

/// `text` in exactly `to` cells, from the left.
pub fn left(text: &str, to: u16) -> String {
    let text = clip(text, to);
    let fill = to.saturating_sub(cells(&text));
    text + &" ".repeat(usize::from(fill))
}

/// `text` in exactly `to` cells, from the right.
pub fn right(text: &str, to: u16) -> String {
    let text = clip(text, to);
    let fill = to.saturating_sub(cells(&text));
    " ".repeat(usize::from(fill)) + &text
}

/// `text` in lines of at most `max` cells, broken at blanks; at most `rows` lines, and what does
/// not fit shows as a cut.
pub fn wrap(text: &str, max: u16, rows: u16) -> Vec<String> {
    let options = Options::new(usize::from(max))
        .wrap_algorithm(WrapAlgorithm::FirstFit)
        .word_separator(WordSeparator::AsciiSpace)
        .word_splitter(WordSplitter::NoHyphenation)
        .break_words(false);
    // Blanks of any kind, and ends of lines in other people's words, part words and no more.
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if !text.is_empty() && rows > 0 && cells(&text) <= max {
        return vec![text];
    }
    let mut lines = textwrap::wrap(&text, options);
    if max == 0 || text.is_empty() {
        lines.clear();
    }
    let rest = lines.split_off(lines.len().min(usize::from(rows)));
    if let Some(last) = lines.last_mut().filter(|_| !rest.is_empty()) {
        *last = format!("{last} {}", rest.join(" ")).into();
    }
    lines.iter().map(|line| clip(line, max)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn controls_and_direction_marks_show_as_question_marks() {
        assert_eq!(sanitize("E10\u{1b}[2J\u{202e}gnp"), "E10?[2J?gnp");
        assert_eq!(sanitize("Türe 車"), "Türe 車");
    }

    #[test]
    fn columns_are_as_wide_as_they_should_be() {
        assert_eq!(cells(&left("車車車", 4)), 4);
        assert_eq!(right("50 mA", 7), "  50 mA");
    }

    #[test]
    fn lines_break_at_blanks_and_a_cut_is_shown() {
        assert_eq!(
            wrap("flat at 2.00 A for 12 min", 10, 9),
            ["flat at", "2.00 A for", "12 min"]
        );
        assert_eq!(
            wrap("flat at 2.00 A for 12 min", 10, 2),
            ["flat at", "2.00 A fo…"]
        );
        assert_eq!(wrap("unbreakable", 5, 3), ["unbr…"]);
        assert_eq!(wrap(" over\ttwo \n lines\n", 20, 3), ["over two lines"]);
        assert!(wrap("x", 0, 3).is_empty());
    }

    #[test]
    fn ascii_keeps_the_sense() {
        assert_eq!(ascii("2.00 A → 52 mA ± 1 mA"), "2.00 A -> 52 mA +/- 1 mA");
        assert_eq!(ascii("Türe"), "T?re");
    }
}
