//! Simulated records with known truth, for measuring the judge. Not the rehearsal's cars: these
//! are drawn at random, and their seeds are used for nothing else.

use lullboard::reading::{Amps, Elapsed, Measured};
use lullboard::session::entry::{Entry, Fact};
use lullboard::session::mark::{MarkId, parse_mark};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

/// A level from a moment on.
pub type Stage = (f64, f64);

/// What a simulated meter adds.
#[derive(Clone, Copy, Debug)]
pub struct Noise {
    pub white_a: f64,
    pub slow_a: f64,
    pub tau_s: f64,
    pub share: f64,
    pub decimals: u8,
    pub rate_hz: f64,
    pub gain_u: f64,
    pub offset_u_a: f64,
    pub drift_a_per_h: f64,
}

impl Default for Noise {
    fn default() -> Self {
        Self {
            white_a: 0.001,
            slow_a: 0.0005,
            tau_s: 2.0,
            share: 0.003,
            decimals: 3,
            rate_hz: 2.0,
            gain_u: 0.005,
            offset_u_a: 0.0,
            drift_a_per_h: 0.0,
        }
    }
}

pub struct Draw {
    pub rng: ChaCha8Rng,
}

impl Draw {
    pub fn new(seed: u64) -> Self {
        Self {
            rng: ChaCha8Rng::seed_from_u64(seed),
        }
    }

    pub fn normal(&mut self) -> f64 {
        StandardNormal.sample(&mut self.rng)
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        self.rng.random_range(low..high)
    }

    pub fn log_between(&mut self, low: f64, high: f64) -> f64 {
        self.between(low.ln(), high.ln()).exp()
    }
}

/// Readings of a car that goes through `stages`, until `end_s`.
pub fn readings(draw: &mut Draw, stages: &[Stage], noise: &Noise, end_s: f64) -> Vec<Entry> {
    let gain = 1.0 + noise.gain_u * draw.normal();
    let offset_a = noise.offset_u_a * draw.normal();
    let drift_a_per_h = noise.drift_a_per_h * draw.between(-1.0, 1.0);
    let step_s = 1.0 / noise.rate_hz;
    let keep = (-step_s / noise.tau_s).exp();
    let fresh = (1.0 - keep * keep).sqrt();
    let (mut slow, mut load) = (draw.normal(), draw.normal());
    let mut entries = Vec::new();
    let mut t_s = draw.between(0.0, step_s);
    while t_s < end_s {
        slow = keep * slow + fresh * draw.normal();
        load = keep * load + fresh * draw.normal();
        let level_a = stages
            .iter()
            .rev()
            .find(|(from_s, _)| *from_s <= t_s)
            .map_or(0.0, |s| s.1);
        let true_a = level_a * (1.0 + noise.share * load) + noise.slow_a * slow;
        let read_a = gain * (true_a + noise.white_a * draw.normal())
            + offset_a
            + drift_a_per_h * t_s / 3600.0;
        let value = Measured::Amps(Amps::rounded(read_a, noise.decimals));
        entries.push(Entry {
            t: Elapsed::from_secs(t_s),
            fact: Fact::Reading(value),
        });
        t_s += step_s * draw.between(0.95, 1.05);
    }
    entries
}

/// Adds a mark where it belongs in time.
pub fn mark(entries: &mut Vec<Entry>, id: u32, t_s: f64, cell: &str) {
    let t = Elapsed::from_secs(t_s);
    let Ok(mark) = parse_mark(MarkId(id), cell) else {
        return;
    };
    let at = entries.partition_point(|entry| entry.t <= t);
    entries.insert(
        at,
        Entry {
            t,
            fact: Fact::Mark(Box::new(mark)),
        },
    );
}
