//! A story's hunt played by itself: the session that a good technician would have recorded.

use chrono::{DateTime, TimeDelta};

use super::car::Car;
use super::story::{Act, Cue, Story};
use crate::reading::Elapsed;
use crate::session::entry::{Entry, Fact, Header, MeterCard};
use crate::session::mark::{Did, Mark, MarkId};

/// 2026-01-10T08:00:00+00:00, the invented morning on which every story is played.
const STARTED_UNIX_S: i64 = 1_768_032_000;

/// Plays the whole hunt of `story`: its header and every entry, in order.
///
/// ```
/// use lullboard::rehearsal::{play, stories};
/// let (header, entries) = play(&stories::FALSE_FLOOR, 7);
/// assert_eq!(header.meter.uri, "rehearsal:false-floor?seed=7");
/// assert_eq!(entries, play(&stories::FALSE_FLOOR, 7).1);
/// ```
#[must_use]
pub fn play(story: &'static Story, seed: u64) -> (Header, Vec<Entry>) {
    let end = Elapsed::from_secs(story.end_s);
    let mut car = Car::new(story, seed);
    let facts = written(story.script);
    let mut coming = facts.iter().peekable();
    let mut entries = Vec::new();
    while car.next_t() <= end {
        while let Some(written) = coming.next_if(|entry| entry.t <= car.next_t()) {
            if let Fact::Mark(mark) = &written.fact
                && !is_struck(mark.id, &facts)
            {
                car.mark(written.t, mark);
            }
            entries.push(written.clone());
        }
        entries.push(Entry::reading(car.next_reading()));
    }
    (header(story, seed), entries)
}

/// How its session begins.
pub(super) fn header(story: &Story, seed: u64) -> Header {
    Header {
        started: (DateTime::UNIX_EPOCH + TimeDelta::seconds(STARTED_UNIX_S)).fixed_offset(),
        card: story.card(),
        meter: MeterCard {
            uri: story.uri(seed),
            format: None,
        },
    }
}

/// What the technician writes into the journal.
fn written(script: &[Cue]) -> Vec<Entry> {
    let mut entries: Vec<Entry> = Vec::new();
    let mut id = 0;
    for cue in script {
        let fact = match cue.act {
            Act::Do(did, what) => Fact::Mark(mark(&mut id, did, what, "")),
            Act::Note(text) => Fact::Mark(mark(&mut id, Did::Note, &[], text)),
            Act::Strike => match last_tried(&entries) {
                Some(struck) => Fact::Strike(struck),
                None => continue,
            },
        };
        let t = Elapsed::from_secs(cue.at_s);
        entries.push(Entry { t, fact });
    }
    entries
}

fn mark(last: &mut u32, did: Did, what: &[&str], text: &str) -> Mark {
    *last += 1;
    Mark {
        id: MarkId(*last),
        did,
        what: what.iter().map(|label| (*label).to_owned()).collect(),
        at: None,
        text: text.to_owned(),
    }
}

fn last_tried(entries: &[Entry]) -> Option<MarkId> {
    let mut marks = entries.iter().rev().filter_map(|entry| {
        if let Fact::Mark(mark) = &entry.fact {
            Some(mark)
        } else {
            None
        }
    });
    marks.find(|mark| mark.did.is_tried()).map(|mark| mark.id)
}

/// Whether the technician finds out that the hand had not moved: then the car knows nothing of it.
fn is_struck(id: MarkId, facts: &[Entry]) -> bool {
    facts.iter().any(|entry| entry.fact == Fact::Strike(id))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rehearsal::stories::FALSE_FLOOR;
    use crate::rehearsal::story::{cue, strike};

    static LOCKED: Story = Story {
        script: &[cue(20.0, Did::Lock, &[])],
        end_s: 400.0,
        ..FALSE_FLOOR
    };
    static MISTAKEN: Story = Story {
        script: &[
            cue(20.0, Did::Lock, &[]),
            cue(100.0, Did::Pull, &["D2"]),
            strike(110.0),
        ],
        ..LOCKED
    };
    static DONE: Story = Story {
        script: &[cue(20.0, Did::Lock, &[]), cue(100.0, Did::Pull, &["D2"])],
        ..LOCKED
    };

    fn readings(story: &'static Story) -> Vec<Entry> {
        let (_, entries) = play(story, 3);
        let is_reading = |entry: &Entry| matches!(entry.fact, Fact::Reading(_));
        entries.into_iter().filter(is_reading).collect()
    }

    #[test]
    fn a_mark_that_is_struck_never_reaches_the_car() {
        assert_eq!(readings(&MISTAKEN), readings(&LOCKED));
        assert_ne!(readings(&DONE), readings(&LOCKED));
        let (_, entries) = play(&MISTAKEN, 3);
        let strike = Fact::Strike(MarkId(2));
        assert_eq!(entries.iter().filter(|e| e.fact == strike).count(), 1);
    }
}
