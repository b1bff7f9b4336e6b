//! A terminal that is told its colours late: the answer comes among the keys, and must not be typed.

use crossterm::event::{Event, KeyCode, KeyEventKind, KeyModifiers};

/// The longest answer: `]11;rgb:ffff/ffff/ffff`.
const LONGEST: usize = 32;

/// Takes an answer to OSC 10 or 11 (xterm, "Operating System Commands") out of what is typed: from
/// `ESC ]` to `ESC \` or BEL, which the keys are read as Alt with a sign, and Ctrl-g.
#[derive(Debug, Default)]
pub(super) struct LateAnswer {
    /// How much of one has gone by.
    within: Option<usize>,
}

impl LateAnswer {
    /// Whether this is part of one.
    pub(super) fn takes(&mut self, event: &Event) -> bool {
        let Event::Key(key) = event else { return false };
        if key.kind != KeyEventKind::Press {
            return false;
        }
        let is_alt = key.modifiers.contains(KeyModifiers::ALT);
        let is_ctrl = key.modifiers.contains(KeyModifiers::CONTROL);
        let KeyCode::Char(c) = key.code else {
            self.within = None;
            return false;
        };
        let Some(length) = self.within else {
            let begins = is_alt && c == ']';
            self.within = begins.then_some(0);
            return begins;
        };
        let ends = is_alt && c == '\\' || is_ctrl && c == 'g';
        let goes_on = "0123456789abcdefABCDEF;:/rgb?".contains(c) && length < LONGEST;
        self.within = (goes_on && !ends).then_some(length + 1);
        ends || goes_on
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crossterm::event::KeyEvent;

    fn typed(keys: &[(char, KeyModifiers)]) -> String {
        let mut late = LateAnswer::default();
        let left = keys.iter().filter(|(c, modifiers)| {
            let key = KeyEvent::new(KeyCode::Char(*c), *modifiers);
            !late.takes(&Event::Key(key))
        });
        left.map(|(c, _)| c).collect()
    }

    fn plain(text: &str) -> Vec<(char, KeyModifiers)> {
        text.chars().map(|c| (c, KeyModifiers::NONE)).collect()
    }

    #[test]
    fn an_answer_is_taken_out_and_what_is_typed_around_it_stays() {
        for end in [('\\', KeyModifiers::ALT), ('g', KeyModifiers::CONTROL)] {
            let mut keys = plain("p");
            keys.push((']', KeyModifiers::ALT));
            keys.extend(plain("11;rgb:ffff/eeee/0000"));
            keys.push(end);
            keys.extend(plain("E3r"));
            assert_eq!(typed(&keys), "pE3r");
        }
    }

    #[test]
    fn what_only_begins_like_one_takes_little() {
        let mut keys = vec![(']', KeyModifiers::ALT)];
        keys.extend(plain("lock"));
        assert_eq!(typed(&keys), "lock");
        let mut endless = vec![(']', KeyModifiers::ALT)];
        endless.extend(plain(&"1".repeat(40)));
        assert_eq!(typed(&endless).len(), 40 - LONGEST);
    }
}
