//! The tables hold together: what a story names is in its car, and its times fit a coffee break.

use super::*;
use crate::rehearsal::story::wiring::Module;
use crate::rehearsal::story::{Act, Cue};
use crate::session::Did;

#[test]
fn names_are_found_and_differ() {
    for story in all() {
        assert_eq!(find(story.name).map(|found| found.name), Some(story.name));
    }
    assert!(find("no-such").is_none());
    assert_eq!(find(DEFAULT.name).map(|s| s.name), Some("late-fall"));
}

#[test]
fn everything_a_story_names_is_in_its_car() {
    for story in all() {
        let fuses: Vec<&str> = story.fuses.iter().map(|slot| slot.label).collect();
        assert!((8..=12).contains(&fuses.len()), "{}", story.name);
        let parts = story.parts();
        let sleepers = story.modules.iter().map(|module| module.name);
        let keepers = story.keepers.iter().map(|keeper| keeper.part);
        let wakers = story.wakers.iter().map(|waker| waker.part);
        for part in sleepers.chain(keepers).chain(wakers) {
            assert!(story.feeding(part).count() > 0, "{}: {part}", story.name);
        }
        for (fuse, _) in story.loads.iter().flat_map(|load| &load.draws) {
            assert!(fuses.contains(fuse), "{}: {fuse}", story.name);
        }
        for cue in &story.script {
            let Act::Mark(mark) = &cue.act else { continue };
            for label in &mark.what {
                assert!(story.known(label).is_some(), "{}: {label}", story.name);
            }
        }
        let lesson = &story.lesson;
        assert!(!lesson.tries.is_empty());
        for fuse in &lesson.tries {
            assert!(fuses.contains(fuse), "{}: {fuse}", story.name);
        }
        assert!(lesson.culprits.iter().all(|c| lesson.tries.contains(c)));
        assert!(lesson.parts.iter().all(|part| parts.contains(part)));
        assert_eq!(lesson.parts.is_empty(), lesson.culprits.is_empty());
        for load in &story.loads {
            assert!(load.parts.contains(&load.faulty), "{}", story.name);
        }
    }
}

#[test]
fn sleep_goes_down_in_stages_within_six_to_twenty_minutes() {
    for story in all() {
        let mut last_s = 0.0_f64;
        for module in &story.modules {
            let mut before = (0.0, module.awake_a);
            for stage in &module.stages {
                assert!(stage.after_s > before.0 && stage.level_a < before.1);
                before = (stage.after_s, stage.level_a);
            }
            last_s = last_s.max(before.0);
        }
        assert!(
            (360.0..=1200.0).contains(&last_s),
            "{} {last_s}",
            story.name
        );
    }
}

#[test]
fn a_script_locks_early_and_stays_in_order_and_short() {
    for story in all() {
        let cues = &story.script;
        assert!(cues.windows(2).all(|pair| pair[0].at_s < pair[1].at_s));
        let is_lock = |cue: &&Cue| matches!(&cue.act, Act::Mark(mark) if mark.did == Did::Lock);
        let lock = cues.iter().find(is_lock).unwrap();
        assert!((lock.at_s - 20.0).abs() < 1e-9, "{}", story.name);
        assert!(cues.last().unwrap().at_s < story.end_s);
        // At the default speed a hunt lasts under five minutes of real time.
        assert!(story.end_s / story.speed < 300.0, "{}", story.name);
    }
}

/// Each car walks its own way down: the levels at which a car stands still belong to one story.
#[test]
fn no_two_cars_have_a_stage_in_common() {
    let levels = |story: &Story| -> Vec<f64> {
        let stages = story.modules.iter().flat_map(|module| &module.stages);
        stages.map(|stage| stage.level_a).collect()
    };
    for (n, story) in all().into_iter().enumerate() {
        let fallen_s: f64 = story
            .modules
            .iter()
            .filter_map(|module| module.stages.last())
            .map(|stage| stage.after_s)
            .fold(0.0, f64::max);
        for other in all().into_iter().skip(n + 1) {
            let last = |module: &Module| module.stages.last().map(|stage| stage.after_s);
            let others = other.modules.iter().filter_map(last);
            assert!(others.fold(0.0, f64::max).to_bits() != fallen_s.to_bits());
            let theirs = levels(other);
            let shared = levels(story)
                .into_iter()
                .filter(|level| *level > 0.01 && theirs.contains(level))
                .count();
            assert_eq!(shared, 0, "{} and {}", story.name, other.name);
        }
    }
}

#[test]
fn every_box_has_its_own_positions_and_every_story_two_boxes_or_three() {
    for story in all() {
        let mut boxes: Vec<String> = Vec::new();
        for circuit in story.map() {
            let position: u32 = circuit.position.parse().unwrap();
            let last = match circuit.in_box.as_str() {
                "E" => 24,
                "L" => 18,
                "D" => 12,
                other => panic!("{}: no box {other}", story.name),
            };
            assert!((1..=last).contains(&position), "{}", circuit.label);
            boxes.push(circuit.in_box);
        }
        boxes.sort();
        boxes.dedup();
        assert!((2..=3).contains(&boxes.len()), "{}", story.name);
    }
}

#[test]
fn a_car_answers_to_what_its_lid_says_however_it_is_spelled() {
    assert_eq!(TWO_BOXES.known(" e17 "), Some("E17"));
    assert_eq!(TWO_BOXES.known("Amplifier supply 2"), Some("amplifier"));
    assert_eq!(TWO_BOXES.known("AMPLIFIER"), Some("amplifier"));
    assert_eq!(TWO_BOXES.known("washer pump"), Some("washer pump"));
    assert_eq!(TWO_BOXES.known("amplifier supply 2+"), None);
    assert_eq!(TWO_BOXES.known("E18"), None);
    assert_eq!(TWO_BOXES.known(""), None);
}
