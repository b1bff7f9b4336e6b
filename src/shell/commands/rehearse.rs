//! `rehearse`: a hunt on a simulated car, by hand or by itself.

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;

use anyhow::{Context, Result, anyhow, bail};

use crate::desk::{Hint, Model, Options};
use crate::fuse::map::Circuit;
use crate::journal::seal::Chain;
use crate::journal::{header, line};
use crate::reading::Elapsed;
use crate::rehearsal::{Car, Story, hint, play, stories};
use crate::session::card::Card;
use crate::session::entry::{Entry, Fact, Header, MeterCard};
use crate::shell::clock::{self, Clock};
use crate::shell::feed::Feed;
use crate::shell::files::whole::Growing;
use crate::shell::flags::Rehearse;
use crate::shell::recording::{self, Recording};
use crate::shell::settings::Settings;
use crate::shell::{card_file, outbox};

/// One car, one pace.
struct Rehearsal<'a> {
    story: &'static Story,
    seed: u64,
    speed: f64,
    out: Option<&'a Path>,
    fuses: Option<&'a Path>,
}

pub(super) fn run(flags: &Rehearse, settings: &Settings) -> Result<ExitCode> {
    let story = find(flags.story.as_deref())?;
    let rehearsal = Rehearsal {
        story,
        seed: flags.seed.unwrap_or(story.seed),
        speed: flags.speed.unwrap_or(story.speed),
        out: flags.out.as_deref(),
        fuses: flags.fuses.as_deref(),
    };
    match (flags.by_itself, rehearsal.out) {
        (true, Some(out)) => by_itself(&rehearsal, out),
        (true, None) => bail!("--by-itself writes a file: name it with --out FILE"),
        (false, _) => by_hand(&rehearsal, settings),
    }
}

/// The same for `live --meter rehearsal:STORY`.
pub(super) fn from_uri(
    story: &str,
    speed: f64,
    number: Option<u64>,
    out: Option<&Path>,
    fuses: Option<&Path>,
    settings: &Settings,
) -> Result<ExitCode> {
    let story = find(Some(story).filter(|name| !name.is_empty()))?;
    let rehearsal = Rehearsal {
        story,
        seed: number.unwrap_or(story.seed),
        speed,
        out,
        fuses,
    };
    by_hand(&rehearsal, settings)
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

fn by_hand(rehearsal: &Rehearsal<'_>, settings: &Settings) -> Result<ExitCode> {
    recording::expect_terminal("lullboard rehearse", "lullboard rehearse --by-itself")?;
    let story = rehearsal.story;
    let header = Header {
        started: clock::wall(),
        card: Card {
            fuses: Some(fuses(rehearsal)?),
            ..story.card()
        },
        meter: MeterCard {
            uri: story.uri(rehearsal.seed),
            format: None,
        },
    };
    let file = recording::new_file(rehearsal.out, &std::env::temp_dir(), &header)?;
    let hints: Hint =
        Box::new(|session, judgement| hint(story, session, judgement).map(|hint| hint.text));
    let options = Options {
        hint: Some(hints),
        ..recording::options(file.path(), settings.habits.clone())
    };
    let feed = Feed::Car {
        car: Box::new(Car::new(story, rehearsal.seed)),
        place: format!("a simulated car, {}", story.name),
    };
    let clock = Clock::start(Elapsed::ZERO, rehearsal.speed);
    let recording = Recording::start(outbox::channel(clock), file, None, feed)?;
    recording.on_board(Model::new(header, options), settings)?;
    Ok(ExitCode::SUCCESS)
}

/// The map that was given, or what the story's own lid says.
fn fuses(rehearsal: &Rehearsal<'_>) -> Result<Vec<Circuit>> {
    rehearsal
        .fuses
        .map_or_else(|| Ok(rehearsal.story.map()), card_file::fuses)
}

fn by_itself(rehearsal: &Rehearsal<'_>, out: &Path) -> Result<ExitCode> {
    let place = || out.display().to_string();
    let (mut header, entries) = play(rehearsal.story, rehearsal.seed);
    header.card.fuses = rehearsal.fuses.map(card_file::fuses).transpose()?;
    let mut file = Growing::beside(out).with_context(place)?;
    file.write_all(&sealed(&header, &entries)?)
        .and_then(|()| file.place_new(out))
        .with_context(place)?;
    Ok(ExitCode::SUCCESS)
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
