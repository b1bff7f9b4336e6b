//! Text and the cells it takes: measured, clipped, wrapped, and made harmless. A label typed by
//! hand or read from a file must not move the cursor nor turn the line round.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// The cells that `text` takes.
#[must_use]
pub fn cells(text: &str) -> u16 {
    u16::try_from(text.width()).unwrap_or(u16::MAX)
}

/// `text` with every harmful character shown as `?`.
#[must_use]
pub fn harmless(text: &str) -> String {
    crate::reading::harmless::text(text)
}

/// `text` for a terminal that has ASCII only.
#[must_use]
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

/// At most `max` cells of `text`; a cut shows as `…`.
#[must_use]
pub fn clip(text: &str, max: u16) -> String {
    if cells(text) <= max {
        return text.to_owned();
    }
    let Some(room) = usize::from(max).checked_sub(1) else {
        return String::new();
    };
    let mut taken = 0usize;
    let mut out = String::new();
    for c in text.chars() {
        taken = taken.saturating_add(c.width().unwrap_or(0));
        if taken > room {
            break;
        }
        out.push(c);
    }
    out.push('…');
    out
}

/// The end of `text` in at most `room` cells; a cut shows as `…`.
#[must_use]
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
#[must_use]
pub fn left(text: &str, to: u16) -> String {
    let text = clip(text, to);
    let fill = to.saturating_sub(cells(&text));
    text + &" ".repeat(usize::from(fill))
}

/// `text` in exactly `to` cells, from the right.
#[must_use]
pub fn right(text: &str, to: u16) -> String {
    let text = clip(text, to);
    let fill = to.saturating_sub(cells(&text));
    " ".repeat(usize::from(fill)) + &text
}

/// `text` in lines of at most `max` cells, broken at blanks; at most `rows` lines, and what does
/// not fit shows as a cut.
#[must_use]
pub fn wrap(text: &str, max: u16, rows: u16) -> Vec<String> {
    let rows = usize::from(rows);
    let mut lines: Vec<String> = Vec::new();
    if max == 0 || rows == 0 {
        return lines;
    }
    let mut line = String::new();
    let mut words = text.split_whitespace().peekable();
    while let Some(word) = words.next() {
        let joined = if line.is_empty() {
            word.to_owned()
        } else {
            format!("{line} {word}")
        };
        if cells(&joined) <= max || line.is_empty() {
            line = joined;
            continue;
        }
        if lines.len().saturating_add(1) == rows {
            let rest: Vec<&str> = std::iter::once(word).chain(words).collect();
            line = clip(&format!("{line} {}", rest.join(" ")), max);
            break;
        }
        lines.push(clip(&line, max));
        word.clone_into(&mut line);
    }
    if !line.is_empty() {
        lines.push(clip(&line, max));
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn controls_and_direction_marks_show_as_question_marks() {
        assert_eq!(harmless("E10\u{1b}[2J\u{202e}gnp"), "E10?[2J?gnp");
        assert_eq!(harmless("Türe 車"), "Türe 車");
    }

    #[test]
    fn a_cut_never_splits_a_wide_character() {
        assert_eq!(clip("車車車", 5), "車車…");
        assert_eq!(clip("車車車", 4), "車…");
        assert_eq!(cells(&left("車車車", 4)), 4);
        assert_eq!(clip("amplifier", 0), "");
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
        assert!(wrap("x", 0, 3).is_empty());
    }

    #[test]
    fn ascii_keeps_the_sense() {
        assert_eq!(ascii("2.00 A → 52 mA ± 1 mA"), "2.00 A -> 52 mA +/- 1 mA");
        assert_eq!(ascii("Türe"), "T?re");
    }
}
