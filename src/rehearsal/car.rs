//! A simulated parked car behind a meter: it falls asleep, is kept awake, wakes, and obeys marks.
//!
//! No clock: whoever runs it says when a mark was made, and asks for the next reading. What the
//! meter adds is in `gauge`, what the car is made of in `story`.

mod hands;
mod sleeper;
mod ticker;

use std::collections::BTreeSet;

use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

use crate::reading::{Elapsed, Reading};
use crate::session::{Did, Mark};

use super::gauge::Gauge;
use super::story::Story;
use super::story::wiring::{LATCHES, Load, Surge};
use sleeper::Sleeper;
use ticker::Ticker;

/// What chance decides, each with its own stream of the one seed, so that more of one never
/// shifts another.
#[derive(Clone, Copy, Debug)]
pub(super) enum Chance {
    /// When the meter speaks.
    Moments,
    /// How the meter's last places tremble.
    Trembling,
    /// How this car differs a little from the drawing.
    Build,
    /// When wakers wake; one stream for each.
    Wakes(u64),
}

impl Chance {
    /// Its own stream of the seed.
    pub(super) fn of(self, seed: u64) -> ChaCha8Rng {
        let mut stream = ChaCha8Rng::seed_from_u64(seed);
        stream.set_stream(match self {
            Self::Moments => 1,
            Self::Trembling => 2,
            Self::Build => 3,
            Self::Wakes(n) => 100 + n,
        });
        stream
    }
}

/// One car living its story. It begins open and awake.
///
/// The same story, seed and marks always give the same readings, however the calls are
/// interleaved, as long as every mark arrives before the first reading that is not earlier than
/// it. To keep to that live, wait for [`Car::next_t`] before asking for the reading.
///
/// A strike is no mark and never reaches the car: it withdraws the line in the record, not the
/// hand's work. If the fuse was pulled it stays pulled, and the refit must be marked.
#[derive(Clone, Debug)]
pub struct Car {
    story: &'static Story,
    gauge: Gauge,
    sleepers: Vec<Sleeper>,
    tickers: Vec<Ticker>,
    surges: Vec<Running>,
    waiting: Vec<(Elapsed, Mark)>,
    /// Pulls of the announced run that the hands have not come to.
    run: Vec<(Elapsed, Mark)>,
    off: BTreeSet<&'static str>,
    renewed: BTreeSet<&'static str>,
    open: bool,
    now: Elapsed,
}

/// A surge under way.
#[derive(Clone, Copy, Debug)]
struct Running {
    until_s: f64,
    a: f64,
}

impl Car {
    /// The car of `story`, open and awake, the meter just switched on.
    pub fn new(story: &'static Story, seed: u64) -> Self {
        Self {
            story,
            gauge: Gauge::new(story.meter, seed),
            sleepers: sleeper::all(story, seed),
            tickers: ticker::all(story, seed),
            surges: Vec::new(),
            waiting: Vec::new(),
            run: Vec::new(),
            off: BTreeSet::new(),
            renewed: BTreeSet::new(),
            open: true,
            now: Elapsed::ZERO,
        }
    }

    /// When the next reading will come.
    pub const fn next_t(&self) -> Elapsed {
        self.gauge.next_t
    }

    /// The technician does this at `t`: the car obeys then, or now if that moment is past.
    ///
    /// It obeys when it hears, so a mark placed late (its `at`) acts at `t` all the same. A label
    /// that this car does not have changes nothing.
    pub fn mark(&mut self, t: Elapsed, mark: &Mark) {
        let t = t.max(self.now);
        let position = self.waiting.partition_point(|(at, _)| *at <= t);
        self.waiting.insert(position, (t, mark.clone()));
    }

    /// The next reading.
    pub fn next_reading(&mut self) -> Reading {
        let t = self.gauge.next_t;
        let due = self.waiting.partition_point(|(at, _)| *at <= t);
        let due: Vec<(Elapsed, Mark)> = self.waiting.drain(..due).collect();
        for (at, mark) in due {
            self.pass_time(at);
            self.walk_until(at);
            self.obey(at.secs(), &mark);
        }
        self.walk_until(t);
        self.pass_time(t);
        self.gauge.show(self.current_a(t.secs()))
    }

    fn pass_time(&mut self, t: Elapsed) {
        self.now = t;
        for ticker in &mut self.tickers {
            ticker.pass_time(t.secs());
        }
        self.surges.retain(|surge| t.secs() < surge.until_s);
    }

    fn obey(&mut self, t_s: f64, mark: &Mark) {
        match mark.did {
            Did::Lock => self.lock(t_s),
            Did::Unlock => self.unlock(t_s),
            Did::Pull | Did::Unplug => {
                self.off.extend(known(self.story, mark));
                self.rewire(t_s);
            }
            Did::Refit | Did::Plug => {
                for label in known(self.story, mark) {
                    self.off.remove(label);
                }
                self.rewire(t_s);
            }
            Did::Swap => self.swap(t_s, mark),
            Did::Run => self.announce(t_s, mark),
            Did::Zero | Did::Finish | Did::LeaveOut | Did::Note => {}
        }
    }

    fn lock(&mut self, t_s: f64) {
        self.open = false;
        self.surge(t_s, LATCHES);
        for sleeper in &mut self.sleepers {
            sleeper.release(t_s, 1.0);
        }
        for ticker in &mut self.tickers {
            ticker.start(t_s);
        }
        self.rewire(t_s);
    }

    fn unlock(&mut self, t_s: f64) {
        self.open = true;
        self.surge(t_s, LATCHES);
        for ticker in &mut self.tickers {
            ticker.stop();
        }
        self.rewire(t_s);
    }

    /// The connector is parted and joined for a new part, so a module in it starts up afresh.
    fn swap(&mut self, t_s: f64, mark: &Mark) {
        let parts = known(self.story, mark);
        self.off.extend(&parts);
        self.rewire(t_s);
        for part in parts {
            self.off.remove(part);
            self.renewed.insert(part);
        }
        self.rewire(t_s);
    }

    /// Lets everything follow from what is now fed and plugged.
    fn rewire(&mut self, t_s: f64) {
        let mut sleepers = std::mem::take(&mut self.sleepers);
        let mut stirs = false;
        for sleeper in &mut sleepers {
            let module = sleeper.module;
            let on = self.is_on(module.name);
            if on && !sleeper.on {
                stirs = true;
                self.surge(t_s, module.boot.surge());
            }
            let held = self.open || self.is_held(module.name);
            sleeper.rewire(t_s, on, held, self.story.stir.pace);
        }
        if stirs {
            for sleeper in &mut sleepers {
                sleeper.release(t_s + self.story.stir.awake_s, self.story.stir.pace);
            }
        }
        self.sleepers = sleepers;
        let mut tickers = std::mem::take(&mut self.tickers);
        for ticker in &mut tickers {
            let waker = ticker.waker;
            let on = self.is_on(waker.part) && !self.renewed.contains(waker.part);
            ticker.rewire(t_s, on, self.open);
        }
        self.tickers = tickers;
    }

    fn surge(&mut self, t_s: f64, surge: Surge) {
        self.surges.push(Running {
            until_s: t_s + surge.for_s,
            a: surge.a,
        });
    }

    fn is_on(&self, part: &str) -> bool {
        let mut fuses = self.story.feeding(part);
        !self.off.contains(part) && fuses.any(|fuse| !self.off.contains(fuse))
    }

    fn is_held(&self, module: &str) -> bool {
        self.story.keepers.iter().any(|keeper| {
            keeper.holds.includes(module)
                && self.is_on(keeper.part)
                && !self.renewed.contains(keeper.part)
        })
    }

    fn current_a(&self, t_s: f64) -> f64 {
        let lamps_a = if self.open { self.story.open_a } else { 0.0 };
        let modules_a: f64 = self.sleepers.iter().map(|s| s.level_a(t_s)).sum();
        let loads_a: f64 = self.story.loads.iter().map(|load| self.load_a(load)).sum();
        let wakes_a: f64 = self.tickers.iter().map(|t| t.extra_a(t_s)).sum();
        let surges_a: f64 = self.surges.iter().map(|surge| surge.a).sum();
        lamps_a + modules_a + loads_a + wakes_a + surges_a
    }

    fn load_a(&self, load: &Load) -> f64 {
        let parted = load.parts.iter().any(|part| self.off.contains(part));
        if parted || self.renewed.contains(load.faulty) {
            return 0.0;
        }
        let fed = load.draws.iter().filter(|draw| !self.off.contains(draw.0));
        fed.map(|draw| draw.1).sum()
    }
}

/// The things of this car that a mark names.
fn known(story: &Story, mark: &Mark) -> Vec<&'static str> {
    mark.what
        .iter()
        .filter_map(|label| story.known(label))
        .collect()
}

#[cfg(test)]
mod tests;
