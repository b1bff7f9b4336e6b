//! A line of text that is typed: where its cursor stands and what each key does to it.

use unicode_segmentation::UnicodeSegmentation;

use super::message::Key;

/// Longer texts than this answer nothing that is asked here.
const MAX_CHARS: usize = 200;

/// What is typed so far, and a cursor in it that never stands within a character as people see it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TextField {
    before: String,
    after: String,
}

impl TextField {
    /// A field that holds this text, the cursor at its end.
    pub fn new(text: &str) -> Self {
        let mut field = Self::default();
        field.insert(text);
        field
    }

    /// The whole text.
    pub fn text(&self) -> String {
        format!("{}{}", self.before, self.after)
    }

    /// Whether nothing is typed.
    pub const fn is_empty(&self) -> bool {
        self.before.is_empty() && self.after.is_empty()
    }

    /// What stands before the cursor, under it and behind it; nothing is under it at the end.
    pub fn around(&self) -> (&str, &str, &str) {
        let under = self.after.graphemes(true).next().unwrap_or_default();
        let behind = self.after.strip_prefix(under).unwrap_or_default();
        (&self.before, under, behind)
    }

    /// Puts text at the cursor; line ends and other control characters are left out.
    pub fn insert(&mut self, text: &str) {
        let used = self.before.chars().count() + self.after.chars().count();
        let typed = text.chars().filter(|c| !c.is_control());
        self.before
            .extend(typed.take(MAX_CHARS.saturating_sub(used)));
    }

    /// Takes one key; a key that edits no text does nothing.
    pub fn key(&mut self, key: Key) {
        match key {
            Key::Char(c) => self.insert(c.encode_utf8(&mut [0; 4])),
            Key::Left | Key::Ctrl('b') => {
                let moved = cut_last(&mut self.before);
                self.after.insert_str(0, &moved);
            }
            Key::Right | Key::Ctrl('f') => {
                let moved = cut_first(&mut self.after);
                self.before.push_str(&moved);
            }
            Key::Home | Key::Ctrl('a') => {
                self.after.insert_str(0, &self.before);
                self.before.clear();
            }
            Key::End | Key::Ctrl('e') => self.before.push_str(&std::mem::take(&mut self.after)),
            Key::Backspace | Key::Ctrl('h') => drop(cut_last(&mut self.before)),
            Key::Delete | Key::Ctrl('d') => drop(cut_first(&mut self.after)),
            Key::Ctrl('u') => self.before.clear(),
            Key::Ctrl('k') => self.after.clear(),
            Key::Ctrl('w') => {
                let words = self.before.trim_end();
                let end = words.rfind(char::is_whitespace);
                let kept =
                    end.and_then(|at| words.get(at..)?.chars().next().map(|c| at + c.len_utf8()));
                self.before.truncate(kept.unwrap_or(0));
            }
            Key::Ctrl(_)
            | Key::Enter
            | Key::Esc
            | Key::Tab
            | Key::BackTab
            | Key::Up
            | Key::Down
            | Key::PageUp
            | Key::PageDown => {}
        }
    }
}

fn cut_last(text: &mut String) -> String {
    let last = text.grapheme_indices(true).next_back();
    let at = last.map_or(0, |(at, _)| at);
    text.split_off(at)
}

fn cut_first(text: &mut String) -> String {
    let len = text.graphemes(true).next().map_or(0, str::len);
    let rest = text.split_off(len);
    std::mem::replace(text, rest)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The field with `|` where the cursor stands.
    fn shown(field: &TextField) -> String {
        let (before, under, behind) = field.around();
        format!("{before}|{under}{behind}")
    }

    fn after(text: &str, keys: &[Key]) -> String {
        let mut field = TextField::new(text);
        for key in keys {
            field.key(*key);
        }
        shown(&field)
    }

    #[test]
    fn the_cursor_moves_and_text_is_put_and_cut_where_it_stands() {
        let left = [Key::Left, Key::Left];
        for (keys, expected) in [
            (&[][..], "E14+L6|"),
            (&left[..], "E14+|L6"),
            (&[Key::Left, Key::Left, Key::Char('x')], "E14+x|L6"),
            (&[Key::Left, Key::Left, Key::Backspace], "E14|L6"),
            (&[Key::Left, Key::Left, Key::Delete], "E14+|6"),
            (&[Key::Left, Key::Left, Key::Right], "E14+L|6"),
            (&[Key::Home, Key::Left, Key::Backspace], "|E14+L6"),
            (&[Key::Home, Key::End, Key::Right, Key::Delete], "E14+L6|"),
            (&[Key::Ctrl('a'), Key::Char('D')], "D|E14+L6"),
            (
                &[Key::Ctrl('a'), Key::Ctrl('e'), Key::Char('D')],
                "E14+L6D|",
            ),
            (&[Key::Left, Key::Left, Key::Ctrl('u')], "|L6"),
            (&[Key::Left, Key::Left, Key::Ctrl('k')], "E14+|"),
            (&[Key::Up, Key::Tab, Key::Ctrl('x')], "E14+L6|"),
        ] {
            assert_eq!(after("E14+L6", keys), expected, "{keys:?}");
        }
    }

    #[test]
    fn a_word_is_cut_with_the_blanks_behind_it() {
        let cut = |text| after(text, &[Key::Ctrl('w')]);
        assert_eq!(cut("unplug washer pump"), "unplug washer |");
        assert_eq!(cut("unplug washer  "), "unplug |");
        assert_eq!(cut("t\u{fc}r\u{3000}\u{8eca}"), "t\u{fc}r\u{3000}|");
        assert_eq!(cut("pump"), "|");
        assert_eq!(cut(""), "|");
        let middle = [Key::Left, Key::Left, Key::Left, Key::Left, Key::Ctrl('w')];
        assert_eq!(after("washer pump", &middle), "|pump");
    }

    /// What people see as one character is several code points: an accent put on its letter, a
    /// flag, a family.
    #[test]
    fn a_character_is_what_people_see_as_one() {
        let accented = "cafe\u{301}s";
        assert_eq!(after(accented, &[Key::Left, Key::Left]), "caf|e\u{301}s");
        assert_eq!(after(accented, &[Key::Left, Key::Backspace]), "caf|s");
        let flag = "\u{1f1f3}\u{1f1f4}";
        let text = format!("{flag}{flag}");
        assert_eq!(after(&text, &[Key::Left]), format!("{flag}|{flag}"));
        assert_eq!(after(&text, &[Key::Home, Key::Delete]), format!("|{flag}"));
    }

    #[test]
    fn controls_stay_out_and_there_is_an_end() {
        assert_eq!(shown(&TextField::new("a\r\n\u{1b}b")), "ab|");
        let mut field = TextField::new(&"x".repeat(1000));
        assert_eq!(field.text().len(), MAX_CHARS);
        field.key(Key::Home);
        field.insert("y");
        assert_eq!(shown(&field), format!("|{}", "x".repeat(MAX_CHARS)));
    }
}
