//! The flags of `rehearse`, and the stories that its help lists.

use std::path::PathBuf;

use clap::Args;

use super::{OnFlags, lessons};
use crate::meter::MeterUri;
use crate::rehearsal::stories;
use crate::session::card::FUSES;

/// Flags of `rehearse`.
#[derive(Debug, Default, Args)]
#[command(after_help = format!("{}\n\n{}", story_list(), lessons::after("rehearse")))]
pub struct Rehearse {
    /// Which car to hunt on [default: late-fall]
    #[arg(long, value_name = "NAME")]
    pub story: Option<String>,
    /// How many times as fast as life [default: the story's own]
    #[arg(long, value_name = "N", value_parser = speed)]
    pub speed: Option<f64>,
    /// The same number gives the same car [default: the story's own]
    #[arg(long, value_name = "N")]
    pub seed: Option<u64>,
    /// Where to record the session [default: a file in the temporary folder]
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// The fuse map; on the board the story has its own.
    #[arg(long, help = FUSES, value_name = "MAP")]
    pub fuses: Option<PathBuf>,
    /// Play the story's own hunt at once, without a screen
    #[arg(long, requires = "out")]
    pub by_itself: bool,
    /// What is run when something happens.
    #[command(flatten)]
    pub on: OnFlags,
}

impl Rehearse {
    /// What a `rehearsal:` URI asks for.
    pub fn asked_by(uri: &MeterUri) -> Option<Self> {
        let MeterUri::Rehearsal { story, speed, seed } = uri else {
            return None;
        };
        Some(Self {
            story: Some(story.clone()).filter(|story| !story.is_empty()),
            speed: Some(*speed),
            seed: *seed,
            ..Self::default()
        })
    }
}

/// Every story with what it is about.
fn story_list() -> String {
    let width = stories::all()
        .map(|story| story.name.len())
        .into_iter()
        .max();
    let width = width.unwrap_or_default();
    let rows = stories::all().map(|story| {
        let hanging = " ".repeat(width + 4);
        let name = format!("  {:width$}  ", story.name);
        let options = textwrap::Options::new(lessons::COLUMNS)
            .initial_indent(&name)
            .subsequent_indent(&hanging);
        textwrap::fill(story.summary, options)
    });
    format!("Stories:\n{}", rows.join("\n"))
}

/// How many times as fast as life.
pub(super) fn speed(text: &str) -> Result<f64, &'static str> {
    text.trim_end_matches(['x', '\u{d7}'])
        .parse()
        .ok()
        .filter(|speed| (0.1..=10_000.0).contains(speed))
        .ok_or("not a speed: expected a number from 0.1 to 10000, as in 20")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_speed_is_within_reason() {
        assert!((speed("20x").unwrap() - 20.0).abs() < 1e-12);
        for text in ["0", "-1", "nan", "inf", "fast", ""] {
            assert!(speed(text).is_err(), "{text:?}");
        }
    }
}
