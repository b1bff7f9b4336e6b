//! No hint is longer than the screen has room for.

use super::told::Told;
use crate::judge::finding::{Finding, Manner, Phase};
use crate::rehearsal::hints::MAX_CHARS;
use crate::rehearsal::stories;

/// Every situation of every story, the labels as long as a hand may type them.
#[test]
fn every_hint_is_short_and_plain() {
    let long = "x".repeat(300);
    let mut texts = Vec::new();
    for story in stories::ALL {
        let fuse = story.lesson.tries.last().unwrap();
        let part = story.lesson.part.unwrap_or("head unit");
        let marks = [
            "lock".to_owned(),
            format!(
                "pull {fuse}+{}",
                ["B1", "B2", "B3", "B4", "B5", "B6"].repeat(6).join("+")
            ),
            format!("pull {long}"),
            "pull B8".to_owned(),
            format!("refit {fuse}"),
            format!("unplug {part}"),
            "unplug engine control".to_owned(),
            "swap engine control".to_owned(),
            format!("swap {part}"),
        ];
        for mark in &marks {
            let mut hunt = Told::new(story);
            hunt.mark(20.0, "lock").mark(1300.0, mark);
            for phase in [
                Phase::Awake,
                Phase::Falling,
                Phase::Plateau,
                Phase::Settled,
                Phase::Stirring,
                Phase::Blind,
            ] {
                hunt.at(1400.0, phase);
                for manner in [None, Some(Manner::AtOnce), Some(Manner::Late)] {
                    for finding in [
                        Finding::Clears,
                        Finding::Lowers,
                        Finding::NoChange,
                        Finding::Raises,
                        Finding::CannotTell,
                        Finding::NotYet,
                        Finding::Spoiled,
                    ] {
                        hunt.found(finding, manner);
                        texts.push(hunt.hint().text);
                    }
                }
            }
        }
    }
    texts.sort();
    texts.dedup();
    assert!(texts.len() > 50, "only {} different hints", texts.len());
    for text in texts {
        assert!(text.chars().count() <= MAX_CHARS, "{}: {text}", text.len());
        assert!(!text.contains("  ") && text.ends_with('.'), "{text}");
    }
}
