//! The keys thread: what the terminal says, in the desk's own words.

use std::thread::JoinHandle;
use std::time::Duration;

use crossterm::event::{
    self, KeyCode, KeyEvent, KeyEventKind, KeyModifiers, MouseButton, MouseEvent, MouseEventKind,
};

use super::late_answer::LateAnswer;
use crate::desk::{Event, Key};
use crate::shell::stop::{self, Halt};
use crate::shell::{Outbox, threads};

/// Starts to listen to the terminal, which need not be standard input: when a meter is piped
/// in there, the keys come from the controlling terminal.
///
/// The thread ends with the program: nothing can interrupt its read.
///
/// # Errors
/// When the system has no thread to give.
pub fn spawn(outbox: &Outbox) -> std::io::Result<()> {
    let desk = outbox.clone();
    threads::spawn("keys", outbox, move || {
        let mut late = LateAnswer::default();
        while pass_on(event::read(), &mut late, &desk) {}
    })?;
    Ok(())
}

/// Tells the desk what came; whether there is more to wait for.
fn pass_on(came: std::io::Result<event::Event>, late: &mut LateAnswer, desk: &Outbox) -> bool {
    if came.as_ref().is_ok_and(|event| late.takes(event)) {
        return true;
    }
    // The terminal may be gone, and with it the only way to steer the session.
    let event = came.map_or(Some(Event::Terminate), translate);
    let last = event == Some(Event::Terminate);
    event.is_none_or(|event| desk.try_say(event).is_ok()) && !last
}

/// Listens for a card that is filled in before there is a session: whoever asks on the plain
/// terminal afterwards has it to himself again.
#[derive(Debug)]
pub struct Borrowed {
    halt: Halt,
    worker: JoinHandle<()>,
}

/// How long a key that is not pressed is waited for, before a look at whether all is over.
const LOOK_EVERY: Duration = Duration::from_millis(100);

impl Borrowed {
    /// Starts to listen.
    ///
    /// # Errors
    /// When the system has no thread to give.
    pub fn listen(outbox: &Outbox) -> std::io::Result<Self> {
        let (halt, stop) = stop::pair();
        let desk = outbox.clone();
        let worker = threads::spawn("keys", outbox, move || {
            let mut late = LateAnswer::default();
            while !stop.is_set() {
                let came = match event::poll(LOOK_EVERY) {
                    Ok(false) => continue,
                    Ok(true) => event::read(),
                    Err(gone) => Err(gone),
                };
                if !pass_on(came, &mut late, &desk) {
                    return;
                }
            }
        })?;
        Ok(Self { halt, worker })
    }

    /// Gives the terminal back. Not to be called where it is gone: a read of it may never end.
    pub fn give_back(self) {
        drop(self.halt);
        // What it died of has been told.
        let _ = self.worker.join();
    }
}

fn translate(event: event::Event) -> Option<Event> {
    match event {
        event::Event::Key(pressed) => key(pressed).map(Event::Key),
        event::Event::Paste(text) => Some(Event::Paste(text)),
        event::Event::Resize(columns, rows) => Some(Event::Resized(columns, rows)),
        event::Event::Mouse(pointed) => mouse(pointed),
        event::Event::FocusGained | event::Event::FocusLost => None,
    }
}

/// Comes only while the mouse was asked for.
fn mouse(event: MouseEvent) -> Option<Event> {
    let meant = [
        (
            MouseEventKind::Down(MouseButton::Left),
            Event::Click(event.column, event.row),
        ),
        (MouseEventKind::ScrollUp, Event::Wheel { up: true }),
        (MouseEventKind::ScrollDown, Event::Wheel { up: false }),
    ];
    let mut meant = meant.into_iter().filter(|(kind, _)| *kind == event.kind);
    meant.next().map(|(_, event)| event)
}

/// One press is one key: some systems report the release too.
fn key(event: KeyEvent) -> Option<Key> {
    if event.kind != KeyEventKind::Press {
        return None;
    }
    let ctrl = event.modifiers.contains(KeyModifiers::CONTROL);
    let alt = event.modifiers.contains(KeyModifiers::ALT);
    let KeyCode::Char(c) = event.code else {
        let named = NAMED.iter().find(|(code, _)| *code == event.code);
        return named.map(|(_, key)| *key);
    };
    match (ctrl, alt) {
        // Ctrl and Alt together are AltGr, which types an ordinary character.
        (false, false) | (true, true) => Some(Key::Char(c)),
        (true, false) => Some(Key::Ctrl(c.to_ascii_lowercase())),
        (false, true) => None,
    }
}

const NAMED: [(KeyCode, Key); 14] = [
    (KeyCode::Enter, Key::Enter),
    (KeyCode::Esc, Key::Esc),
    (KeyCode::Backspace, Key::Backspace),
    (KeyCode::Delete, Key::Delete),
    (KeyCode::Tab, Key::Tab),
    (KeyCode::BackTab, Key::BackTab),
    (KeyCode::Left, Key::Left),
    (KeyCode::Right, Key::Right),
    (KeyCode::Up, Key::Up),
    (KeyCode::Down, Key::Down),
    (KeyCode::PageUp, Key::PageUp),
    (KeyCode::PageDown, Key::PageDown),
    (KeyCode::Home, Key::Home),
    (KeyCode::End, Key::End),
];

#[cfg(test)]
mod tests {
    use super::*;

    fn pressed(code: KeyCode, modifiers: KeyModifiers) -> Option<Key> {
        key(KeyEvent::new(code, modifiers))
    }

    #[test]
    fn a_release_and_a_repeat_are_no_second_press() {
        for kind in [KeyEventKind::Release, KeyEventKind::Repeat] {
            let event = KeyEvent::new_with_kind(KeyCode::Char('l'), KeyModifiers::NONE, kind);
            assert_eq!(key(event), None);
        }
    }

    #[test]
    fn characters_keep_their_case_and_control_has_none() {
        let shifted = pressed(KeyCode::Char('L'), KeyModifiers::SHIFT);
        assert_eq!(shifted, Some(Key::Char('L')));
        let control = pressed(
            KeyCode::Char('Z'),
            KeyModifiers::CONTROL | KeyModifiers::SHIFT,
        );
        assert_eq!(control, Some(Key::Ctrl('z')));
    }

    #[test]
    fn alt_gr_types_and_alt_alone_does_nothing() {
        let alt_gr = KeyModifiers::CONTROL | KeyModifiers::ALT;
        assert_eq!(pressed(KeyCode::Char('@'), alt_gr), Some(Key::Char('@')));
        assert_eq!(pressed(KeyCode::Char('x'), KeyModifiers::ALT), None);
        assert_eq!(pressed(KeyCode::F(1), KeyModifiers::NONE), None);
    }
}
