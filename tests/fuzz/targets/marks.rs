//! Marks as a cell holds them: what one was read to, written, is read to the same.

use lullboard::journal::line;
use lullboard::reading::Elapsed;
use lullboard::session::entry::{Entry, Fact};
use lullboard::session::mark::{Mark, MarkId, labels, parse_mark};

/// Any text, and the same behind each of the verbs that need a name.
pub fn marks(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    for verb in ["", "pull ", "run ", "leave out ", "note "] {
        if let Ok(mark) = parse_mark(MarkId(7), &format!("{verb}{text}")) {
            reads_back(&mark);
        }
    }
    let names = labels(&text);
    assert_eq!(labels(&names.join("+")), names);
}

/// The mark out of its cell, and out of a line of the journal.
pub fn reads_back(mark: &Mark) {
    let cell = mark.to_string();
    assert_eq!(parse_mark(mark.id, &cell).as_ref(), Ok(mark), "{cell:?}");
    let entry = Entry {
        t: Elapsed::ZERO,
        fact: Fact::Mark(Box::new(mark.clone())),
    };
    let mut written = Vec::new();
    line::write(&entry, &mut written).expect("a Vec takes all");
    assert_eq!(line::read(&written), Ok(entry));
}
