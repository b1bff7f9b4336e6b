//! A story's hunt by hand: a simulated car, a desk whose journal never fails, and the keys that a
//! technician would press for each line of the story's script.

use std::iter::Peekable;
use std::slice::Iter;

use lullboard::desk::effect::Effect;
use lullboard::desk::message::{Event, Key, LinkState, Message};
use lullboard::desk::{Model, Options};
use lullboard::reading::Elapsed;
use lullboard::rehearsal::story::{Act, Cue};
use lullboard::rehearsal::{Car, Story, play};
use lullboard::screen::{Picture, Scene, Theme};
use lullboard::session::card::Card;
use lullboard::session::entry::{Entry, Fact, Header};
use lullboard::session::mark::Did;
use ratatui::buffer::Buffer;

pub(crate) struct Hunt {
    story: &'static Story,
    script: Peekable<Iter<'static, Cue>>,
    car: Car,
    desk: Model,
    now: Elapsed,
    recorded: Vec<Entry>,
}

impl Hunt {
    /// As `lullboard rehearse` begins it, the cautions read.
    pub(crate) fn begin(story: &'static Story) -> Self {
        let (header, _) = play(story, story.seed);
        let header = Header {
            card: Card {
                fuses: Some(story.map()),
                ..header.card
            },
            ..header
        };
        let options = Options {
            recording: Some(format!("{}.lull", story.name)),
            ..Options::default()
        };
        let mut hunt = Self {
            story,
            script: story.script.iter().peekable(),
            car: Car::new(story, story.seed),
            desk: Model::new(header, options),
            now: Elapsed::ZERO,
            recorded: Vec::new(),
        };
        let place = format!("a simulated car, {}", story.name);
        hunt.tell(Event::Link(LinkState::Receiving(place)));
        hunt.read_cautions();
        hunt
    }

    /// Goes on with the script up to this moment of the session.
    pub(crate) fn play_until(&mut self, secs: f64) {
        let end = Elapsed::from_secs(secs.min(self.story.end_s));
        while let Some(cue) = self
            .script
            .next_if(|cue| Elapsed::from_secs(cue.at_s) <= end)
        {
            self.wait(Elapsed::from_secs(cue.at_s));
            self.act(cue);
            self.read_cautions();
        }
        self.wait(end);
    }

    /// The readings until then come in one piece, as they do from a journal that lags: what they
    /// mean does not depend on how they were cut, and one judgement is enough.
    fn wait(&mut self, until: Elapsed) {
        let mut read = Vec::new();
        while self.car.next_t() < until {
            read.push(Entry::reading(self.car.next_reading()));
        }
        self.now = until;
        self.tell(Event::Appended(read));
    }

    fn act(&mut self, cue: &Cue) {
        let Act::Mark(mark) = &cue.act else {
            return self.strike_last_tried();
        };
        let answer = format!("{}{}", mark.what.join("+"), mark.text);
        self.press(&[Key::Char(letter(mark.did))]);
        if !answer.is_empty() {
            let typed: Vec<Key> = answer.chars().map(Key::Char).collect();
            self.press(&typed);
            self.press(&[Key::Enter]);
        }
    }

    /// In the list of marks: at the board itself Backspace means the last one, whatever it is.
    fn strike_last_tried(&mut self) {
        let marks = self.desk.listed_marks();
        let above = marks.take_while(|placed| !placed.mark.did.is_tried());
        let down = vec![Key::Down; above.count()];
        self.press(&[Key::Char('k')]);
        self.press(&down);
        self.press(&[Key::Backspace, Key::Char('y'), Key::Esc]);
    }

    fn read_cautions(&mut self) {
        while !self.desk.notices().unread.is_empty() {
            self.press(&[Key::Esc]);
        }
    }

    pub(crate) fn press(&mut self, keys: &[Key]) {
        for key in keys {
            self.tell(Event::Key(*key));
        }
    }

    fn tell(&mut self, event: Event) {
        let t = self.now;
        let effects = self.desk.update(Message { t, event });
        let entries: Vec<Entry> = effects
            .into_iter()
            .filter_map(|effect| match effect {
                Effect::Record(entry) => Some(entry),
                _ => None,
            })
            .collect();
        for entry in entries {
            if let Fact::Mark(mark) = &entry.fact {
                self.car.mark(entry.t, mark);
            }
            self.recorded.push(entry.clone());
            self.tell(Event::Appended(vec![entry]));
        }
    }

    /// What the desk's keys have put into the journal.
    pub(crate) fn recorded(&self) -> &[Entry] {
        &self.recorded
    }

    pub(crate) fn frame(&self, (columns, rows): (u16, u16)) -> Buffer {
        let scene = Scene::of(&self.desk, columns, rows);
        let mut picture = Picture::default();
        picture.show(scene, Theme::dark(true));
        picture.cells().clone()
    }
}

const fn letter(did: Did) -> char {
    match did {
        Did::Lock => 'l',
        Did::Unlock => 'o',
        Did::Pull => 'p',
        Did::Refit => 'r',
        Did::Unplug => 'u',
        Did::Plug => 'i',
        Did::Swap => 's',
        Did::Run => 'a',
        Did::Zero => 'z',
        Did::Finish => 'F',
        Did::LeaveOut => 'X',
        Did::Note => 'n',
    }
}
