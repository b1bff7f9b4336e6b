//! No hint is longer than the screen has room for.

use super::told::Told;
use crate::judge::finding::{Finding, Manner, Phase};
use crate::rehearsal::hints::lines;
use crate::rehearsal::stories;
use crate::session::Did;

/// Every situation of every story, the labels as long as a hand may type them.
#[test]
fn every_hint_is_short_and_plain() {
    let long = "x".repeat(300);
    let mut texts = Vec::new();
    for story in stories::all() {
        let fuse = story.lesson.tries.last().unwrap();
        let part = story.lesson.parts.last().unwrap_or(&"amplifier");
        let all: Vec<&str> = story.fuses.iter().map(|slot| slot.label).collect();
        let marks = [
            "lock".to_owned(),
            format!("pull {fuse}+{}", all.repeat(4).join("+")),
            format!("pull {long}"),
            format!("pull {}", all.last().unwrap()),
            format!("refit {fuse}"),
            format!("unplug {part}"),
            "unplug engine control".to_owned(),
            "swap engine control".to_owned(),
            format!("swap {part}"),
        ];
        for (mark, n) in marks.iter().flat_map(|mark| (0..4).map(move |n| (mark, n))) {
            let (was_found, open) = (n % 2 == 1, n / 2 == 1);
            let mut hunt = Told::new(story);
            hunt.mark(20.0, "lock");
            for culprit in story.lesson.culprits.iter().filter(|_| was_found) {
                hunt.mark(1000.0, &format!("pull {culprit}"))
                    .found(Finding::Clears, Some(Manner::AtOnce))
                    .mark(1100.0, &format!("refit {culprit}"));
            }
            if open {
                hunt.mark(1250.0, "unlock");
            }
            hunt.mark(1300.0, mark);
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
                        hunt.judgement.plan = None;
                        texts.push(hunt.hint().text);
                        // What the plan says shows only where nothing has to be waited for.
                        if !matches!(phase, Phase::Settled | Phase::Plateau) {
                            continue;
                        }
                        for did in [Did::Pull, Did::Refit, Did::Unplug, Did::Swap] {
                            hunt.planned(did, &[part, &long]);
                            texts.push(hunt.hint().text);
                            hunt.planned(did, &[part]);
                            texts.push(hunt.hint().text);
                        }
                    }
                }
            }
        }
    }
    texts.sort();
    texts.dedup();
    assert!(texts.len() > 50, "only {} different hints", texts.len());
    for text in texts {
        assert!(text.chars().count() <= 160, "{}: {text}", text.len());
        assert!(lines::fits(&text), "{text}");
        assert!(!text.contains("  ") && text.ends_with(['.', '?']), "{text}");
    }
}
