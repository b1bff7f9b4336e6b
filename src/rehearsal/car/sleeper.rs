//! A module on its way to sleep and out of it. When it may sleep, the car says.

use rand::RngExt;

use super::Chance;
use crate::rehearsal::story::Story;
use crate::rehearsal::story::wiring::{Module, Stage};

/// No two cars fall asleep to the second: each stage comes up to this share early or late.
const STAGE_SPREAD: f64 = 0.04;

/// One module of one car.
#[derive(Clone, Debug)]
pub(super) struct Sleeper {
    /// What it is made of.
    pub(super) module: &'static Module,
    stages: Vec<Stage>,
    /// Whether it has a supply.
    pub(super) on: bool,
    held: bool,
    released_s: f64,
    pace: f64,
}

/// Every module of a story, awake.
pub(super) fn all(story: &'static Story, seed: u64) -> Vec<Sleeper> {
    let mut chance = Chance::Build.of(seed);
    let mut vary = |stage: &Stage| Stage {
        after_s: stage.after_s * (1.0 + STAGE_SPREAD * chance.random_range(-1.0..=1.0)),
        level_a: stage.level_a,
    };
    story
        .modules
        .iter()
        .map(|module| Sleeper {
            module,
            stages: module.stages.iter().map(&mut vary).collect(),
            on: true,
            held: true,
            released_s: 0.0,
            pace: 1.0,
        })
        .collect()
}

impl Sleeper {
    /// From `t_s` on it may fall asleep, taking `pace` of its usual time, unless it is held.
    pub(super) const fn release(&mut self, t_s: f64, pace: f64) {
        self.released_s = t_s;
        self.pace = pace;
    }

    /// Follows a change of supply or of what holds it awake. Let go, it starts at the first
    /// stage, but not before a wake already under way has ended.
    pub(super) fn rewire(&mut self, t_s: f64, on: bool, held: bool, pace: f64) {
        if self.held && !held && self.released_s < t_s {
            self.release(t_s, pace);
        }
        self.on = on;
        self.held = held;
    }

    /// What it draws at `t_s`.
    pub(super) fn level_a(&self, t_s: f64) -> f64 {
        if !self.on {
            return 0.0;
        }
        if self.held {
            return self.module.awake_a;
        }
        self.stages
            .iter()
            .rev()
            .find(|stage| t_s >= self.released_s + stage.after_s * self.pace)
            .map_or(self.module.awake_a, |stage| stage.level_a)
    }
}
