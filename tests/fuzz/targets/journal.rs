//! The session file: any bytes are read without loss of a good line, and what was read, written anew,
//! is read the same.

use std::io::BufReader;

use lullboard::journal::recover::{Damage, Found, Reader};
use lullboard::journal::seal::{self, Chain};
use lullboard::journal::{header, line};
use lullboard::reading::Elapsed;
use lullboard::reading::sanitize::is_harmful;
use lullboard::session::entry::{Entry, Fact, Header};

/// What was read of a file.
#[derive(Debug, PartialEq)]
pub struct Recovered {
    pub header: Header,
    pub entries: Vec<Entry>,
    pub damage: Vec<Damage>,
    pub torn: bool,
}

/// Reads a file through a buffer of this size; `None` where it is no session.
pub fn recovered(bytes: &[u8], buffer: usize) -> Option<Recovered> {
    let mut reader = match Reader::new(BufReader::with_capacity(buffer, bytes)) {
        Ok(reader) => reader,
        Err(why) => {
            calm(&why.to_string());
            return None;
        }
    };
    let header = reader.header().clone();
    let (mut entries, mut damage) = (Vec::new(), Vec::new());
    for found in reader.by_ref() {
        match found.expect("bytes in memory can be read") {
            Found::Entry(entry) => entries.push(entry),
            Found::Damage(one) => damage.push(one),
        }
    }
    let torn = reader.is_torn();
    Some(Recovered {
        header,
        entries,
        damage,
        torn,
    })
}

/// What is said of a file is one line that does nothing to a terminal.
pub fn calm(words: &str) {
    assert!(
        !words.is_empty() && !words.contains(is_harmful),
        "{words:?}"
    );
}

/// The file that holds these.
fn written(header: &Header, entries: &[Entry]) -> Vec<u8> {
    let mut bytes = Vec::new();
    header::write(header, &mut bytes).expect("a Vec takes all");
    for entry in entries {
        line::write(entry, &mut bytes).expect("a Vec takes all");
    }
    bytes
}

/// Any bytes, and the same bytes behind a good header.
pub fn journal(bytes: &[u8]) {
    let mut file = Vec::new();
    header::write(&header::unknown(), &mut file).expect("a Vec takes all");
    file.extend(bytes);
    for bytes in [bytes, &file] {
        if let Some(found) = recovered(bytes, 4096) {
            assert_eq!(recovered(bytes, 7).as_ref(), Some(&found), "cut otherwise");
            read_again(bytes, &found);
        }
        if let Ok(report) = seal::check(bytes) {
            calm(&report.to_string());
        }
    }
}

fn read_again(bytes: &[u8], found: &Recovered) {
    let lines = bytes.split(|byte| *byte == b'\n').count();
    assert!(found.entries.len() + found.damage.len() <= lines);
    for pair in found.damage.windows(2) {
        assert!(pair[0].line < pair[1].line, "{pair:?}");
    }
    for damage in &found.damage {
        calm(&damage.to_string());
    }
    let once = written(&found.header, &found.entries);
    let again = recovered(&once, 64).expect("what this program wrote is a session");
    assert!(again.damage.is_empty() && !again.torn, "{again:?}");
    // A stamp of the wall clock is kept to the millisecond, all else to the letter.
    assert_eq!(written(&again.header, &again.entries), once);
    assert_eq!(again.entries.len(), found.entries.len());
    for (one, other) in found.entries.iter().zip(&again.entries) {
        if !matches!(one.fact, Fact::Resumed(_)) {
            assert_eq!(one, other);
        }
    }
    assert_eq!(again.header.card, found.header.card);
    assert_eq!(again.header.meter, found.header.meter);
    // A seal written into the file may not fit what stands before it: only without one must the
    // whole be whole.
    if !found
        .entries
        .iter()
        .any(|entry| matches!(entry.fact, Fact::Seal(_)))
    {
        sealed(once);
    }
}

/// A seal behind the bytes holds, and no longer once a byte is another.
fn sealed(mut bytes: Vec<u8>) {
    let mut chain = Chain::default();
    chain.update(&bytes);
    let fact = Fact::Seal(chain.seal());
    let t = Elapsed::ZERO;
    line::write(&Entry { t, fact }, &mut bytes).expect("a Vec takes all");
    assert!(seal::check(&bytes[..]).is_ok_and(|report| report.is_whole()));
    if let Some(byte) = bytes.get_mut(30) {
        *byte ^= 1;
        assert!(!seal::check(&bytes[..]).is_ok_and(|report| report.is_whole()));
    }
}
