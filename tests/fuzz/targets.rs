//! What must be true of any input, one function a target. `tests/fuzz.rs` replays the corpus through
//! them, the bins of this folder let libFuzzer make inputs up:
//! `cargo +nightly fuzz run TARGET --fuzz-dir tests/fuzz`.
//!
//! An input that was a fault is kept, made small, in `corpus/TARGET/` under a name that says what it
//! was.

#[path = "targets/board.rs"]
mod board;
#[path = "targets/card.rs"]
mod card;
#[path = "targets/conversations.rs"]
mod conversations;
#[path = "targets/csv_log.rs"]
mod csv_log;
#[path = "targets/decoders.rs"]
mod decoders;
#[path = "targets/dice.rs"]
mod dice;
#[path = "targets/fuse_map.rs"]
mod fuse_map;
#[path = "targets/journal.rs"]
mod journal;
#[path = "targets/judge.rs"]
mod judge;
#[path = "targets/marks.rs"]
mod marks;
#[path = "targets/numbers.rs"]
mod numbers;
#[path = "targets/prompts.rs"]
mod prompts;
#[path = "targets/settings.rs"]
mod settings;
#[path = "targets/story.rs"]
mod story;
#[path = "targets/uri.rs"]
mod uri;

use lullboard::meter::Handheld;

/// One target.
pub type Target = fn(&[u8]);

/// Every target, by the name of its bin and of its folder in the corpus.
pub const TARGETS: [(&str, Target); 22] = [
    ("lcd14", |bytes| decoders::handheld(Handheld::Lcd14, bytes)),
    ("fs9922", |bytes| {
        decoders::handheld(Handheld::Fs9922, bytes);
    }),
    ("es51922", |bytes| {
        decoders::handheld(Handheld::Es51922, bytes);
    }),
    ("es11", |bytes| decoders::handheld(Handheld::Es11, bytes)),
    ("ascii14", |bytes| {
        decoders::handheld(Handheld::Ascii14, bytes);
    }),
    ("stx16", |bytes| decoders::handheld(Handheld::Stx16, bytes)),
    ("text", decoders::text),
    ("unnamed", decoders::unnamed),
    ("scpi", conversations::scpi),
    ("modbus", conversations::modbus),
    ("journal", journal::journal),
    ("csv", csv_log::csv_log),
    ("uri", uri::uri),
    ("marks", marks::marks),
    ("card", card::card),
    ("settings", settings::settings),
    ("fuse_map", fuse_map::fuse_map),
    ("numbers", numbers::numbers),
    ("prompts", prompts::prompts),
    ("board", board::board),
    ("judge_file", judge::file),
    ("judge_script", judge::script),
];

/// Runs the target of this name.
///
/// # Panics
/// Where the target finds a fault, and where there is no such target.
pub fn run(name: &str, bytes: &[u8]) {
    let target = TARGETS.iter().find(|(known, _)| *known == name);
    target.expect("a target of this name").1(bytes);
}
