//! What a story is made of: the shape of an invented car, its meter, its fault and its hunt.
//!
//! Only data; the car's own make is in `wiring`. How a car lives by it is in `car`; the stories themselves are in `stories`.
//! Everything is named by the label a technician would type: fuses (`L7`) and parts
//! (`trailer module`). A thing is on its supply while any one of its fuses is in.

pub mod wiring;

use crate::fuse::map::{self, Circuit};
use crate::judge::plan::load_fuses::bare;
use crate::session::card::{Accuracy, Battery, Card};
use crate::session::mark::Did;
use wiring::{Keeper, LidFuse, Load, Module, Stir, Surge, Waker};

/// One invented car and the hunt for its fault.
#[derive(Clone, Copy, Debug)]
pub struct Story {
    /// What `--story` calls it.
    pub name: &'static str,
    /// What happens in it, in one line, without giving the fault away.
    pub summary: &'static str,
    /// What the customer says.
    pub complaint: &'static str,
    /// The maker's limit, when the story has one, in ampere.
    pub limit_a: Option<f64>,
    /// The maker's module-sleep time-out, in seconds.
    pub sleep_timeout_s: f64,
    /// The battery in it.
    pub battery: Battery,
    /// How many simulated seconds a second takes, unless the user says otherwise.
    pub speed: f64,
    /// The seed, unless the user says otherwise.
    pub seed: u64,
    /// The meter in it.
    pub meter: Meter,
    /// The fuse box.
    pub fuses: &'static [LidFuse],
    /// Lamps and the like that burn while the car is open, in ampere.
    pub open_a: f64,
    /// The door latches' motors, on every lock and unlock.
    pub latches: Surge,
    /// What happens when something gives the network a reason to wake.
    pub stir: Stir,
    /// Everything that falls asleep.
    pub modules: &'static [Module],
    /// What draws always.
    pub loads: &'static [Load],
    /// What keeps others awake.
    pub keepers: &'static [Keeper],
    /// What wakes every few minutes.
    pub wakers: &'static [Waker],
    /// How the hunt is taught.
    pub lesson: Lesson,
    /// What a good technician does, and when.
    pub script: &'static [Cue],
    /// When the recording of that ends, in seconds.
    pub end_s: f64,
}

impl Story {
    /// The card as it would be filled in before this hunt.
    #[must_use]
    pub fn card(&self) -> Card {
        Card {
            car: Some(format!("rehearsal: {}", self.name)),
            complaint: Some(self.complaint.to_owned()),
            limit_a: self.limit_a,
            sleep_timeout_s: Some(self.sleep_timeout_s),
            accuracy: Some(self.meter.accuracy),
            battery: Some(self.battery),
            ..Card::default()
        }
    }

    /// The fuse map, as the lid tells it.
    #[must_use]
    pub fn map(&self) -> Vec<Circuit> {
        self.fuses.iter().map(LidFuse::circuit).collect()
    }

    /// The meter URI that brings back this story with this seed.
    #[must_use]
    pub fn uri(&self, seed: u64) -> String {
        format!("rehearsal:{}?seed={seed}", self.name)
    }

    /// Every part that can be unplugged, each once.
    #[must_use]
    pub fn parts(&self) -> Vec<&'static str> {
        let mut parts: Vec<&'static str> = self.wired().collect();
        parts.sort_unstable();
        parts.dedup();
        parts
    }

    /// Every part that can be unplugged, as often as something names it.
    fn wired(&self) -> impl Iterator<Item = &'static str> {
        let modules = self.modules.iter().map(|module| module.name);
        let loads = self.loads.iter().flat_map(|load| load.parts).copied();
        let keepers = self.keepers.iter().map(|keeper| keeper.part);
        let wakers = self.wakers.iter().map(|waker| waker.part);
        modules.chain(loads).chain(keepers).chain(wakers)
    }

    /// What the lid says that the fuses feed, whether or not it draws anything.
    fn fed(&self) -> impl Iterator<Item = &'static str> {
        self.fuses.iter().flat_map(|slot| slot.feeds).copied()
    }

    /// The fuse or part that was meant by a typed label, however the map or a hand spells it;
    /// either supply of a part means the part. `None` when this car has no such thing.
    #[must_use]
    pub fn known(&self, label: &str) -> Option<&'static str> {
        let find = |wanted: &str| {
            let fuses = self.fuses.iter().map(|slot| slot.label);
            let mut names = fuses.chain(self.wired()).chain(self.fed().map(bare));
            names.find(|name| map::same(name, wanted))
        };
        let on_lid = || self.fed().find(|part| map::same(part, label));
        find(label).or_else(|| find(bare(on_lid().unwrap_or(label))))
    }
}

/// The simulated meter.
#[derive(Clone, Copy, Debug)]
pub struct Meter {
    /// Places after the point, in ampere: 3 is a 1 mA display.
    pub decimals: u8,
    /// Beyond this it shows over-range, in ampere.
    pub range_a: f64,
    /// Its accuracy as its manual would give it.
    pub accuracy: Accuracy,
    /// From one reading to the next, in seconds.
    pub period_s: f64,
    /// By how much a reading may come early or late, in seconds; well under half the period.
    pub jitter_s: f64,
    /// Noise.
    pub noise: MeterNoise,
}

/// What a meter's last places do while the current stands still.
#[derive(Clone, Copy, Debug)]
pub struct MeterNoise {
    /// Independent from reading to reading: standard deviation, in ampere.
    pub white_a: f64,
    /// Wandering (first-order autoregressive): standard deviation, in ampere.
    pub wander_a: f64,
    /// How long the wander remembers, in seconds.
    pub wander_s: f64,
    /// What the modules' own work adds: standard deviation as a share of the current.
    pub share: f64,
}

/// What a story has to teach. The hints go by it where the plan is silent: in a car that rests low.
#[derive(Clone, Copy, Debug)]
pub struct Lesson {
    /// Fuses worth pulling, in the order that teaches most.
    pub tries: &'static [&'static str],
    /// Those among them that carry the fault itself; none in a healthy car.
    pub culprits: &'static [&'static str],
    /// Parts worth unplugging, in the order that teaches most; the last is the one to replace.
    pub parts: &'static [&'static str],
    /// Whether the part can be reached only in the opened car.
    pub opened: bool,
}

/// One thing that a good technician does.
#[derive(Clone, Copy, Debug)]
pub struct Cue {
    /// When, in seconds.
    pub at_s: f64,
    /// What.
    pub act: Act,
}

/// What a technician does.
#[derive(Clone, Copy, Debug)]
pub enum Act {
    /// Does this to these fuses or parts, and marks it.
    Do(Did, &'static [&'static str]),
    /// Notes something.
    Note(&'static str),
    /// Withdraws the last removal or refit: it was only marked, the hand had not moved.
    Strike,
}

/// A mark in a script.
pub(super) const fn cue(at_s: f64, did: Did, what: &'static [&'static str]) -> Cue {
    Cue {
        at_s,
        act: Act::Do(did, what),
    }
}

/// A note in a script.
pub(super) const fn note(at_s: f64, text: &'static str) -> Cue {
    Cue {
        at_s,
        act: Act::Note(text),
    }
}

/// A strike in a script.
pub(super) const fn strike(at_s: f64) -> Cue {
    Cue {
        at_s,
        act: Act::Strike,
    }
}
