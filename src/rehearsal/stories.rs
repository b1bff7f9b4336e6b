//! The invented cars, one a file: tables of numbers, no logic. No brand, no real car.
//!
//! Levels and times are of the size that trade sources give for staged sleep (amperes, then
//! hundreds of milliamperes, then 20-30 mA), only faster: a hunt must fit a coffee break.

mod direct_load;
mod kept_awake;
mod quiet;
mod shared;
mod waker;

pub use direct_load::DIRECT_LOAD;
pub use kept_awake::KEPT_AWAKE;
pub use quiet::QUIET;
pub use shared::SHARED;
pub use waker::WAKER;

use super::story::wiring::Surge;
use super::story::{Meter, Noise, Story};
use crate::session::card::Accuracy;

/// Every story, the gentlest first.
pub static ALL: [&Story; 5] = [&QUIET, &DIRECT_LOAD, &KEPT_AWAKE, &SHARED, &WAKER];

/// The story to begin with when the user names none: it shows the most of the job.
pub static DEFAULT: &Story = &KEPT_AWAKE;

/// The story of this name.
#[must_use]
pub fn find(name: &str) -> Option<&'static Story> {
    ALL.into_iter().find(|story| story.name == name)
}

/// A hand-held meter in series on its 10 A range, 1 mA display.
const HAND_METER: Meter = Meter {
    decimals: 3,
    range_a: 10.0,
    accuracy: Accuracy {
        percent: 1.0,
        counts: 3.0,
        amount_a: 0.0,
    },
    period_s: 0.5,
    jitter_s: 0.02,
    noise: Noise {
        white_a: 0.000_6,
        wander_a: 0.000_4,
        wander_s: 2.0,
        share: 0.006,
    },
};

/// Four door latches at once: beyond the meter's range for a reading or two.
const LATCHES: Surge = Surge {
    a: 14.0,
    for_s: 0.8,
};

/// A control unit charging its capacitors.
const BOOT: Surge = Surge { a: 1.6, for_s: 1.2 };

/// The start-up of a small one.
const SMALL_BOOT: Surge = Surge { a: 0.5, for_s: 0.8 };

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::mark::Did;

    #[test]
    fn names_are_found_and_differ() {
        for story in ALL {
            assert_eq!(find(story.name).map(|found| found.name), Some(story.name));
        }
        assert!(find("no-such").is_none());
        assert_eq!(find(DEFAULT.name).map(|s| s.name), Some("kept-awake"));
    }

    #[test]
    fn everything_a_story_names_is_in_its_car() {
        for story in ALL {
            let fuses: Vec<&str> = story.fuses.iter().map(|slot| slot.label).collect();
            assert!((8..=12).contains(&fuses.len()), "{}", story.name);
            let parts = story.parts();
            let fed_by = story
                .modules
                .iter()
                .map(|module| module.fed_by)
                .chain(story.keepers.iter().map(|keeper| keeper.fed_by))
                .chain(story.wakers.iter().map(|waker| waker.fed_by))
                .chain(story.loads.iter().flat_map(|l| l.draws).map(|d| d.fed_by));
            for fuse in fed_by.flatten() {
                assert!(fuses.contains(fuse), "{}: {fuse}", story.name);
            }
            for cue in story.script {
                for label in cue.what {
                    assert!(story.known(label).is_some(), "{}: {label}", story.name);
                }
            }
            let lesson = story.lesson;
            assert!(!lesson.tries.is_empty());
            for fuse in lesson.tries {
                assert!(fuses.contains(fuse), "{}: {fuse}", story.name);
            }
            assert!(lesson.culprits.iter().all(|c| lesson.tries.contains(c)));
            assert!(lesson.part.is_none_or(|part| parts.contains(&part)));
            assert_eq!(lesson.part.is_none(), lesson.culprits.is_empty());
            for load in story.loads {
                assert!(load.parts.contains(&load.faulty), "{}", story.name);
            }
        }
    }

    #[test]
    fn sleep_goes_down_in_stages_within_six_to_twelve_minutes() {
        for story in ALL {
            let mut last_s = 0.0_f64;
            for module in story.modules {
                let mut before = (0.0, module.awake_a);
                for stage in module.stages {
                    assert!(stage.after_s > before.0 && stage.level_a < before.1);
                    before = (stage.after_s, stage.level_a);
                }
                last_s = last_s.max(before.0);
            }
            assert!((360.0..=720.0).contains(&last_s), "{} {last_s}", story.name);
        }
    }

    #[test]
    fn a_script_locks_early_and_stays_in_order_and_short() {
        for story in ALL {
            let cues = story.script;
            assert!(cues.windows(2).all(|pair| pair[0].at_s < pair[1].at_s));
            let lock = cues.iter().find(|cue| cue.did == Did::Lock).unwrap();
            assert!((lock.at_s - 20.0).abs() < 1e-9, "{}", story.name);
            assert!(cues.last().unwrap().at_s < story.end_s);
            // At the default speed a hunt lasts under five minutes of real time.
            assert!(story.end_s / story.speed < 300.0, "{}", story.name);
        }
    }
}
