//! `rehearse`: a hunt on a simulated car, by hand or by itself.

use std::io::Write;
use std::path::Path;

use anyhow::{Context, Result, anyhow};

use crate::desk::{Habits, Hinting, Model, Options};
use crate::journal::{Chain, header, line};
use crate::reading::Elapsed;
use crate::rehearsal::{Car, Story, hint, play, stories};
use crate::session::{Card, Entry, Fact, Header, MeterCard};
use crate::shell::clock::{self, Clock};
use crate::shell::feed::Feed;
use crate::shell::files::whole::Growing;
use crate::shell::flags::Rehearse;
use crate::shell::recording::{self, Recording};
use crate::shell::{Settings, card_file, outbox};

pub(super) fn run(flags: &Rehearse, settings: &Settings) -> Result<()> {
    match &flags.out {
        Some(out) if flags.by_itself => {
            let story = find(flags.story.as_deref())?;
            let seed = flags.seed.unwrap_or(story.seed);
            by_itself(story, seed, out, flags.fuses.as_deref())
        }
        Some(_) | None => by_hand(flags, settings),
    }
}

fn find(name: Option<&str>) -> Result<&'static Story> {
    let Some(name) = name else {
        return Ok(stories::DEFAULT);
    };
    stories::find(name).ok_or_else(|| {
        let known = stories::all().map(|story| story.name).join(", ");
        anyhow!("'{name}' is no story: expected one of {known}")
    })
}

fn by_hand(flags: &Rehearse, settings: &Settings) -> Result<()> {
    recording::expect_terminal("lullboard rehearse", "lullboard rehearse --by-itself")?;
    let (recording, desk) = begin(flags, settings.habits.clone())?;
    let recording = recording.telling(settings.commands(&flags.on)?)?;
    recording.on_board(desk, settings)
}

/// A hunt that begins now: its recording and its desk.
pub(super) fn begin(flags: &Rehearse, habits: Habits) -> Result<(Recording, Model)> {
    let story = find(flags.story.as_deref())?;
    let seed = flags.seed.unwrap_or(story.seed);
    // The map that was given, or what the story's own lid says.
    let given = flags.fuses.as_deref().map(card_file::fuses).transpose()?;
    let fuses = given.unwrap_or_else(|| story.map());
    let header = Header {
        started: clock::wall(),
        card: Card {
            fuses: Some(fuses),
            ..story.card()
        },
        meter: MeterCard {
            uri: story.uri(seed),
            ..MeterCard::default()
        },
    };
    let file = recording::new_file(flags.out.as_deref(), &std::env::temp_dir(), &header)?;
    let hints: Hinting =
        Box::new(|session, judgement| hint(story, session, judgement).map(|hint| hint.text));
    let options = Options {
        hint: Some(hints),
        hints: true,
        ..recording::options(file.path(), habits)
    };
    let feed = Feed::Car {
        car: Box::new(Car::new(story, seed)),
        place: format!("a simulated car, {}", story.name),
    };
    let clock = Clock::start(Elapsed::ZERO, flags.speed.unwrap_or(story.speed));
    let recording = Recording::start(outbox::channel(clock), file, None, feed)?;
    Ok((recording, Model::new(header, options)))
}

fn by_itself(story: &'static Story, seed: u64, out: &Path, fuses: Option<&Path>) -> Result<()> {
    let place = || out.display().to_string();
    let (mut header, entries) = play(story, seed);
    header.card.fuses = fuses.map(card_file::fuses).transpose()?;
    let mut file = Growing::beside(out).with_context(place)?;
    file.write_all(&sealed(&header, &entries)?)
        .and_then(|()| file.place_new(out))
        .with_context(place)?;
    Ok(())
}

/// The whole session file, its seal at the end.
fn sealed(begin: &Header, entries: &[Entry]) -> Result<Vec<u8>> {
    let mut bytes = Vec::new();
    header::write(begin, &mut bytes)?;
    for entry in entries {
        line::write(entry, &mut bytes)?;
    }
    let mut chain = Chain::default();
    chain.update(&bytes);
    let t = entries.last().map_or(Elapsed::ZERO, |entry| entry.t);
    let fact = Fact::Seal(chain.seal());
    line::write(&Entry { t, fact }, &mut bytes)?;
    Ok(bytes)
}
