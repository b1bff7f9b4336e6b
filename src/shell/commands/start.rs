//! No command: the start card, and then the session that was chosen on it.

use std::cell::Cell;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::JoinHandle;
use std::time::Duration;

use anyhow::{Context, Result};
use chrono::{DateTime, Local};
use crossbeam_channel::{Receiver, Sender, unbounded};

use super::{open, rehearse};
use crate::desk::message::Event;
use crate::desk::start::field;
use crate::desk::start::place::{Hearing, Place};
use crate::desk::start::{Beginning, Check, Earlier, Outcome, Slot, Start};
use crate::meter::detect::{EACH_S, Outcome as Heard};
use crate::reading::{Elapsed, number};
use crate::session::card::Card;
use crate::shell::clock::Clock;
use crate::shell::flags;
use crate::shell::settings::Settings;
use crate::shell::source::MeterUri;
use crate::shell::source::listen::{self, Verdict};
use crate::shell::source::ports::{self, Port};
use crate::shell::terminal::Board;
use crate::shell::{card_file, hearing, keys, looks, one_line, recording};

/// A countdown that steps once a second is looked at a little more often.
const LOOK_EVERY: Duration = Duration::from_millis(200);

/// More of them than this hide the rest of the card.
const EARLIER_SHOWN: usize = 4;

pub(super) fn run(settings: &Settings) -> Result<ExitCode> {
    let ports = ports::ports();
    let mut places: Vec<Place> = ports.iter().map(place).collect();
    places.push(Place::ready("read by eye, values typed", "manual:"));
    places.push(Place::ready(
        "rehearsal: a simulated car",
        "rehearsal:kept-awake",
    ));
    let mut start = Start::new(places, earlier(Path::new(".")), cautions(), check());
    let mut ears = Ears::open(&ports)?;
    loop {
        let chosen = choose(&mut start, &ears, settings)?;
        // Whoever listens holds the port.
        if chosen != Outcome::Stays {
            ears.close();
        }
        match chosen {
            Outcome::Stays => {}
            Outcome::Quit => return Ok(ExitCode::SUCCESS),
            Outcome::Review(file) => {
                let flags = flags::Open { file, meter: None };
                return open::run(&flags, settings);
            }
            Outcome::Begin(beginning) => match begin(&beginning, settings) {
                Ok(code) => return Ok(code),
                Err(why) => start.refuse(one_line(&why)),
            },
        }
    }
}

/// Runs the card on the terminal until something is chosen.
fn choose(start: &mut Start, ears: &Ears, settings: &Settings) -> Result<Outcome> {
    let mut board = Board::enter(looks::theme(settings.colours, settings.characters))
        .context("the terminal cannot be drawn on")?;
    loop {
        for (place, hearing) in ears.heard.try_iter() {
            start.heard(place, hearing);
        }
        board.show_start(start)?;
        let event = loop {
            if let Some(event) = keys::next_within(LOOK_EVERY)? {
                break Some(event);
            }
            if !ears.heard.is_empty() {
                break None;
            }
        };
        match event {
            Some(Event::Key(key)) => {
                let chosen = start.key(key);
                if chosen != Outcome::Stays {
                    return Ok(chosen);
                }
            }
            Some(Event::Paste(text)) => start.paste(&text),
            Some(_) | None => {}
        }
    }
}

fn place(port: &Port) -> Place {
    Place {
        name: port.to_string(),
        offer: format!("serial:{}", port.stable().display()),
        hearing: Hearing::Listening(String::new()),
    }
}

/// The threads that listen, one a port.
struct Ears {
    heard: Receiver<(usize, Hearing)>,
    go_on: Arc<AtomicBool>,
    threads: Vec<JoinHandle<()>>,
}

impl Ears {
    fn open(ports: &[Port]) -> Result<Self> {
        let (say, heard) = unbounded();
        let go_on = Arc::new(AtomicBool::new(true));
        let mut threads = Vec::new();
        for (n, port) in ports.iter().cloned().enumerate() {
            let (say, go_on) = (say.clone(), Arc::clone(&go_on));
            let ear = std::thread::Builder::new().name("listen".into());
            threads.push(ear.spawn(move || listen(n, &port, &say, &go_on))?);
        }
        Ok(Self {
            heard,
            go_on,
            threads,
        })
    }

    fn close(&mut self) {
        self.go_on.store(false, Ordering::Relaxed);
        for thread in self.threads.drain(..) {
            // What it panicked about can no longer matter.
            let _ = thread.join();
        }
    }
}

fn listen(n: usize, port: &Port, say: &Sender<(usize, Hearing)>, go_on: &AtomicBool) {
    let clock = Clock::start(Elapsed::ZERO, 1.0);
    let plan = listen::plan(&port.path, None);
    let span_s = listen::span_s(&plan, EACH_S);
    let told = Cell::new(None);
    let keep_on = || {
        let left_s = number::round_to_usize((span_s - clock.now().secs()).max(0.0).ceil());
        if told.replace(Some(left_s)) != Some(left_s) {
            let words = format!("for about {left_s} s more; nothing is sent");
            // The card may be gone already.
            let _ = say.send((n, Hearing::Listening(words)));
        }
        go_on.load(Ordering::Relaxed)
    };
    let verdict = listen::listen(&port.path, &plan, EACH_S, &clock, keep_on);
    let _ = say.send((n, heard(port, &verdict)));
}

fn heard(port: &Port, verdict: &Verdict) -> Hearing {
    match verdict {
        Verdict::Heard(Heard::Recognised(heard)) => Hearing::Heard {
            shown: hearing::last_in_words(heard.last),
            uri: hearing::uri_of(port.stable(), heard).to_string(),
        },
        Verdict::Heard(Heard::Unrecognised(_) | Heard::Silent)
        | Verdict::NotOpened(_)
        | Verdict::Lost(_) => Hearing::Unclear {
            words: hearing::in_words(port.stable(), verdict),
        },
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

/// What has to be read before a meter goes in series. Usual in the trade; the README has more.
fn cautions() -> Vec<String> {
    [
        "With a meter in series: no cranking, no ignition, no doors; bridge it before unlocking.",
        "No sparks near a battery that was charged: hydrogen. Negative off first, on last.",
        "Airbag circuits and high-voltage cars: the maker's waiting times and licensed hands only.",
    ]
    .map(str::to_owned)
    .into()
}

fn check() -> Check {
    Box::new(|slot, text| match slot {
        Slot::Meter => text
            .parse::<MeterUri>()
            .map(drop)
            .map_err(|error| error.to_string()),
        Slot::Field(field) => card_of(&[(field.key, text)])
            .map(drop)
            .map_err(|error| one_line(&error)),
    })
}

/// The fields as the card file they would make; the fuse map is a file of its own.
fn card_of(typed: &[(&str, &str)]) -> Result<Card> {
    let table: toml::Table = typed
        .iter()
        .filter(|(key, _)| *key != field::FUSES)
        .map(|(key, text)| ((*key).to_owned(), toml::Value::from(*text)))
        .collect();
    let mut card = card_file::parse(&table.to_string())?;
    if let Some((_, file)) = typed.iter().find(|(key, _)| *key == field::FUSES) {
        card.fuses = Some(card_file::fuses(Path::new(file))?);
    }
    Ok(card)
}

fn begin(beginning: &Beginning, settings: &Settings) -> Result<ExitCode> {
    let meter: MeterUri = beginning.uri.parse()?;
    let typed: Vec<(&str, &str)> = beginning
        .typed
        .iter()
        .map(|(field, text)| (field.key, text.as_str()))
        .collect();
    if let MeterUri::Rehearsal { story, speed, seed } = &meter {
        let fuses = typed.iter().find(|(key, _)| *key == field::FUSES);
        let fuses = fuses.map(|(_, file)| Path::new(*file));
        return rehearse::from_uri(story, *speed, *seed, None, fuses, settings);
    }
    let card = card_of(&typed)?;
    let flags = flags::Recording {
        meter,
        out: None::<PathBuf>,
        clock_speed: 1.0,
    };
    let (recording, desk) = recording::begin(&flags, &card, settings.habits.clone())?;
    recording.on_board(desk, settings)?;
    Ok(ExitCode::SUCCESS)
}
