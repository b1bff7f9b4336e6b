//! Reads a source whose format nobody named: as text lines, until a handheld's format is
//! recognised in the same bytes.

use super::{Listener, Setting};
use crate::meter::text::{TextDecoder, TextOptions};
use crate::meter::{Decoder, Format, Heard};

/// Listens first.
///
/// Lines are read from the first one on, so that a slow logger loses nothing; the few messages by
/// which another format is recognised are not told.
#[derive(Default)]
pub struct UnnamedDecoder(UnnamedState);

enum UnnamedState {
    Listening {
        listener: Box<Listener>,
        text: TextDecoder,
    },
    Found(Box<dyn Decoder>),
}

impl Default for UnnamedState {
    fn default() -> Self {
        Self::Listening {
            listener: Box::default(),
            text: TextDecoder::new(TextOptions::default()),
        }
    }
}

impl UnnamedDecoder {
    fn push(&mut self, byte: u8, heard: &mut Vec<Heard>) {
        let (listener, text) = match &mut self.0 {
            UnnamedState::Found(decoder) => return decoder.feed(&[byte], heard),
            UnnamedState::Listening { listener, text } => (listener, text),
        };
        let recognised = listener.feed(Setting::NO_SPEED, &[byte]);
        let mut said = Vec::new();
        text.feed(&[byte], &mut said);
        // Messages that a handheld's format understands are no lines.
        if !listener.hears_a_handheld() {
            heard.append(&mut said);
        }
        match recognised.map(|recognised| recognised.format) {
            None => {}
            Some(Format::Text) => {
                let text = std::mem::replace(text, TextDecoder::new(TextOptions::default()));
                self.0 = UnnamedState::Found(Box::new(text));
            }
            Some(Format::Handheld(kind)) => self.0 = UnnamedState::Found(kind.decoder()),
        }
    }
}

impl Decoder for UnnamedDecoder {
    fn feed(&mut self, bytes: &[u8], heard: &mut Vec<Heard>) {
        for &byte in bytes {
            self.push(byte, heard);
        }
    }

    /// What was recognised stays: the meter that comes back is the same one.
    fn reset(&mut self) {
        match &mut self.0 {
            UnnamedState::Found(decoder) => decoder.reset(),
            UnnamedState::Listening { listener, text } => {
                **listener = Listener::default();
                text.reset();
            }
        }
    }

    fn join_midway(&mut self) {
        match &mut self.0 {
            UnnamedState::Found(decoder) => decoder.join_midway(),
            UnnamedState::Listening { text, .. } => text.join_midway(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::{Amps, Measured};

    fn amps(text: &str) -> Heard {
        Heard::Value(Measured::Amps(Amps::parse(text).unwrap()))
    }

    #[test]
    fn lines_are_read_from_the_first_one_on() {
        let mut decoder = UnnamedDecoder::default();
        let mut heard = Vec::new();
        decoder.feed(b"12.340 mA\n", &mut heard);
        assert_eq!(heard, [amps("0.012340")]);
        decoder.feed(&b"12.340 mA\n".repeat(9), &mut heard);
        assert_eq!(heard.len(), 10);
    }

    #[test]
    fn a_handheld_is_read_once_it_is_recognised_and_never_as_lines() {
        for (message, value) in [
            (b"0012340000:0\r\n".as_slice(), "1.234"),
            (b"+1234 21\0\x40\x40\x0c\r\n", "0.01234"),
            (b"\x024137020000\x31234\r", "0.01234"),
        ] {
            let mut decoder = UnnamedDecoder::default();
            let mut heard = Vec::new();
            decoder.feed(&message.repeat(3), &mut heard);
            let no_line = |heard: &Heard| matches!(heard, Heard::Rejected(_));
            assert!(heard.iter().all(no_line), "{heard:?}");
            heard.clear();
            decoder.feed(message, &mut heard);
            assert_eq!(heard, [amps(value)]);
            decoder.reset();
            heard.clear();
            decoder.feed(message, &mut heard);
            assert_eq!(heard, [amps(value)], "still the same meter");
        }
    }

    /// As a line the second would be 9008 A.
    #[test]
    fn a_message_whose_kind_only_a_speed_could_tell_is_never_read_as_a_line() {
        for message in [b"01234900:\r\n", b"000009008\r\n"] {
            let mut decoder = UnnamedDecoder::default();
            let mut heard = Vec::new();
            decoder.feed(&message.repeat(20), &mut heard);
            assert_eq!(heard, []);
            decoder.feed(b"12 mA\n", &mut heard);
            assert_eq!(heard.last(), Some(&amps("0.012")));
        }
    }
}
