//! The judge: whatever was recorded, a judgement holds no number that is none, names nobody who is
//! not in the record, is the same from memory as from nothing, and can be handed over.

use lullboard::journal::header;
use lullboard::judge::memory::Memory;
use lullboard::judge::{Judgement, again, judge, live};
use lullboard::reading::sanitize::is_harmful;
use lullboard::report::{json, text};
use lullboard::session::Session;
use lullboard::session::entry::Header;

use super::dice::Dice;
use super::journal::recovered;
use super::story::{Story, card};

/// A session's file, its bytes changed.
pub fn file(bytes: &[u8]) {
    let Some(found) = recovered(bytes, 4096) else {
        return;
    };
    let mut session = Session::new(found.header);
    for entry in &found.entries {
        session.apply(entry);
    }
    // A label may spell what a number must not be.
    let is_spelled = |word: &[u8]| bytes.windows(word.len()).any(|window| window == word);
    holds(
        &session,
        !is_spelled(b"NaN") && !is_spelled(b"inf") && !is_spelled(b"\\u"),
    );
}

/// A story, judged on the way as the board does, and at its end.
pub fn script(bytes: &[u8]) {
    let mut dice = Dice::new(bytes);
    let mut session = Session::new(Header {
        card: card(&mut dice),
        ..header::unknown()
    });
    let mut story = Story::default();
    let mut memory = Memory::default();
    for turn in 0..48 {
        if dice.is_empty() {
            break;
        }
        for entry in story.next(&mut dice) {
            session.apply(&entry);
        }
        if turn % 3 == 2 {
            let _ = again(&session, &mut memory);
        }
    }
    assert_eq!(again(&session, &mut memory), live(&session), "memory");
    holds(&session, true);
}

fn holds(session: &Session, are_labels_plain: bool) {
    let judged = judge(session);
    if are_labels_plain {
        has_numbers_only(&judged);
    }
    for trial in &judged.trials {
        let mut whats = session.all_marks().iter().map(|placed| &placed.mark.what);
        assert!(whats.any(|what| *what == trial.what), "{:?}", trial.what);
        for deed in &trial.with {
            let mut whats = session.all_marks().iter().map(|placed| &placed.mark.what);
            let named = |what: &Vec<String>| what.contains(deed) || what.join("+") == *deed;
            assert!(whats.any(named), "{deed:?} is in no mark");
        }
        let marks = &mut session.marks();
        assert!(
            marks.any(|placed| placed.mark.id == trial.mark),
            "{:?}",
            trial.mark
        );
    }
    for share in &judged.ledger {
        assert!(
            share.level.a.is_finite() && share.level.u_a >= 0.0,
            "{share:?}"
        );
    }
    let mut document = Vec::new();
    json::write(&judged, &mut document).expect("a Vec takes all");
    let document = String::from_utf8(document).expect("JSON is text");
    assert!(
        !document.contains(|c| c != '\n' && is_harmful(c)),
        "{document:?}"
    );
    let value: serde_json::Value = serde_json::from_str(&document).expect("it is JSON");
    assert_eq!(value["verdict"], judged.verdict.word());
    let mut lines = Vec::new();
    text::write(session, &judged, &mut lines).expect("a Vec takes all");
    let lines = String::from_utf8(lines).expect("lines are text");
    assert!(!lines.contains(|c| c != '\n' && is_harmful(c)), "{lines:?}");
    if are_labels_plain {
        assert!(!lines.contains("NaN"), "{lines}");
    }
}

/// No field of it, however deep, is infinite or not a number.
fn has_numbers_only(judged: &Judgement) {
    let told = format!("{judged:?}");
    let none = told
        .split(|c: char| !c.is_ascii_alphanumeric())
        .find(|word| ["NaN", "inf"].contains(word));
    if let Some(word) = none {
        let at = told.find(word).unwrap_or_default();
        let around = told.get(at.saturating_sub(300)..at + 40).unwrap_or(&told);
        panic!("{word} in ...{around}...");
    }
}
