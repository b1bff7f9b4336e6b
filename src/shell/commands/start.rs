//! No command: the start card, and then the session that was chosen on it.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::mpsc::Receiver;
use std::time::Duration;

use anyhow::{Context, Result};
use chrono::{DateTime, Local};

use super::{open, rehearse};
use crate::desk::start::place::{Hearing, Place};
use crate::desk::start::{Beginning, Check, Chosen, Earlier, Slot, Start, ToConfirm};
use crate::desk::{Event, Key, Message};
use crate::meter::MeterUri;
use crate::reading::Elapsed;
use crate::rehearsal::stories;
use crate::session::caution::{self, Caution, When};
use crate::shell::faces::terminal::Board;
use crate::shell::faces::{self, keys};
use crate::shell::flags::{self, CardFlags};
use crate::shell::outbox::{self, Outbox};
use crate::shell::ports::known_meters::KnownMeters;
use crate::shell::ports::list::{self, Port};
use crate::shell::ports::listeners::Listeners;
use crate::shell::run::Face;
use crate::shell::{Clock, Settings, card_file, one_line, recording, signals};

/// A countdown that steps once a second is looked at a little more often.
const LOOK_EVERY: Duration = Duration::from_millis(200);

/// More of them than this hide the rest of the card.
const EARLIER_SHOWN: usize = 4;

pub(super) fn run(settings: &Settings) -> Result<()> {
    let ports = list::ports();
    let mut known = KnownMeters::load();
    let mut places: Vec<Place> = ports.iter().map(|port| place(port, &known)).collect();
    places.push(Place::ready("read by eye, values typed", "manual:"));
    let rehearsal = format!("rehearsal:{}", stories::DEFAULT.name);
    places.push(Place::ready("rehearsal: a simulated car", &rehearsal));
    let mut start = Start::new(places, earlier(Path::new(".")), cautions(), check());
    let (outbox, inbox) = outbox::channel(Clock::start(Elapsed::ZERO, 1.0));
    signals::spawn(&outbox)?;
    loop {
        let listeners = Listeners::open(&ports, &known, &outbox)?;
        let chosen = choose(&mut start, &listeners, (&outbox, &inbox), settings)?;
        // Whoever listens holds the port.
        listeners.close();
        match chosen {
            Chosen::Stays => {}
            Chosen::Quit => return Ok(()),
            Chosen::Review(file) => {
                let flags = flags::Open {
                    file,
                    meter: None,
                    on: flags::OnFlags::default(),
                };
                return open::run(&flags, settings);
            }
            Chosen::Begin(beginning) => match begin(&beginning, settings, |uri| {
                if known.note(uri, &ports) {
                    // A folder that cannot be written costs a question the next time.
                    let _ = known.keep();
                }
            }) {
                Ok(()) => return Ok(()),
                Err(why) => start.refuse(one_line(&why)),
            },
        }
    }
}

/// Runs the card on the terminal until something is chosen.
fn choose(
    start: &mut Start,
    listeners: &Listeners,
    (outbox, inbox): (&Outbox, &Receiver<Message>),
    settings: &Settings,
) -> Result<Chosen> {
    let mut board = Board::enter(faces::theme(settings.colours, settings.characters))
        .context("the terminal cannot be drawn on")?;
    let keys = keys::Borrowed::listen(outbox)?;
    loop {
        for (place, hearing) in listeners.heard.try_iter() {
            start.heard(place, hearing);
        }
        board.show_start(start)?;
        let message = inbox.recv_timeout(LOOK_EVERY).ok();
        match message.map(|message| message.event) {
            Some(Event::Terminate) => return Ok(Chosen::Quit),
            Some(Event::WorkerDied { why, .. }) => {
                start.refuse(format!("listening failed: {why}"));
            }
            Some(Event::Key(Key::Ctrl('z'))) => board.suspend()?,
            Some(Event::Key(Key::Ctrl('l'))) => board.redraw()?,
            Some(Event::Key(key)) => {
                let chosen = start.key(key);
                if chosen != Chosen::Stays {
                    keys.give_back();
                    return Ok(chosen);
                }
            }
            Some(Event::Paste(text)) => start.paste(&text),
            Some(_) | None => {}
        }
    }
}

/// A meter that speaks only when asked cannot be heard: if it is known, it is offered as it was.
fn place(port: &Port, known: &KnownMeters) -> Place {
    let known = known.of(port);
    let hearing = match &known {
        Some(uri) if !uri.speaks() => Hearing::Ready {
            uri: uri.to_string(),
        },
        Some(_) | None => Hearing::Listening(String::new()),
    };
    let named = || format!("serial:{}", port.stable().display());
    Place {
        name: port.to_string(),
        offer: known.as_ref().map_or_else(named, MeterUri::to_string),
        hearing,
    }
}

/// The newest sessions of this folder.
fn earlier(folder: &Path) -> Vec<Earlier> {
    let mut found: Vec<_> = fs::read_dir(folder)
        .into_iter()
        .flatten()
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "lull"))
        .filter_map(|path| Some((path.metadata().ok()?.modified().ok()?, path)))
        .collect();
    found.sort_by(|a, b| b.cmp(a));
    found.truncate(EARLIER_SHOWN);
    found
        .into_iter()
        .map(|(changed, path)| Earlier {
            words: format!(
                "{}   last written {}",
                path.file_name().unwrap_or_default().display(),
                DateTime::<Local>::from(changed).format("%Y-%m-%d %H:%M")
            ),
            path,
        })
        .collect()
}

/// What has to be read before a meter goes in series.
fn cautions() -> Vec<ToConfirm> {
    [
        ("connecting the meter", When::Connect),
        ("doors, ignition, cranking", When::Unlock),
        ("the meter's jack and fuse", When::MeterJack),
        ("the battery", When::Charge),
    ]
    .map(|(about, when)| ToConfirm {
        about,
        said: caution::at(when).map(Caution::line).collect(),
        confirmed: false,
    })
    .into()
}

fn check() -> Check {
    Box::new(|slot, text| match slot {
        Slot::Meter => text
            .parse::<MeterUri>()
            .map(drop)
            .map_err(|error| error.to_string()),
        Slot::Field(field) => card_file::typed([(field, text)])
            .map(drop)
            .map_err(|error| one_line(&error)),
    })
}

fn begin(
    beginning: &Beginning,
    settings: &Settings,
    remember: impl FnOnce(&MeterUri),
) -> Result<()> {
    let meter: MeterUri = beginning.uri.parse()?;
    let typed = beginning.typed.iter();
    let mut typed = typed.map(|(field, text)| (*field, text.as_str()));
    if let Some(mut rehearsal) = flags::Rehearse::asked_by(&meter) {
        let fuses = typed.find(|(field, _)| field.is_file());
        rehearsal.fuses = fuses.map(|(_, file)| PathBuf::from(file));
        return rehearse::run(&rehearsal, settings);
    }
    let card = card_file::typed(typed)?;
    let flags = flags::Record {
        meter,
        volts: None,
        out: None,
        clock_speed: 1.0,
        marks: None,
        on: flags::OnFlags::default(),
        card: CardFlags::default(),
    };
    let (recording, desk) = recording::begin(&flags, &card, settings.habits.clone())?;
    remember(&flags.meter);
    let recording = recording.telling(settings.on.clone())?;
    recording.on_board(desk, settings)
}
