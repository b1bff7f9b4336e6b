//! A label's length: the cells that it takes, and a cut that shows where it is too long.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use crate::reading::sanitize;

/// The cells that `text` takes.
pub fn cells(text: &str) -> u16 {
    let cells = if sanitize::is_plain(text) {
        text.len()
    } else {
        text.width()
    };
    u16::try_from(cells).unwrap_or(u16::MAX)
}

/// At most `max` cells of `text`; a cut shows as `…`.
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cut_never_splits_a_wide_character() {
        assert_eq!(clip("車車車", 5), "車車…");
        assert_eq!(clip("車車車", 4), "車…");
        assert_eq!(clip("amplifier", 0), "");
    }
}
