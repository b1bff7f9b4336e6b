//! A desk, a journal that never fails and a clock moved by hand, for the tests of what is seen.

use std::cell::RefCell;
use std::collections::HashMap;
use std::fmt::Write as _;
use std::rc::Rc;

use chrono::DateTime;
use lullboard::desk::effect::{Bell, Effect};
use lullboard::desk::message::{Event, Key, LinkState, Message};
use lullboard::desk::{Model, Options};
use lullboard::judge::Judgement;
use lullboard::judge::finding::{
    Finding, Level, Manner, Phase, PhaseSpan, SettledNow, Trial, Verdict,
};
use lullboard::judge::reason::{NowReason, TrialReason, VerdictReason};
use lullboard::judge::stay::asleep::Ground;
use lullboard::reading::{Amps, Elapsed, Measured, Reading};
use lullboard::screen::{Picture, Scene, Theme};
use lullboard::session::card::Card;
use lullboard::session::entry::{Entry, Fact, Header, MeterCard};
use lullboard::session::mark::{Did, MarkId};
use lullboard::signal::track::{Block, Moment, Reads, Track};
use ratatui::backend::{Backend, TestBackend};
use ratatui::buffer::Buffer;

/// One more second of whatever the script reads.
fn push(track: &mut Track, t: Elapsed, a: f64) {
    #[expect(
        clippy::as_conversions,
        clippy::cast_possible_truncation,
        reason = "a picture"
    )]
    let a = a as f32;
    let last = track.blocks().last();
    let after_gap = last.is_some_and(|block| t.secs_since(block.begins()) > 10.0);
    track.push(Block {
        from: Moment::of(t),
        reads: Reads::of(1).after_gap(after_gap),
        mean_a: a,
        min_a: a,
        max_a: a,
        resolution_a: 0.001,
    });
}

/// A desk, a journal that never fails, and a hand on the clock.
pub(crate) struct Bench {
    pub(crate) model: Model,
    pub(crate) now: Elapsed,
    pub(crate) blocks: Track,
    pub(crate) judgement: Rc<RefCell<Option<Judgement>>>,
    pub(crate) judged: Rc<RefCell<usize>>,
    pub(crate) bells: Vec<Bell>,
    pub(crate) other: Vec<Effect>,
    pub(crate) recorded: Vec<Entry>,
    pub(crate) holding: bool,
    pub(crate) held: Vec<Entry>,
    /// Terminals that show one picture after another, by their size.
    pub(crate) standing: RefCell<HashMap<(u16, u16), (Picture, TestBackend)>>,
}

impl Bench {
    pub(crate) fn new(uri: &str, options: Options) -> Self {
        Self::of(uri, options, Card::default())
    }

    /// The same for a car of which more is known.
    pub(crate) fn of(uri: &str, options: Options, card: Card) -> Self {
        let judgement: Rc<RefCell<Option<Judgement>>> = Rc::default();
        let judged: Rc<RefCell<usize>> = Rc::default();
        let (given, count) = (Rc::clone(&judgement), Rc::clone(&judged));
        let header = Header {
            started: DateTime::parse_from_rfc3339("2026-11-25T08:00:00+00:00").unwrap(),
            card: Card {
                car: Some("job 12".into()),
                ..card
            },
            meter: MeterCard {
                uri: uri.into(),
                ..MeterCard::default()
            },
        };
        let options = Options {
            judge: Box::new(move |session| {
                *count.borrow_mut() += 1;
                let fallback = || Judgement::nothing_yet(session);
                let mut judgement = given.borrow().clone().unwrap_or_else(fallback);
                judgement.readings = session.readings();
                judgement
            }),
            ..options
        };
        let mut bench = Self {
            model: Model::new(header, options),
            now: Elapsed::ZERO,
            blocks: Track::default(),
            judgement,
            judged,
            bells: Vec::new(),
            other: Vec::new(),
            recorded: Vec::new(),
            holding: false,
            held: Vec::new(),
            standing: RefCell::default(),
        };
        bench.tell(Event::Link(LinkState::Receiving(uri.into())));
        bench
    }

    pub(crate) fn live() -> Self {
        Self::new("serial:/dev/ttyUSB0", Options::default())
    }

    pub(crate) fn tell(&mut self, event: Event) {
        let message = Message { t: self.now, event };
        for effect in self.model.update(message) {
            match effect {
                Effect::Record(entry) if self.holding => self.held.push(entry),
                Effect::Record(entry) => {
                    self.recorded.push(entry.clone());
                    self.tell(Event::Appended(vec![entry]));
                }
                Effect::Bell(bell) => self.bells.push(bell),
                other @ (Effect::Export { .. }
                | Effect::Tell(_)
                | Effect::GoOn(_)
                | Effect::ReadMap(_)
                | Effect::Copy(_)
                | Effect::Mouse(_)
                | Effect::NextTheme
                | Effect::WakeAt(_)
                | Effect::Redraw
                | Effect::Suspend
                | Effect::Quit) => self.other.push(other),
            }
        }
    }

    pub(crate) fn keys(&mut self, keys: &[Key]) {
        for key in keys {
            self.tell(Event::Key(*key));
        }
    }

    pub(crate) fn typed(&mut self, text: &str) {
        for c in text.chars() {
            self.tell(Event::Key(Key::Char(c)));
        }
    }

    pub(crate) fn wait(&mut self, secs: f64) {
        self.now = self.now.plus_secs(secs);
    }

    /// A reading a second for so long.
    pub(crate) fn read(&mut self, secs: u32, amps: &str) {
        for _ in 0..secs {
            self.wait(1.0);
            let value = Amps::parse(amps).unwrap();
            push(&mut self.blocks, self.now, value.value_a());
            let reading = Reading {
                t: self.now,
                value: Measured::Amps(value),
            };
            self.tell(Event::Appended(vec![Entry::reading(reading)]));
        }
    }

    pub(crate) fn judge(&mut self, change: impl FnOnce(&mut Judgement)) {
        let mut judgement = self.model.judgement().clone();
        change(&mut judgement);
        *self.judgement.borrow_mut() = Some(judgement);
    }

    pub(crate) fn buffer(&self, columns: u16, rows: u16, theme: &Theme) -> Buffer {
        let scene = Scene::with(&self.model, &self.blocks, columns, rows);
        let mut anew = Picture::default();
        anew.show(scene.clone(), *theme);
        let mut standing = self.standing.borrow_mut();
        let (picture, terminal) = standing
            .entry((columns, rows))
            .or_insert_with(|| (Picture::default(), TestBackend::new(columns, rows)));
        let changes = picture.show(scene, *theme);
        let changes = changes.iter().map(|(x, y, cell)| (*x, *y, cell));
        terminal.draw(changes).unwrap();
        assert_eq!(terminal.buffer(), anew.cells());
        anew.cells().clone()
    }

    pub(crate) fn shoot(&self, columns: u16, rows: u16, theme: &Theme) -> String {
        text(&self.buffer(columns, rows, theme))
    }

    pub(crate) fn marks(&self) -> Vec<String> {
        self.recorded
            .iter()
            .filter_map(|entry| match &entry.fact {
                Fact::Mark(mark) => Some(mark.to_string()),
                _ => None,
            })
            .collect()
    }
}

pub(crate) fn text(buffer: &Buffer) -> String {
    let width = usize::from(buffer.area.width);
    let mut out = String::new();
    for row in buffer.content.chunks(width) {
        let line: String = row.iter().map(ratatui::buffer::Cell::symbol).collect();
        out.push_str(line.trim_end());
        out.push('\n');
    }
    out
}

/// Compares frames and shows both, as they are, when they differ.
pub(crate) fn same(seen: &str, expected: &str) {
    let expected = expected.strip_prefix('\n').unwrap_or(expected);
    assert!(
        seen == expected,
        "the frame is\n{seen}\nbut was expected as\n{expected}"
    );
}

pub(crate) const fn level(a: f64, u_a: f64) -> Level {
    Level { a, u_a }
}

pub(crate) fn at(secs: f64) -> Elapsed {
    Elapsed::from_secs(secs)
}

/// A hunt half done: asleep at 314 mA, one pull that lowered it, one just made.
pub(crate) fn hunt() -> Bench {
    hunted(Bench::live())
}

/// The same on this bench.
pub(crate) fn hunted(mut bench: Bench) -> Bench {
    bench.read(30, "3.870");
    bench.keys(&[Key::Char('l')]);
    bench.read(270, "1.460");
    bench.read(400, "0.3140");
    bench.keys(&[Key::Char('p')]);
    bench.typed("L5");
    bench.keys(&[Key::Enter]);
    bench.read(200, "0.0740");
    bench.keys(&[Key::Char('p'), Key::Enter]);
    bench.judge(|judgement| {
        let spans = [
            (Phase::Awake, 1.0, 31.0),
            (Phase::Plateau, 31.0, 301.0),
            (Phase::Falling, 301.0, 320.0),
            (Phase::Settled, 320.0, 930.0),
        ];
        judgement.phases = spans
            .into_iter()
            .map(|(phase, from, to)| PhaseSpan {
                phase,
                from: at(from),
                to: at(to),
                level: None,
            })
            .collect();
        judgement.now.phase = Phase::Settled;
        judgement.now.since = at(320.0);
        judgement.now.reason = NowReason::Settled {
            at_a: 0.074,
            for_s: 200.0,
            ground: Some(Ground::Removed),
            past_timeout_s: None,
            took_s: None,
        };
        judgement.now.timeout_at = Some(at(30.0 + 2700.0));
        judgement.settled = Some(SettledNow {
            level: Level {
                a: 0.074,
                u_a: 0.0012,
            },
            average: Level {
                a: 0.074,
                u_a: 0.0012,
            },
            since: at(710.0),
            early: false,
        });
        judgement.verdict = Verdict::Above;
        judgement.reasons = vec![VerdictReason::Measured {
            level_a: 0.074,
            average_a: 0.074,
            low_a: 0.0728,
            high_a: 0.0752,
            p_below: 0.0,
        }];
        judgement.trials = vec![
            Trial {
                mark: MarkId(2),
                t: at(700.0),
                did: Did::Pull,
                what: vec!["L5".into()],
                before: Some(level(0.314, 0.0021)),
                after: Some(level(0.074, 0.0012)),
                change: Some(level(-0.24, 0.0018)),
                first_look: Some(level(-0.238, 0.004)),
                finding: Finding::Lowers,
                manner: Some(Manner::AtOnce),
                with: Vec::new(),
                stands_at: None,
                reason: TrialReason::Fell {
                    own_a: Some(0.238),
                    later_a: 0.002,
                    stages: 0,
                    last_after_s: 0.0,
                },
            },
            Trial {
                mark: MarkId(3),
                t: at(900.0),
                did: Did::Pull,
                what: vec!["L6".into()],
                before: Some(level(0.074, 0.0012)),
                after: None,
                change: None,
                first_look: Some(level(0.0003, 0.004)),
                finding: Finding::NotYet,
                manner: None,
                with: Vec::new(),
                stands_at: None,
                reason: TrialReason::Unsettled {
                    waited_s: 12.0,
                    at_a: None,
                },
            },
        ];
    });
    bench.read(30, "0.0740");
    bench
}

pub(crate) fn hinted() -> Options {
    Options {
        hint: Some(Box::new(|_, judgement| {
            (judgement.now.phase == Phase::Blind)
                .then(|| "close the doors, take the key away, lock the car (l)".into())
        })),
        recording: Some("job-12.lull".into()),
        ..Options::default()
    }
}

/// Compares what the board shows at the three sizes with the file `tests/frames/NAME.txt`. With
/// `LULLBOARD_FRAMES=write` in the environment the file is written instead: look at it then.
pub(crate) fn golden(name: &str, bench: &Bench) {
    let mut seen = String::new();
    for (columns, rows) in [(80, 24), (120, 40), (200, 60)] {
        let frame = bench.shoot(columns, rows, &Theme::dark(true));
        write!(seen, "== {columns} by {rows}\n{frame}").unwrap();
    }
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/frames");
    let path = folder.join(format!("{name}.txt"));
    if std::env::var_os("LULLBOARD_FRAMES").is_some_and(|what| what == "write") {
        std::fs::write(&path, &seen).unwrap();
    }
    let expected = std::fs::read_to_string(&path).unwrap();
    same(&seen, &expected);
}
