//! A text field as a row: its cursor always in sight, a text too long for the row scrolled.

use crate::desk::text_field::TextField;
use crate::screen::{Line, Role, width};

/// The field in at most `room` cells; as much is shown behind the cursor as before it, where both
/// are cut.
pub(super) fn row(field: &TextField, room: u16) -> Line {
    let (before, under, behind) = field.around();
    let [before, under, behind] = [before, under, behind].map(width::sanitize);
    let under = if width::cells(&under) == 0 {
        "_"
    } else {
        &under
    };
    let room = room.saturating_sub(width::cells(under).saturating_add(2));
    let kept = width::cells(&behind).min(room / 2);
    let before = width::tail(&before, room.saturating_sub(kept));
    let left = room.saturating_sub(width::cells(&before));
    Line::new(Role::Key, "> ")
        .and(Role::Strong, before)
        .and(Role::Selected, under)
        .and(Role::Strong, width::clip(&behind, left))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::message::Key;

    /// The row with the cursor in brackets, the cursor moved to the left first.
    fn shown(text: &str, left: usize, room: u16) -> String {
        let mut field = TextField::new(text);
        for _ in 0..left {
            field.key(Key::Left);
        }
        let row = row(&field, room);
        assert!(row.cells() <= room, "{row:?}");
        let pieces = row.0.iter().map(|piece| {
            if piece.role == Role::Selected {
                format!("[{}]", piece.text)
            } else {
                piece.text.clone()
            }
        });
        pieces.collect()
    }

    #[test]
    fn the_cursor_stays_in_sight_in_a_text_too_long_for_the_row() {
        let text = "0123456789abcdefghij";
        for (left, expected) in [
            (0, "> \u{2026}abcdefghij[_]"),
            (1, "> \u{2026}9abcdefghi[j]"),
            (3, "> \u{2026}9abcdefg[h]ij"),
            (10, "> \u{2026}56789[a]bcde\u{2026}"),
            (18, "> 01[2]3456789a\u{2026}"),
            (20, "> [0]123456789a\u{2026}"),
        ] {
            assert_eq!(shown(text, left, 14), expected, "{left}");
        }
        assert_eq!(shown("E14", 0, 14), "> E14[_]");
        assert_eq!(shown("E14", 2, 14), "> E[1]4");
    }

    #[test]
    fn wide_characters_and_harmful_ones_keep_their_cells() {
        assert_eq!(shown("車車車車車", 2, 9), "> …車[車]車");
        assert_eq!(shown("a\u{202e}b", 1, 14), "> a?[b]");
        assert_eq!(shown("anything", 3, 3), "> [i]");
    }
}
