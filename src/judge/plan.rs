//! The plan: which fuses to move next, why, and how long the hunt is still expected to last.
//!
//! Pure: what is known goes in as a [`Brief`], and the same brief gives the same plan. How a brief
//! is read out of a session stands in `from_session`.

pub mod belief;
mod decide;
pub mod from_session;
pub mod load_fuses;
mod moves;
mod odds;
mod parts;
pub mod reason;
pub mod search;
mod told;
pub mod usual;
pub mod weights;

use crate::fuse::map::Circuit;
use crate::session::mark::Did;
use belief::{Belief, Told};
use decide::Planner;
use reason::PlanReason;
use search::Waits;

/// What the planner has to know.
#[derive(Clone, Debug, PartialEq)]
pub struct Brief<'a> {
    /// The car's fuse map.
    pub map: &'a [Circuit],
    /// What removals and refits told so far, in order.
    pub told: Vec<Told>,
    /// What a sweep in millivolts told.
    pub swept: &'a [FuseDraw],
    /// Circuits that were found to feed one load.
    pub pairs: &'a [Vec<String>],
    /// Parts that were unplugged without effect.
    pub cleared_parts: Vec<String>,
    /// Parts whose unplugging brought the current down.
    pub found_parts: Vec<String>,
    /// The limit, in ampere.
    pub limit_a: f64,
    /// By how much the car was above it when it first settled, in ampere.
    pub excess_a: f64,
    /// The last settled level, in ampere.
    pub level_a: f64,
    /// What was off its supply at that level.
    pub out: Vec<String>,
    /// What is off its supply now.
    pub out_now: Vec<String>,
    /// What was moved since, and is not judged yet.
    pub pending: Vec<String>,
    /// The waits of this car.
    pub waits: Waits,
}

/// What one circuit draws, found without moving its fuse.
#[derive(Clone, Debug, PartialEq)]
pub struct FuseDraw {
    /// The fuse.
    pub label: String,
    /// It draws at least this, in ampere.
    pub lowest_a: f64,
    /// It draws at most this, in ampere.
    pub highest_a: f64,
}

/// What to do next.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plan {
    /// What to do with [`Plan::next`]; `None` when there is nothing to do but wait or look.
    pub did: Option<Did>,
    /// The fuses to pull or refit, or the part to unplug or replace.
    pub next: Vec<String>,
    /// Why.
    pub reason: PlanReason,
    /// Expected time until the circuit is known, and then until the part is, in minutes.
    pub minutes_left: f64,
    /// What it may still be, likeliest first.
    pub rest: Vec<Candidate>,
    /// The parts to unplug, one at a time.
    pub parts: Vec<String>,
    /// What to know before doing it.
    pub cautions: Vec<&'static str>,
}

/// A circuit that may be the drawer, or fuses that are one because they feed one load.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// Its fuses.
    pub what: Vec<String>,
    /// How likely it is.
    pub p: f64,
}

/// The plan; `None` when there is nothing to go on.
pub fn plan(brief: &Brief<'_>) -> Option<Plan> {
    let mut belief = Belief::new(brief.map, &brief.told, brief.limit_a, brief.excess_a);
    for pair in brief.pairs {
        belief.join(pair);
    }
    for swept in brief.swept {
        belief.measure(&swept.label, swept.lowest_a, swept.highest_a);
    }
    for told in &brief.told {
        belief.learn(told);
    }
    let planner = Planner { brief, belief };
    planner.plan()
}
