//! The board: whatever is pressed, read and told, on a screen of any size, is drawn without a fault
//! and within a bound of memory.

use std::cell::RefCell;

use lullboard::desk::message::{Event, Key, LinkState, Message};
use lullboard::desk::{Effect, Model, Options};
use lullboard::fuse::map;
use lullboard::journal::header;
use lullboard::reading::Elapsed;
use lullboard::screen::{Picture, Scene, Theme};
use lullboard::session::entry::{Entry, Header, MeterCard};

use super::dice::Dice;
use super::story::{Story, card};

/// What a picture may take while it is made and drawn, in bytes. Measured over the corpus: 1.7 MB at
/// most, at 65 535 columns. Ten times that is room enough, and far below one byte for each cell.
const PICTURE_BYTES: u64 = 16 << 20;

/// Screens up to this many cells are drawn into cells too.
const MOST_CELLS: u32 = 12_000;

const SIZES: [u16; 14] = [0, 1, 2, 7, 19, 24, 40, 59, 60, 79, 80, 132, 250, 65_535];

const KEYS: [Key; 14] = [
    Key::Enter,
    Key::Esc,
    Key::Backspace,
    Key::Delete,
    Key::Tab,
    Key::BackTab,
    Key::Left,
    Key::Right,
    Key::Up,
    Key::Down,
    Key::PageUp,
    Key::PageDown,
    Key::Home,
    Key::End,
];

const MAP: &[u8] = b"box,position,rating_a,style,feeds\nE,3,10,mini,radio\nL,8,5,mini,\n\
    D,2,5,mini,wipers\nboot,K1,5,mini,amplifier\n";

/// A desk with a journal that takes everything, or nothing.
struct Bench {
    model: Model,
    now: Elapsed,
    full: bool,
    theme: Theme,
    picture: RefCell<Picture>,
}

impl Bench {
    fn tell(&mut self, event: Event) {
        // An answer to an effect is an event too; nothing may answer itself for ever.
        let mut waiting = vec![event];
        for _ in 0..64 {
            let Some(event) = waiting.pop() else { return };
            let message = Message { t: self.now, event };
            for effect in self.model.update(message) {
                waiting.extend(self.answer(effect));
            }
        }
        panic!("the desk answers itself without end");
    }

    fn answer(&self, effect: Effect) -> Option<Event> {
        match effect {
            Effect::Record(entry) => Some(self.kept(vec![entry])),
            Effect::ReadMap(_) => Some(Event::MapRead(
                map::read(MAP).map_err(|why| why.to_string()),
            )),
            _ => None,
        }
    }

    fn kept(&self, entries: Vec<Entry>) -> Event {
        if self.full {
            Event::Unsaved(entries, "disk full".into())
        } else {
            Event::Appended(entries)
        }
    }

    fn look(&self, columns: u16, rows: u16) {
        let taken = allocation_counter::measure(|| {
            let scene = Scene::of(&self.model, columns, rows);
            let _ = scene.under(columns / 2, rows / 2);
            let is_small = u32::from(columns) * u32::from(rows) <= MOST_CELLS;
            if !is_small {
                return;
            }
            let mut anew = Picture::default();
            anew.show(scene.clone(), self.theme);
            let mut standing = self.picture.borrow_mut();
            standing.show(scene, self.theme);
            assert_eq!(standing.cells(), anew.cells());
        });
        assert!(
            taken.bytes_max < PICTURE_BYTES,
            "{} bytes for {columns} x {rows}",
            taken.bytes_max
        );
    }
}

/// Everything that a screen, a hand and a meter can do.
pub fn board(bytes: &[u8]) {
    let mut dice = Dice::new(bytes);
    let how = dice.byte();
    let mut card = card(&mut dice);
    if how & 1 == 1 {
        card.fuses = map::read(MAP).ok();
    }
    let uri = if how & 2 == 2 {
        "manual:"
    } else {
        "serial:/dev/ttyUSB0"
    };
    let header = Header {
        card,
        meter: MeterCard {
            uri: uri.into(),
            ..MeterCard::default()
        },
        ..header::unknown()
    };
    let options = Options {
        live: how & 4 == 0,
        recording: (how & 8 == 0).then(|| "hunt.lull".into()),
        read_only: how & 0x30 == 0x30,
        ..Options::default()
    };
    let mut bench = Bench {
        model: Model::new(header, options),
        now: Elapsed::ZERO,
        full: false,
        theme: if how & 64 == 0 {
            Theme::dark(true)
        } else {
            Theme::none(false)
        },
        picture: RefCell::default(),
    };
    let mut story = Story::default();
    for _ in 0..200 {
        if dice.is_empty() {
            break;
        }
        step(&mut bench, &mut story, &mut dice);
    }
    bench.look(80, 24);
}

fn step(bench: &mut Bench, story: &mut Story, dice: &mut Dice<'_>) {
    match dice.byte() {
        byte @ 0x20..=0x7f => bench.tell(Event::Key(Key::Char(char::from(byte)))),
        byte @ 1..=26 => bench.tell(Event::Key(Key::Ctrl(char::from(byte + 96)))),
        0x80..=0x9f => {
            if let Some(key) = dice.one_of(&KEYS) {
                bench.tell(Event::Key(key));
            }
        }
        0xa0..=0xbf => {
            let entries = story.next(dice);
            bench.now = bench.now.max(story.t());
            bench.tell(bench.kept(entries));
        }
        0xc0..=0xcf => {
            bench.now = bench.now.plus_secs(f64::from(dice.word()) / 16.0);
            bench.tell(Event::Tick);
        }
        0xd0..=0xdf => {
            let columns = dice.one_of(&SIZES).unwrap_or_default();
            let rows = dice.one_of(&SIZES).unwrap_or_default();
            bench.tell(Event::Resized(columns, rows));
            bench.look(columns, rows);
        }
        _ => event(bench, dice),
    }
}

fn event(bench: &mut Bench, dice: &mut Dice<'_>) {
    let event = match dice.byte() % 20 {
        0 => Event::Paste(dice.text()),
        1 => Event::Pointed(Elapsed::from_secs(f64::from(dice.word()))),
        2 => Event::Chosen(usize::from(dice.byte())),
        3 => Event::Wheel {
            up: dice.byte() < 128,
        },
        4 => Event::Click(dice.word(), dice.word()),
        5 => {
            bench.full = !bench.full;
            return;
        }
        6 => Event::CaughtUp,
        7 => Event::Astray,
        8 => Event::Moved(Ok(("elsewhere.lull".into(), u64::from(dice.word())))),
        9 => Event::Moved(Err(dice.text())),
        10 => Event::Link(link(dice)),
        11 => Event::VoltsLink(link(dice)),
        12 => Event::NotUnderstood(u64::from(dice.word())),
        13 => Event::Exporting(dice.byte()),
        14 => Event::Exported(Err(dice.text())),
        15 => Event::ExportExists("session.html".into()),
        16 => Event::MapRead(map::read(dice.rest()).map_err(|why| why.to_string())),
        17 => Event::WorkerDied {
            name: dice.text(),
            why: dice.text(),
        },
        18 => Event::Suspend,
        _ => Event::Continued,
    };
    bench.tell(event);
}

fn link(dice: &mut Dice<'_>) -> LinkState {
    match dice.byte() % 7 {
        0 => LinkState::Opening(dice.text()),
        1 => LinkState::Receiving(dice.text()),
        2 => LinkState::Silent,
        3 => LinkState::Unreadable(dice.text()),
        4 => LinkState::Waiting(dice.text()),
        5 => LinkState::Lost(dice.text()),
        _ => LinkState::Ended,
    }
}
