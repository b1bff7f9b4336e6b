//! At which hours of the day a car wakes, and how much of its draw that is; only what chance does
//! not make as easily.
//!
//! Wakes at random fall near one hour on several days more often than one thinks. That `n` moments
//! drawn at random from a day all lie within a share `r` of it has the probability `n r^(n-1)` (A
//! solution to a geometrical problem in probability, Annals of Eugenics 9, 1939, 315; from memory);
//! as many times as `n` wakes can be chosen from all, it bounds how often chance makes such an hour.

use chrono::{DateTime, FixedOffset, Timelike};

use super::finding::{Cycle, Trial, Wake};
use super::pool::Pool;
use super::reason::TrialReason;
use super::rules::{CHANCE, HOUR_WIDE_S, PATTERN_WATCH_S};
use super::setup::Setup;
use super::stay::shown::Shown;
use super::stay::{Stay, Stays};
use crate::reading::Elapsed;
use crate::reading::number::{f64_from_i64, f64_from_usize, round_to_i64};
use crate::session::Session;

/// A day, in seconds.
pub const DAY_S: f64 = 86_400.0;

/// No hour stands out of more wakes in a day than this: each hour has some.
const MOST_A_DAY: f64 = 48.0;

/// Two wakes cannot be told closer together on the clock than this, in seconds.
const FINEST_S: f64 = 60.0;

/// The wakes of one state of the car, by the hour.
#[derive(Clone, Debug, PartialEq)]
pub struct Pattern {
    /// What was out in that state.
    pub out: Vec<String>,
    /// Whether it is the state in force.
    pub in_force: bool,
    /// For how long the car was watched in it, in seconds.
    pub watched_s: f64,
    /// How many wakes it had.
    pub wakes: usize,
    /// What they take in a day, in ampere-hours.
    pub day_ah: f64,
    /// When they come.
    pub habit: Habit,
}

/// When wakes come.
#[derive(Clone, Debug, PartialEq)]
pub enum Habit {
    /// By a beat, at any hour.
    Beat(Cycle),
    /// Near one hour of the day; all others at none.
    Hour(Hour),
    /// At no certain hour.
    None,
    /// The watch is too short to say.
    TooShort,
    /// Nobody knows which hour it was.
    NoClock,
}

/// The hour near which wakes come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hour {
    /// In seconds since midnight.
    pub at_s: f64,
    /// Within so many seconds on the clock.
    pub within_s: f64,
    /// How many wakes came near it.
    pub wakes: usize,
    /// On how many days.
    pub days: usize,
    /// Of how many on which the car was watched at that hour.
    pub of_days: usize,
    /// The mean charge of one, in ampere-hours.
    pub each_ah: f64,
    /// What they take in a day, in ampere-hours.
    pub day_ah: f64,
}

/// When the record began on the clock on the wall; `None` where nobody knows.
pub fn began(session: &Session) -> Option<DateTime<FixedOffset>> {
    let header = session.header();
    let is_known = header.started != DateTime::UNIX_EPOCH && !header.meter.tells_no_date();
    is_known.then_some(header.started)
}

/// The pattern of the newest state in which the car woke: rather of one that was watched for a day.
pub fn pattern(session: &Session, stays: &Stays) -> Option<Pattern> {
    let in_force = stays.all.iter().rfind(|stay| stay.standing().is_some())?;
    let midnight_s = began(session).map(|began| -f64::from(began.num_seconds_from_midnight()));
    let mut woke: Vec<usize> = Vec::new();
    let newest = stays.all.iter().rev().map(|stay| stay.setup);
    for setup in newest.filter(|setup| stays.has_wakes(*setup)) {
        if !woke.contains(&setup) {
            woke.push(setup);
        }
    }
    let states = woke.iter().map(|setup| State::of(stays, *setup));
    let mut states: Vec<State<'_>> = states.collect();
    let watched = states.iter().position(State::is_watched);
    let state = states.swap_remove(
        watched
            .unwrap_or_default()
            .min(states.len().checked_sub(1)?),
    );
    Some(state.pattern(in_force.setup, midnight_s))
}

/// The last trial that says what became of the wakes.
pub fn changed(trials: &[Trial]) -> Option<&Trial> {
    let of_wakes = |trial: &&Trial| {
        matches!(
            trial.reason,
            TrialReason::WakesStopped { .. }
                | TrialReason::WakesGoOn { .. }
                | TrialReason::WakesOpen { .. }
        )
    };
    trials.iter().rev().find(of_wakes)
}

/// One state of the car: its rests and its wakes.
struct State<'a> {
    setup: usize,
    is: Option<&'a Setup>,
    rests: Vec<(Elapsed, Elapsed)>,
    wakes: Vec<Wake>,
    regular: Option<Cycle>,
    watched_s: f64,
}

impl<'a> State<'a> {
    fn of(stays: &'a Stays, setup: usize) -> Self {
        let pool = Pool::of(stays, setup);
        let wakes = pool.wakes();
        let rest = |(_, shown): (&Stay, &Shown)| (shown.arrived, shown.until);
        Self {
            setup,
            is: stays.setups.get(setup).map(AsRef::as_ref),
            rests: pool.rested().map(rest).collect(),
            regular: wakes.regular,
            wakes: wakes.seen,
            watched_s: wakes.watched_s,
        }
    }

    fn is_watched(&self) -> bool {
        self.watched_s >= PATTERN_WATCH_S
    }

    fn pattern(self, in_force: usize, midnight_s: Option<f64>) -> Pattern {
        let out = self.is.map(Setup::all_out).unwrap_or_default();
        let charge_as: f64 = self.wakes.iter().map(|wake| wake.charge_as).sum();
        Pattern {
            out,
            in_force: self.setup == in_force,
            watched_s: self.watched_s,
            wakes: self.wakes.len(),
            day_ah: charge_as / self.watched_s.max(1.0) * DAY_S / 3600.0,
            habit: self.habit(midnight_s),
        }
    }

    fn habit(&self, midnight_s: Option<f64>) -> Habit {
        // A beat of a day is an hour.
        let beat = self.regular.filter(|cycle| cycle.period_s < DAY_S / 2.0);
        if let Some(cycle) = beat {
            return Habit::Beat(cycle);
        }
        if !self.is_watched() {
            return Habit::TooShort;
        }
        let Some(midnight_s) = midnight_s else {
            return Habit::NoClock;
        };
        if f64_from_usize(self.wakes.len()) > MOST_A_DAY * self.watched_s / DAY_S {
            return Habit::None;
        }
        self.hour(midnight_s).map_or(Habit::None, Habit::Hour)
    }

    /// On how many days the car was watched at this second of the clock.
    fn days_at(&self, midnight_s: f64, at_s: f64) -> usize {
        let day = |t: Elapsed| (t.secs() - midnight_s - at_s) / DAY_S;
        let days = self.rests.iter().map(|(from, to)| {
            let (first, last) = (day(*from).ceil(), day(*to).floor());
            usize::try_from(round_to_i64(last - first + 1.0)).unwrap_or(0)
        });
        days.sum()
    }

    /// How much of the day was watched at all, in seconds.
    fn clock_s(&self, midnight_s: f64) -> f64 {
        const PLACES: i64 = 144;
        let place_s = DAY_S / f64_from_i64(PLACES);
        let seen = (0..PLACES)
            .filter(|place| self.days_at(midnight_s, f64_from_i64(*place) * place_s) > 0);
        f64_from_usize(seen.count()) * place_s
    }

    /// The hour that chance makes least easily, where it makes it seldom enough.
    fn hour(&self, midnight_s: f64) -> Option<Hour> {
        let on_clock = self.on_clock(midnight_s);
        let clock_s = self.clock_s(midnight_s).max(FINEST_S);
        let all = self.wakes.len();
        let mut least = CHANCE;
        let mut members = None;
        for (at, first) in on_clock.iter().enumerate().take(all) {
            let run = on_clock.iter().skip(at).take(all);
            let near = run.take_while(|one| one.s - first.s <= HOUR_WIDE_S);
            let mut days: Vec<i64> = Vec::new();
            for (count, one) in (1..).zip(near) {
                if days.contains(&one.day) {
                    continue;
                }
                days.push(one.day);
                let share = (one.s - first.s).max(FINEST_S) / clock_s;
                let p = by_chance(all, days.len(), share);
                if p < least {
                    least = p;
                    members = on_clock.get(at..at + count);
                }
            }
        }
        Some(self.near(midnight_s, members?))
    }

    /// The wakes by the clock; past midnight each stands once more, as one of the night before.
    fn on_clock(&self, midnight_s: f64) -> Vec<OnClock> {
        let wakes = self.wakes.iter().map(|wake| {
            let since_s = wake.from.secs() - midnight_s;
            let day = (since_s / DAY_S).floor();
            OnClock {
                s: since_s - day * DAY_S,
                day: round_to_i64(day),
                charge_as: wake.charge_as,
            }
        });
        let mut wakes: Vec<OnClock> = wakes.collect();
        wakes.sort_by(|a, b| a.s.total_cmp(&b.s));
        let again = wakes.clone().into_iter().map(|one| OnClock {
            s: one.s + DAY_S,
            day: one.day - 1,
            ..one
        });
        wakes.extend(again);
        wakes
    }

    fn near(&self, midnight_s: f64, members: &[OnClock]) -> Hour {
        let count = f64_from_usize(members.len());
        let mean_s = members.iter().map(|one| one.s).sum::<f64>() / count;
        let charge_as: f64 = members.iter().map(|one| one.charge_as).sum();
        let mut days: Vec<i64> = members.iter().map(|one| one.day).collect();
        days.sort_unstable();
        days.dedup();
        let of_days = self.days_at(midnight_s, mean_s).max(days.len());
        let ends = members.first().zip(members.last());
        Hour {
            at_s: mean_s.rem_euclid(DAY_S),
            within_s: ends.map_or(0.0, |(first, last)| last.s - first.s),
            wakes: members.len(),
            days: days.len(),
            of_days,
            each_ah: charge_as / count / 3600.0,
            day_ah: charge_as / f64_from_usize(of_days) / 3600.0,
        }
    }
}

/// A wake by the clock.
#[derive(Clone, Copy, Debug)]
struct OnClock {
    /// In seconds since midnight of its day.
    s: f64,
    day: i64,
    charge_as: f64,
}

/// How often chance makes `n` of `all` wakes fall within a share of the day, at most.
fn by_chance(all: usize, n: usize, share: f64) -> f64 {
    if n < 2 {
        return 1.0;
    }
    let ways: f64 = (0..n)
        .map(|i| f64_from_usize(all.saturating_sub(i)) / f64_from_usize(i + 1))
        .product();
    let n = f64_from_usize(n);
    (ways * n * share.powf(n - 1.0)).min(1.0)
}

#[cfg(test)]
mod tests;
