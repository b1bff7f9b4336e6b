//! Cars in a few lines, for the tests beside the code: a record made of its levels and marks, or
//! stays that nobody recorded.

use super::asleep::SleepProof;
use super::series::{Point, Series};
use super::shown::Shown;
use super::{Basis, Opening, Stay};
use crate::judge::limit;
use crate::judge::memory::Memory;
use crate::judge::uncertainty::Estimate;
use crate::reading::{Amps, Elapsed, Measured};
use crate::session::Session;
use crate::session::card::{Accuracy, Card};
use crate::session::entry::{Entry, Fact, Header, MeterCard};
use crate::session::mark::{MarkId, parse_mark};
use crate::signal::track::Block;

/// A moment of the record, in seconds.
pub(in crate::judge) fn at(t_s: u32) -> Elapsed {
    Elapsed::from_secs(f64::from(t_s))
}

/// Whether two figures are the same but for what computing costs.
#[track_caller]
pub(in crate::judge) fn close(found: f64, expected: f64) {
    let apart = (found - expected).abs();
    assert!(
        apart < 1e-9 * expected.abs().max(1e-3),
        "{found} is not {expected}"
    );
}

/// A record: limit 50 mA, time-out 10 min, a meter of 1 % + 3 counts, a reading a second with one
/// place of noise.
#[derive(Clone, Debug)]
pub(in crate::judge) struct Car {
    pub(in crate::judge) card: Card,
    levels: Vec<(u32, f64)>,
    marks: Vec<(u32, String)>,
    end_s: u32,
    every_s: u32,
    noise_a: f64,
    decimals: u8,
}

/// The current from each of these seconds on; nothing is read where it is no number, and the meter
/// is over its range where it is infinite.
pub(in crate::judge) fn car(levels: &[(u32, f64)], end_s: u32) -> Car {
    Car {
        card: Card {
            limit_a: Some(0.05),
            sleep_timeout_s: Some(600.0),
            accuracy: Some(Accuracy {
                percent: 1.0,
                counts: 3.0,
                amount_a: 0.0,
            }),
            ..Card::default()
        },
        levels: levels.to_vec(),
        marks: Vec::new(),
        end_s,
        every_s: 1,
        noise_a: 0.001,
        decimals: 3,
    }
}

/// The same of a car that slept when the record began.
pub(in crate::judge) fn asleep(levels: &[(u32, f64)], end_s: u32) -> Car {
    let mut car = car(levels, end_s);
    car.card.asleep_at_start = Some(true);
    car
}

impl Car {
    /// Somebody did this then.
    pub(in crate::judge) fn mark(mut self, t_s: u32, cell: &str) -> Self {
        self.marks.push((t_s, cell.to_owned()));
        self
    }

    /// A reading every so many seconds.
    pub(in crate::judge) const fn every(mut self, every_s: u32) -> Self {
        self.every_s = every_s;
        self
    }

    /// The display has so many places, and the current wanders by so much.
    pub(in crate::judge) const fn display(mut self, decimals: u8, noise_a: f64) -> Self {
        (self.decimals, self.noise_a) = (decimals, noise_a);
        self
    }

    /// With this on the card too.
    pub(in crate::judge) fn with(mut self, change: impl FnOnce(&mut Card)) -> Self {
        change(&mut self.card);
        self
    }

    pub(in crate::judge) fn session(&self) -> Session {
        let mut session = Session::new(Header {
            started: "2026-01-10T08:00:00+00:00".parse().unwrap(),
            card: self.card.clone(),
            meter: MeterCard::default(),
        });
        let mut id = 0;
        for t_s in 0..self.end_s {
            let t = at(t_s);
            let level = self.levels.iter().rev().find(|(from_s, _)| *from_s <= t_s);
            let level_a = level.map_or(f64::NAN, |(_, a)| *a);
            if t_s % self.every_s == 0 && !level_a.is_nan() {
                let fact = Fact::Reading(self.reading(t_s / self.every_s, level_a));
                session.apply(&Entry { t, fact });
            }
            for (_, cell) in self.marks.iter().filter(|(at_s, _)| *at_s == t_s) {
                id += 1;
                let fact = Fact::Mark(parse_mark(MarkId(id), cell).unwrap());
                session.apply(&Entry { t, fact });
            }
        }
        session
    }

    fn reading(&self, number: u32, level_a: f64) -> Measured {
        if level_a.is_infinite() {
            return Measured::Over;
        }
        let wander = if level_a == 0.0 {
            0.0
        } else {
            f64::from(number % 3) - 1.0
        };
        Measured::Amps(Amps::rounded(
            level_a + wander * self.noise_a,
            self.decimals,
        ))
    }
}

/// What a session is judged against.
pub(in crate::judge) fn basis(session: &Session) -> Basis<'_> {
    let card = session.card();
    let (limit, timeout) = (limit::limit(card), limit::timeout(card));
    Basis::of(session, limit.value, timeout.value, Memory::default())
}

/// A level known to one standard uncertainty of noise.
pub(in crate::judge) const fn estimate(a: f64, noise_u_a: f64) -> Estimate {
    Estimate {
        a,
        noise_u_a,
        dof: 1e6,
        ..Estimate::NOTHING
    }
}

/// A level that stood all along, and nothing else.
pub(in crate::judge) fn shown(from_s: u32, to_s: u32, a: f64) -> Shown {
    let for_s = f64::from(to_s - from_s);
    let level = estimate(a, 0.000_1);
    Shown {
        arrived: at(from_s),
        fell: at(from_s),
        until: at(to_s),
        level,
        beside: [level; 2],
        resolution_a: 0.001,
        stood_s: for_s,
        at_rest_s: for_s,
        rest_a: a,
        watched_s: for_s,
        wakes: Vec::new(),
        left: None,
        touches: Vec::new(),
        risen: None,
        texture: 0,
        is_sparse: false,
        step_s: 1.0,
        base: Vec::new(),
    }
}

/// A stay in the first state in which nothing was seen.
pub(in crate::judge) fn unseen(from_s: u32, to_s: u32, opening: Opening) -> Stay {
    Stay {
        from: at(from_s),
        to: at(to_s),
        opening,
        setup: 0,
        is_open: false,
        clock: at(from_s),
        was_left: opening.is_lock(),
        shown: None,
        rest: SleepProof::default(),
    }
}

/// One reading.
pub(in crate::judge) fn block(t_s: u32, a: f32) -> Block {
    Block {
        from: at(t_s),
        mean_a: a,
        min_a: a,
        max_a: a,
        resolution_a: 0.001,
        count: 1,
        over: false,
        after_gap: false,
    }
}

/// A series of stretches: so many seconds at each current, a value every `step_s`.
pub(super) fn series(stretches: &[(u32, f64)], step_s: u32) -> Series {
    let values = stretches
        .iter()
        .flat_map(|(for_s, a)| (0..for_s / step_s).map(|_| *a));
    let points = (0..).zip(values).map(|(i, a)| Point {
        t_s: f64::from(i * step_s),
        a,
        for_s: f64::from(step_s),
        over: false,
        blocks: (i, i + 1),
    });
    Series {
        points: points.collect(),
        step_s: f64::from(step_s),
    }
}
