//! A story's hunt played by itself: the session that a good technician would have recorded.

use chrono::{DateTime, TimeDelta};

use super::car::Car;
use super::story::{Cue, Story};
use crate::reading::Elapsed;
use crate::session::entry::{Entry, Fact, Header, MeterCard};
use crate::session::mark::{Mark, MarkId};

/// 2026-01-10T08:00:00+00:00, the invented morning on which every story is played.
const STARTED_UNIX_S: i64 = 1_768_032_000;

/// Plays the whole hunt of `story`: its header and every entry, in order.
///
/// ```
/// use lullboard::rehearsal::{play, stories};
/// let (header, entries) = play(&stories::QUIET, 7);
/// assert_eq!(header.meter.uri, "rehearsal:quiet?seed=7");
/// assert_eq!(entries, play(&stories::QUIET, 7).1);
/// ```
#[must_use]
pub fn play(story: &'static Story, seed: u64) -> (Header, Vec<Entry>) {
    let header = Header {
        started: (DateTime::UNIX_EPOCH + TimeDelta::seconds(STARTED_UNIX_S)).fixed_offset(),
        card: story.card(),
        meter: MeterCard {
            uri: story.uri(seed),
            format: None,
        },
    };
    let end = Elapsed::from_secs(story.end_s);
    let mut car = Car::new(story, seed);
    let mut marks = story.script.iter().zip(1..).map(marked).peekable();
    let mut entries = Vec::new();
    while car.next_t() <= end {
        while let Some((t, mark)) = marks.next_if(|(t, _)| *t <= car.next_t()) {
            car.mark(t, &mark);
            entries.push(Entry {
                t,
                fact: Fact::Mark(mark),
            });
        }
        entries.push(Entry::reading(car.next_reading()));
    }
    (header, entries)
}

fn marked((cue, id): (&Cue, u32)) -> (Elapsed, Mark) {
    let mark = Mark {
        id: MarkId(id),
        did: cue.did,
        what: cue.what.iter().map(|label| (*label).to_owned()).collect(),
        at: None,
        text: cue.text.to_owned(),
    };
    (Elapsed::from_secs(cue.at_s), mark)
}
