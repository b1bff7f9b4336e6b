//! The card of the job: a card that was read holds nothing that cannot be, and written as TOML or
//! into a session it is read the same.

use lullboard::journal::header;
use lullboard::session::Session;
use lullboard::session::card::{Card, FIELDS};
use lullboard::session::entry::Header;
use lullboard::shell::card_file;

/// The text of a card file, and the text of each field.
pub fn card(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    match card_file::parse(&text) {
        Ok(card) => {
            let toml = toml::to_string(&card).expect("a card is a table");
            let again = card_file::parse(&toml);
            assert_eq!(again.ok().as_ref(), Some(&card), "{toml}");
            can_be_kept(&card);
        }
        Err(why) => assert!(!why.to_string().is_empty()),
    }
    for field in FIELDS.iter().filter(|field| !field.is_file()) {
        if let Ok(card) = field.read(&text) {
            assert!(
                field
                    .show(&card)
                    .is_some_and(|shown| shown == text || !shown.contains("NaN"))
            );
            can_be_kept(&card);
        }
    }
}

fn can_be_kept(card: &Card) {
    let header = Header {
        card: card.clone(),
        ..header::unknown()
    };
    let mut line = Vec::new();
    header::write(&header, &mut line).expect("a Vec takes all");
    let again = header::read(&line).map(|header| header.card);
    assert_eq!(again.as_ref(), Ok(card));
    let session = Session::new(header);
    assert!(session.out_of_bounds().is_empty(), "{card:?}");
}
