//! Meter URIs: what one was read to, written, is read to the same.

use lullboard::meter::{Expects, MeterUri};

/// Any text.
pub fn uri(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let uri: MeterUri = match text.parse() {
        Ok(uri) => uri,
        Err(why) => return assert!(!why.to_string().is_empty()),
    };
    let written = uri.to_string();
    assert_eq!(written.parse().as_ref(), Ok(&uri), "{written}");
    assert_eq!(
        written.parse::<MeterUri>().map(|uri| uri.to_string()),
        Ok(written)
    );
    let _ = (uri.speaks(), uri.baud());
    if let Some(wire) = uri.wire() {
        let _ = wire.talker(Expects::Amperes).is_ok();
    }
}
