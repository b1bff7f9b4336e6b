//! The two questions that a user may have sent where nothing is heard: what goes out, what it may
//! do to whatever is there, and whether an answer is one. Modbus has no such question, because its
//! register must be known.

use std::str::FromStr;

use super::{Handheld, Heard};
use crate::reading::named::named;

/// One named question.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Query {
    /// The letter that makes `ascii14` handhelds send one message.
    Letter,
    /// What a bench meter is, by IEEE 488.2.
    Identity,
}

named!(Query { Letter = "D", Identity = "idn" });

/// What is known of a question.
#[derive(Clone, Copy, Debug)]
pub struct QueryFacts {
    /// What goes out, after an empty line where `clears_line`; nothing else does.
    pub bytes: &'static [u8],
    /// Whether an empty line goes first, which ends what others left in the instrument's input.
    pub clears_line: bool,
    /// The usual speed on a serial port, in bits a second.
    pub baud: u32,
    /// What is sent, in words.
    pub in_words: &'static str,
    /// What it may do. Letters that are keys, one of them power off, are in the manuals of some
    /// instruments; that any byte may switch the data output off, in a handheld's.
    pub caution: &'static str,
    /// What else there is to try when nothing came.
    pub when_silent: &'static str,
}

/// A word that names no question.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("'{0}' is no query: expected D (handhelds that send when asked) or idn (bench meters)")]
pub struct QueryError(pub String);

/// What an answer says.
#[derive(Clone, Debug, PartialEq)]
pub enum Reply {
    /// What the handheld's display shows.
    Display(Heard),
    /// What the instrument calls itself.
    Name(String),
}

impl Query {
    /// What it sends and what that may do.
    pub const fn facts(self) -> QueryFacts {
        match self {
            Self::Letter => QueryFacts {
                // `D` with its first stop bit in bit 7, as it must leave a port opened 8N1.
                bytes: b"\xc4",
                clears_line: false,
                baud: Handheld::Ascii14.baud(),
                in_words: "the letter D once (byte C4)",
                caution: "CAUTION: on some instruments a letter is a key press: HOLD, another \
                          range, power off, or the end of the data output. Look at the display \
                          afterwards.",
                when_silent: "is the meter on, is this its port? Some cables want RTS on, some \
                              meters are faster: \"serial:PORT?rts=on&baud=2400\"",
            },
            Self::Identity => QueryFacts {
                bytes: b"*IDN?\n",
                clears_line: true,
                baud: 9600,
                in_words: "an empty line and *IDN? once",
                caution: "CAUTION: this is for bench meters. On some instruments its letters are \
                          key presses, and a printer or a board on this port may obey it too. \
                          Look at the display afterwards.",
                when_silent: "is the instrument on, and its remote interface? It may be set to \
                              another speed: \"serial:PORT?baud=115200\" or 19200",
            },
        }
    }

    /// What the answer says; `None` when it is none to this question.
    pub fn reply(self, bytes: &[u8]) -> Option<Reply> {
        match self {
            Self::Letter => display(bytes).map(Reply::Display),
            Self::Identity => name(bytes).map(Reply::Name),
        }
    }
}

impl FromStr for Query {
    type Err = QueryError;

    fn from_str(text: &str) -> Result<Self, QueryError> {
        Self::named(text).ok_or_else(|| QueryError(text.to_owned()))
    }
}

fn display(bytes: &[u8]) -> Option<Heard> {
    let mut heard = Vec::new();
    Handheld::Ascii14.decoder().feed(bytes, &mut heard);
    heard.into_iter().find(Heard::is_message)
}

/// A whole line of maker, model, serial number and firmware, as IEEE 488.2 wants it (from memory);
/// an echo of the question has no commas.
fn name(bytes: &[u8]) -> Option<String> {
    let whole = bytes.iter().rposition(|&byte| byte == b'\n')?;
    bytes
        .get(..whole)?
        .split(|&byte| byte == b'\n')
        .filter(|line| line.iter().all(|byte| matches!(byte, b' '..=b'~' | b'\r')))
        .map(|line| String::from_utf8_lossy(line).trim().to_owned())
        .find(|line| {
            let fields: Vec<&str> = line.split(',').collect();
            fields.len() == 4 && fields.iter().take(2).all(|field| !field.trim().is_empty())
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::{Amps, Measured};

    #[test]
    fn a_query_is_named_to_the_letter() {
        assert_eq!("D".parse(), Ok(Query::Letter));
        assert_eq!("idn".parse(), Ok(Query::Identity));
        for text in ["d", "E", "P", "*RST", ""] {
            assert_eq!(text.parse::<Query>(), Err(QueryError(text.into())));
        }
    }

    /// Vector `m14-mA-neg`.
    #[test]
    fn only_a_whole_message_answers_the_letter() {
        let value = Measured::Amps(Amps::parse("-0.01234").unwrap());
        let reply = Query::Letter.reply(b"\r\0DC  -12.34  mA\r");
        assert_eq!(reply, None, "fifteen characters");
        let reply = Query::Letter.reply(b"\0DC -12.34  mA\r");
        assert_eq!(reply, Some(Reply::Display(Heard::Value(value))));
        assert_eq!(Query::Letter.reply(b"DC -12.34  m"), None);
        assert_eq!(Query::Letter.reply(b"ok\r\n"), None);
    }

    #[test]
    fn only_four_fields_in_a_whole_line_are_a_name() {
        let name = |bytes: &[u8]| Query::Identity.reply(bytes);
        let known = Reply::Name("BENCH,DMM-1,0,1.02".into());
        assert_eq!(name(b"BENCH,DMM-1,0,1.02\n"), Some(known.clone()));
        assert_eq!(name(b"*IDN?\r\nBENCH,DMM-1,0,1.02\r\n"), Some(known));
        for bytes in [
            b"BENCH,DMM-1,0,1.02".as_slice(),
            b"*IDN?\n",
            b",,,\n",
            b"1,2,3\n",
            b"\x80A,B,C,D\n",
        ] {
            assert_eq!(name(bytes), None, "{}", bytes.escape_ascii());
        }
    }
}
