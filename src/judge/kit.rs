//! Small records for the tests beside the judge: levels with their seconds, marks, a card.

use chrono::{DateTime, FixedOffset};

use super::finding::{Trial, Wake};
use super::memory::Memory;
use super::pool::Wakes;
use super::stay::{Basis, Stays};
use super::uncertainty::Estimate;
use super::{Judgement, judge, limit};
use crate::reading::{Amps, Elapsed, Measured};
use crate::session::Session;
use crate::session::card::{Accuracy, Card};
use crate::session::entry::{Entry, Fact, Header, MeterCard};
use crate::session::mark::{MarkId, parse_mark};

pub(crate) const MIN: u32 = 60;
pub(crate) const HOUR: u32 = 3600;

/// A car and what was done to it.
#[derive(Clone, Debug)]
pub(crate) struct TestCar {
    card: Card,
    levels: Vec<(u32, f64)>,
    marks: Vec<(u32, String)>,
    slope_a_per_h: f64,
    every_s: f64,
    noise_a: f64,
    decimals: u8,
    end_s: u32,
    started: DateTime<FixedOffset>,
}

impl TestCar {
    /// Draws each level, in ampere, from its second on, with one place of noise; no reading where
    /// it is not a number, beyond the range where it is infinite. The meter is accurate to 1 % and
    /// 3 counts.
    pub(crate) fn of(levels: &[(u32, f64)]) -> Self {
        let accuracy = Accuracy {
            percent: 1.0,
            counts: 3.0,
            amount_a: 0.0,
        };
        Self {
            card: Card {
                accuracy: Some(accuracy),
                ..Card::default()
            },
            levels: levels.to_vec(),
            marks: Vec::new(),
            slope_a_per_h: 0.0,
            every_s: 0.5,
            noise_a: 0.001,
            decimals: 3,
            end_s: 0,
            started: DateTime::UNIX_EPOCH.fixed_offset(),
        }
    }

    /// The same of a car that slept when the record began.
    pub(crate) fn asleep(levels: &[(u32, f64)]) -> Self {
        Self::of(levels).card(|card| card.asleep_at_start = Some(true))
    }

    pub(crate) fn marked(mut self, marks: &[(u32, &str)]) -> Self {
        let marks = marks.iter().map(|(at_s, cell)| (*at_s, (*cell).to_owned()));
        self.marks.extend(marks);
        self
    }

    pub(crate) fn card(mut self, set: impl FnOnce(&mut Card)) -> Self {
        set(&mut self.card);
        self
    }

    /// Each level moves by so much an hour.
    pub(crate) fn moving(mut self, a_per_h: f64) -> Self {
        self.slope_a_per_h = a_per_h;
        self
    }

    /// Read, or typed, so often.
    pub(crate) fn read_every(mut self, every_s: f64) -> Self {
        self.every_s = every_s;
        self
    }

    /// The display has so many places, and the current wanders by so much.
    pub(crate) const fn display(mut self, decimals: u8, noise_a: f64) -> Self {
        (self.decimals, self.noise_a) = (decimals, noise_a);
        self
    }

    /// Recorded from this moment on, `2026-11-25T22:00:00+01:00`.
    pub(crate) fn beginning(mut self, at: &str) -> Self {
        self.started = at.parse().unwrap();
        self
    }

    /// Recorded until this second.
    pub(crate) const fn ending(mut self, end_s: u32) -> Self {
        self.end_s = end_s;
        self
    }

    fn reading(&self, t_s: f64, n: u32) -> Option<Measured> {
        let mut levels = self.levels.iter().rev();
        let (_, level_a) = levels.find(|(from_s, _)| f64::from(*from_s) <= t_s)?;
        if level_a.is_infinite() {
            return Some(Measured::Over);
        }
        let noise_a = if *level_a == 0.0 { 0.0 } else { self.noise_a };
        let wiggle_a = noise_a * (f64::from(n % 3) - 1.0);
        let a = level_a + self.slope_a_per_h * t_s / 3600.0 + wiggle_a;
        (!a.is_nan()).then(|| Measured::Amps(Amps::rounded(a, self.decimals)))
    }

    /// The record until its end.
    pub(crate) fn session(&self) -> Session {
        self.until(self.end_s)
    }

    /// The record until this second.
    pub(crate) fn until(&self, end_s: u32) -> Session {
        let mut session = Session::new(Header {
            started: self.started,
            card: self.card.clone(),
            meter: MeterCard::default(),
        });
        let times = (0..).map(|n| (n, f64::from(n) * self.every_s));
        let mut marks = (1..).zip(&self.marks).peekable();
        for (n, t_s) in times.take_while(|(_, t_s)| *t_s < f64::from(end_s)) {
            let t = Elapsed::from_secs(t_s);
            if let Some(measured) = self.reading(t_s, n) {
                let fact = Fact::Reading(measured);
                session.apply(&Entry { t, fact });
            }
            while let Some((id, (at_s, cell))) =
                marks.next_if(|(_, (at_s, _))| f64::from(*at_s) < t_s + self.every_s)
            {
                let t = Elapsed::from_secs(f64::from(*at_s));
                let fact = Fact::Mark(Box::new(parse_mark(MarkId(id), cell).unwrap()));
                session.apply(&Entry { t, fact });
            }
        }
        session
    }

    pub(crate) fn judged(&self, end_s: u32) -> Judgement {
        judge(&self.until(end_s))
    }

    /// The last trial of the record.
    pub(crate) fn trial(&self, end_s: u32) -> Trial {
        self.judged(end_s).trials.pop().unwrap()
    }

    /// What `look` finds in its stays.
    pub(crate) fn stays<T>(&self, end_s: u32, look: impl FnOnce(&Basis<'_>, &Stays) -> T) -> T {
        let session = self.until(end_s);
        let basis = basis(&session);
        let stays = Stays::of(&basis);
        look(&basis, &stays)
    }
}

/// What a session is judged against.
pub(crate) fn basis(session: &Session) -> Basis<'_> {
    let card = session.card();
    let (limit, timeout) = (limit::limit(card), limit::timeout(card));
    Basis::of(session, limit.value, timeout.value, Memory::default())
}

/// A level known to `u_a` (k = 1) by its noise.
pub(crate) fn level(a: f64, u_a: f64) -> Estimate {
    Estimate {
        a,
        noise_u_a: u_a,
        dof: f64::INFINITY,
        ..Estimate::NOTHING
    }
}

/// A wake of so much charge at this second, half a minute long.
pub(crate) fn wake(at_s: f64, charge_as: f64) -> Wake {
    Wake {
        from: Elapsed::from_secs(at_s),
        to: Elapsed::from_secs(at_s + 30.0),
        peak_a: 0.3,
        charge_as,
        over: false,
    }
}

/// So many wakes of 9 As each in a watch, with no beat.
pub(crate) fn wakes(count: u32, watched_s: f64) -> Wakes {
    let at = |i| watched_s * f64::from(i) / f64::from(count);
    Wakes {
        seen: (0..count).map(|i| wake(at(i), 9.0)).collect(),
        watched_s,
        ..Wakes::default()
    }
}
