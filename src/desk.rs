//! The desk: what the technician is doing with the session. `Model::update` takes messages and
//! answers with effects; no clock, no file, no screen.

mod act;
mod amend;
mod announce;
mod announced_run;
pub mod copy;
pub mod effect;
pub mod elsewhere;
mod fuses;
pub mod grid;
pub mod habits;
pub mod job;
pub mod keymap;
pub mod label;
pub mod left_alone;
mod look;
pub mod message;
pub mod notice;
pub mod occasion;
mod pending;
pub mod planned;
pub mod prompt;
mod script;
pub mod start;
mod sweep;
pub mod text_field;
mod typed_answer;
mod typed_volts;
pub mod typing;
mod update;
pub mod view;

pub use announced_run::{Claim, Run};
pub use effect::{Bell, Effect};
pub use grid::{Cell, FuseBox, Toward};
pub use habits::Habits;
pub use keymap::Keymap;
pub use message::{Event, Key, LinkState, Message};
pub use prompt::{Ask, Prompt};
pub use start::Start;
pub use text_field::TextField;
pub use view::{Panel, Scale, TimeAxis};

use std::path::PathBuf;

use std::cell::RefCell;

use crate::judge::memory::Memory;
use crate::judge::{self, Judgement};
use crate::reading::Elapsed;
use crate::session::{Header, Session};
use left_alone::Machine;
use notice::Notices;
use pending::Pending;
use view::View;

/// Says what to do next; `None` when there is nothing to say.
pub type Hinting = Box<dyn Fn(&Session, &Judgement) -> Option<String>>;

/// Judges a session; [`judge::live`] but for tests.
pub type Judging = Box<dyn Fn(&Session) -> Judgement>;

/// How the desk is set up.
pub struct Options {
    /// Whether time goes on and readings are expected: bells ring and silence is told.
    pub live: bool,
    /// Where the session is being recorded; `None` when nothing is, and `q` quits at once.
    pub recording: Option<String>,
    /// Who watches.
    pub watched: Watched,
    /// Whether marks are refused: a second screen of a session that another program records.
    pub read_only: bool,
    /// What the export prompt offers.
    pub export_name: String,
    /// What to do next, for those who learn.
    pub hint: Option<Hinting>,
    /// Whether it is told from the beginning; a key turns it on and off.
    pub hints: bool,
    /// What judges.
    pub judge: Judging,
    /// Whether the readings are typed from now on; `None` where the header's meter goes on.
    pub by_eye: Option<bool>,
    /// How the technician likes it.
    pub habits: Habits,
}

/// Who watches while a session is recorded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Watched {
    /// Somebody at the keys.
    ByHands,
    /// Nobody: what would be asked is done, and told.
    ByNobody,
}

/// A judge that remembers what is over.
fn remembering() -> Judging {
    let memory = RefCell::new(Memory::default());
    Box::new(move |session| judge::again(session, &mut memory.borrow_mut()))
}

impl Default for Options {
    fn default() -> Self {
        Self {
            live: true,
            recording: None,
            watched: Watched::ByHands,
            read_only: false,
            export_name: "session.html".into(),
            hint: None,
            hints: true,
            judge: remembering(),
            by_eye: None,
            habits: Habits::default(),
        }
    }
}

/// Everything the board is drawn from.
pub struct Model {
    session: Session,
    judgement: Judgement,
    options: Options,
    manual: bool,
    now: Elapsed,
    judged: Elapsed,
    judge_every_s: f64,
    /// How many changes of the current the last judgement knew.
    judged_changes: usize,
    stale: bool,
    link: (LinkState, Elapsed),
    volts_link: Option<(LinkState, Elapsed)>,
    not_understood: u64,
    view: View,
    prompt: Option<Prompt>,
    notices: Notices,
    pending: Pending,
    machine: Option<Machine>,
    /// Whether marks come as lines too, and the last of them.
    takes_lines: bool,
    asked_line: String,
    wake: Option<Elapsed>,
    run: Option<Run>,
    typed_exponent: Option<i32>,
    called: typing::Called,
    /// The file that an export left alone: asked for again, it is replaced.
    left_alone: Option<PathBuf>,
}

impl Model {
    /// A desk for the session that begins with `header`. What is recorded already comes through
    /// `Event::Appended`, like everything else.
    pub fn new(header: Header, options: Options) -> Self {
        Self::with(Session::new(header), options)
    }

    /// A desk for what is recorded already. Ends with [`Model::recalled`].
    pub fn with(session: Session, options: Options) -> Self {
        let header = session.header();
        let manual = options.by_eye.unwrap_or_else(|| header.meter.is_by_eye());
        let link = LinkState::Opening(header.meter.uri.clone());
        let now = session.last_t();
        let judgement = (options.judge)(&session);
        let notices = if options.live && !options.read_only {
            Notices::at_start(session.card(), manual)
        } else {
            Notices::default()
        };
        let mut view = View::new(options.habits.scale, options.habits.time);
        view.hints = options.hints;
        Self {
            session,
            judgement,
            options,
            manual,
            now,
            judged: now,
            judge_every_s: 1.0,
            judged_changes: 0,
            stale: false,
            link: (link, Elapsed::ZERO),
            volts_link: None,
            not_understood: 0,
            view,
            prompt: None,
            notices,
            pending: Pending::default(),
            machine: None,
            takes_lines: false,
            asked_line: String::new(),
            wake: None,
            run: None,
            typed_exponent: None,
            called: typing::Called::default(),
            left_alone: None,
        }
    }

    /// What was pressed and is not yet on disk, in words.
    pub fn being_written(&self) -> Option<String> {
        self.pending.in_words()
    }

    /// The session as far as it is recorded.
    pub const fn session(&self) -> &Session {
        &self.session
    }

    /// What it means; at most one second behind the readings.
    pub const fn judgement(&self) -> &Judgement {
        &self.judgement
    }

    /// How the desk was set up.
    pub const fn options(&self) -> &Options {
        &self.options
    }

    /// Whether the meter is read by eye and its readings are typed.
    pub const fn is_manual(&self) -> bool {
        self.manual
    }

    /// The present, as far as a message told it.
    pub const fn now(&self) -> Elapsed {
        self.now
    }

    /// The connection to the meter, and since when it is so.
    pub const fn link(&self) -> (&LinkState, Elapsed) {
        (&self.link.0, self.link.1)
    }

    /// The connection to the meter that reads the battery's volts, and since when it is so; `None`
    /// where there is no such meter.
    pub fn volts_link(&self) -> Option<(&LinkState, Elapsed)> {
        self.volts_link
            .as_ref()
            .map(|(state, since)| (state, *since))
    }

    /// How many of the meter's messages were not understood, and left out.
    pub const fn not_understood(&self) -> u64 {
        self.not_understood
    }

    /// What is looked at.
    pub const fn view(&self) -> &View {
        &self.view
    }

    /// The open question.
    pub const fn prompt(&self) -> Option<&Prompt> {
        self.prompt.as_ref()
    }

    /// Banners, cautions and answers.
    pub const fn notices(&self) -> &Notices {
        &self.notices
    }

    /// The first key that means this, in short; empty when none does.
    pub fn key_of(&self, action: keymap::Action) -> String {
        self.options.habits.keys.key_of(action)
    }

    /// The keys that do something here, for footer and help.
    pub fn shown_keys(&self) -> Vec<keymap::ShownKeys> {
        let options = &self.options;
        options.habits.keys.shown(self.manual, options.read_only)
    }

    /// What to do next, if hints are on and there is something to say.
    pub fn hint(&self) -> Option<String> {
        let hint = self.options.hint.as_ref().filter(|_| self.view.hints)?;
        hint(&self.session, &self.judgement)
    }

    /// Seconds since the last reading, when one is expected and overdue.
    pub fn overdue_s(&self) -> Option<f64> {
        if !self.options.live || self.manual || self.link.0 == LinkState::Ended {
            return None;
        }
        let since = self.session.last_reading().map_or(Elapsed::ZERO, |r| r.0);
        Some(self.now.secs_since(since)).filter(|silent_s| *silent_s >= update::OVERDUE_S)
    }
}
