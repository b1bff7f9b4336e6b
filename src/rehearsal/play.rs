//! A story's hunt played by itself: the session that a good technician would have recorded.

use chrono::{DateTime, TimeDelta};

use super::car::Car;
use super::story::{Act, Cue, Story};
use crate::reading::Elapsed;
use crate::session::{Entry, Fact, Header, Mark, MarkId, MeterCard};

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
pub fn play(story: &'static Story, seed: u64) -> (Header, Vec<Entry>) {
    let end = Elapsed::from_secs(story.end_s);
    let mut car = Car::new(story, seed);
    let facts = written(&story.script);
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
            ..MeterCard::default()
        },
    }
}

/// What the technician writes into the journal.
fn written(script: &[Cue]) -> Vec<Entry> {
    let mut entries: Vec<Entry> = Vec::new();
    let mut marks: Vec<Mark> = Vec::new();
    for cue in script {
        let fact = match &cue.act {
            Act::Mark(mark) => {
                let id = marks.last().map_or(1, |last| last.id.0 + 1);
                let id = MarkId(id);
                marks.push(Mark { id, ..mark.clone() });
                marks.last().cloned().map(Box::new).map(Fact::Mark)
            }
            Act::Strike => {
                let tried = marks.iter().rfind(|mark| mark.did.is_tried());
                tried.map(|mark| Fact::Strike(mark.id))
            }
        };
        let t = Elapsed::from_secs(cue.at_s);
        entries.extend(fact.map(|fact| Entry { t, fact }));
    }
    entries
}

/// Whether the technician finds out that the hand had not moved: then the car knows nothing of it.
fn is_struck(id: MarkId, facts: &[Entry]) -> bool {
    facts.iter().any(|entry| entry.fact == Fact::Strike(id))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rehearsal::stories::FALSE_FLOOR;

    fn scripted(script: &[(f64, &str)]) -> &'static Story {
        let script = script
            .iter()
            .map(|(at_s, told)| (*at_s, (*told).to_owned()));
        Box::leak(Box::new(Story {
            script: script.map(|cue| Cue::try_from(cue).unwrap()).collect(),
            end_s: 400.0,
            ..FALSE_FLOOR.clone()
        }))
    }

    fn readings(story: &'static Story) -> Vec<Entry> {
        let (_, entries) = play(story, 3);
        let is_reading = |entry: &Entry| matches!(entry.fact, Fact::Reading(_));
        entries.into_iter().filter(is_reading).collect()
    }

    #[test]
    fn a_mark_that_is_struck_never_reaches_the_car() {
        let (lock, pull) = ((20.0, "lock"), (100.0, "pull D2"));
        let mistaken = scripted(&[lock, pull, (110.0, "strike")]);
        assert_eq!(readings(mistaken), readings(scripted(&[lock])));
        assert_ne!(
            readings(scripted(&[lock, pull])),
            readings(scripted(&[lock]))
        );
        let (_, entries) = play(mistaken, 3);
        let strike = Fact::Strike(MarkId(2));
        assert_eq!(entries.iter().filter(|e| e.fact == strike).count(), 1);
    }
}
