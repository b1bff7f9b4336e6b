//! A part that wakes again and again while the car is locked.

use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

use super::Chance;
use crate::rehearsal::story::Story;
use crate::rehearsal::story::wiring::Waker;

/// However wide the jitter, the next wake never comes before this share of the period.
const SHORTEST: f64 = 0.5;

/// One waker of one car.
#[derive(Clone, Debug)]
pub(super) struct Ticker {
    /// What it is made of.
    pub(super) waker: &'static Waker,
    chance: ChaCha8Rng,
    on: bool,
    next_s: Option<f64>,
    until_s: Option<f64>,
}

/// Every waker of a story, none of them ticking yet.
pub(super) fn all(story: &'static Story, seed: u64) -> Vec<Ticker> {
    story
        .wakers
        .iter()
        .zip(0..)
        .map(|(waker, n)| Ticker {
            waker,
            chance: Chance::Wakes(n).of(seed),
            on: true,
            next_s: None,
            until_s: None,
        })
        .collect()
}

impl Ticker {
    /// The car was locked, or the supply is back: the first wake is a period away.
    pub(super) fn start(&mut self, t_s: f64) {
        self.until_s = None;
        self.next_s = self.on.then(|| t_s + self.interval_s());
    }

    /// The car was opened: nothing ticks until it is locked again.
    pub(super) const fn stop(&mut self) {
        self.next_s = None;
        self.until_s = None;
    }

    /// Follows a change of supply.
    pub(super) fn rewire(&mut self, t_s: f64, on: bool, open: bool) {
        let was_on = std::mem::replace(&mut self.on, on);
        if !on {
            self.stop();
        } else if !was_on && !open {
            self.start(t_s);
        }
    }

    /// Starts the wakes that are due by `t_s`.
    pub(super) fn pass_time(&mut self, t_s: f64) {
        while let Some(onset_s) = self.next_s.filter(|onset_s| *onset_s <= t_s) {
            self.until_s = Some(onset_s + self.waker.width_s);
            self.next_s = Some(onset_s + self.interval_s());
        }
    }

    fn interval_s(&mut self) -> f64 {
        let spread: f64 = StandardNormal.sample(&mut self.chance);
        self.waker.period_s * (1.0 + self.waker.jitter * spread).max(SHORTEST)
    }

    /// What it draws on top at `t_s`.
    pub(super) fn extra_a(&self, t_s: f64) -> f64 {
        if self.until_s.is_some_and(|until_s| t_s < until_s) {
            self.waker.extra_a
        } else {
            0.0
        }
    }
}
