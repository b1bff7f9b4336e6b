//! What a story is made of: the shape of an invented car, its meter, its fault and its hunt.
//!
//! Only data; the car's own make is in `wiring`. How a car lives by it is in `car`; the stories
//! themselves are in `assets/stories`, read by `stories`.
//! Everything is named by the label a technician would type: fuses (`L7`) and parts
//! (`trailer module`). A thing is on its supply while any one of its fuses is in.

pub mod wiring;

use crate::fuse::map::{self, Circuit};
use crate::judge::plan::load_fuses::bare;
use crate::session::card::{Accuracy, Battery, Card};
use crate::session::mark::{Mark, MarkError, MarkId, parse_mark};
use serde::Deserialize;
use wiring::{Keeper, LidFuse, Load, Module, Stir, Waker};

/// One invented car and the hunt for its fault.
#[derive(Clone, Debug, Deserialize)]
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
    #[serde(skip)]
    pub meter: Meter,
    /// The fuse box.
    pub fuses: Vec<LidFuse>,
    /// Lamps and the like that burn while the car is open, in ampere.
    pub open_a: f64,
    /// What happens when something gives the network a reason to wake.
    pub stir: Stir,
    /// Everything that falls asleep.
    pub modules: Vec<Module>,
    /// What draws always.
    #[serde(default)]
    pub loads: Vec<Load>,
    /// What keeps others awake.
    #[serde(default)]
    pub keepers: Vec<Keeper>,
    /// What wakes every few minutes.
    #[serde(default)]
    pub wakers: Vec<Waker>,
    /// How the hunt is taught.
    pub lesson: Lesson,
    /// What a good technician does, and when.
    pub script: Vec<Cue>,
    /// When the recording of that ends, in seconds.
    pub end_s: f64,
}

impl Story {
    /// The card as it would be filled in before this hunt.
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
    pub fn map(&self) -> Vec<Circuit> {
        self.fuses.iter().map(LidFuse::circuit).collect()
    }

    /// The meter URI that brings back this story with this seed.
    pub fn uri(&self, seed: u64) -> String {
        format!("rehearsal:{}?seed={seed}", self.name)
    }

    /// Every part that can be unplugged, each once.
    pub fn parts(&self) -> Vec<&'static str> {
        let mut parts: Vec<&'static str> = self.wired().collect();
        parts.sort_unstable();
        parts.dedup();
        parts
    }

    /// Every part that can be unplugged, as often as something names it.
    fn wired(&self) -> impl Iterator<Item = &'static str> {
        let modules = self.modules.iter().map(|module| module.name);
        let loads = self.loads.iter().flat_map(|load| &load.parts).copied();
        let keepers = self.keepers.iter().map(|keeper| keeper.part);
        let wakers = self.wakers.iter().map(|waker| waker.part);
        modules.chain(loads).chain(keepers).chain(wakers)
    }

    /// What the lid says that the fuses feed, whether or not it draws anything.
    fn fed(&self) -> impl Iterator<Item = &'static str> {
        self.fuses.iter().flat_map(|slot| &slot.feeds).copied()
    }

    /// The fuses that feed this part; any one is enough.
    pub fn feeding(&self, part: &str) -> impl Iterator<Item = &'static str> {
        let feeds = move |slot: &&LidFuse| slot.feeds.iter().any(|fed| bare(fed) == part);
        self.fuses.iter().filter(feeds).map(|slot| slot.label)
    }

    /// The fuse or part that was meant by a typed label, however the map or a hand spells it;
    /// either supply of a part means the part. `None` when this car has no such thing.
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

impl Default for Meter {
    /// A hand-held meter in series on its 10 A range, 1 mA display.
    fn default() -> Self {
        Self {
            decimals: 3,
            range_a: 10.0,
            accuracy: Accuracy {
                percent: 1.0,
                counts: 3.0,
                amount_a: 0.0,
            },
            period_s: 0.5,
            jitter_s: 0.02,
            noise: MeterNoise {
                white_a: 0.000_6,
                wander_a: 0.000_4,
                wander_s: 2.0,
                share: 0.006,
            },
        }
    }
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
#[derive(Clone, Debug, Deserialize)]
pub struct Lesson {
    /// Fuses worth pulling, in the order that teaches most.
    #[serde(borrow)]
    pub tries: Vec<&'static str>,
    /// Those among them that carry the fault itself; none in a healthy car.
    #[serde(borrow)]
    pub culprits: Vec<&'static str>,
    /// Parts worth unplugging, in the order that teaches most; the last is the one to replace.
    #[serde(borrow)]
    pub parts: Vec<&'static str>,
    /// Whether the part can be reached only in the opened car.
    pub opened: bool,
}

/// One thing that a good technician does.
#[derive(Clone, Debug, Deserialize)]
#[serde(try_from = "(f64, String)")]
pub struct Cue {
    /// When, in seconds.
    pub at_s: f64,
    /// What.
    pub act: Act,
}

/// What a technician does.
#[derive(Clone, Debug)]
pub enum Act {
    /// Does it and marks it, or notes something.
    Mark(Mark),
    /// Withdraws the last removal or refit: it was only marked, the hand had not moved.
    Strike,
}

impl TryFrom<(f64, String)> for Cue {
    type Error = MarkError;

    fn try_from((at_s, told): (f64, String)) -> Result<Self, MarkError> {
        let act = match told.as_str() {
            "strike" => Act::Strike,
            told => Act::Mark(parse_mark(MarkId::default(), told)?),
        };
        Ok(Self { at_s, act })
    }
}
