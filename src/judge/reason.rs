//! Why a judgement is what it is: typed reasons with their figures.
//!
//! No sentence here, and no decision anywhere that reads one: `words` makes the sentences.

#![expect(
    missing_docs,
    reason = "a figure's name says what it is and carries its unit"
)]

use serde::Serialize;

use super::remedy::Remedy;
use super::stay::asleep::Ground;
use super::stay::evidence::Fault;

/// Why a trial came out as it did.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "code", rename_all = "kebab-case")]
pub enum TrialReason {
    /// A fall, its own part and what came later.
    Fell {
        own_a: Option<f64>,
        later_a: f64,
        stages: usize,
        last_after_s: f64,
    },
    /// A rise.
    Rose { by_a: f64, differs_a: Option<f64> },
    /// No change over so long.
    Same { for_s: f64, differs_a: Option<f64> },
    /// A change too small to matter.
    TooLittle { by_a: f64 },
    /// With it the car stayed up, without it it slept.
    Slept { up_s: f64, p: f64 },
    /// Evidence was missing while it fell, so nobody saw how.
    Blind { for_s: f64 },
    /// What was done woke the car, so nobody saw how the fall came.
    Woke { rise_a: f64 },
    /// The wakes that it had before stopped.
    WakesStopped {
        every_s: f64,
        watched_s: f64,
        average_before_a: f64,
        average_after_a: f64,
    },
    /// They went on.
    WakesGoOn {
        every_s: f64,
        seen: usize,
        average_after_a: f64,
    },
    /// Whether they stopped is open.
    WakesOpen {
        every_s: f64,
        watched_s: f64,
        needed_s: f64,
    },
    /// A change up to this cannot be told.
    Blunt { below_a: f64, remedy: Remedy },
    /// Nothing has settled since.
    Unsettled { waited_s: f64, at_a: Option<f64> },
    /// The next deed came before anything had settled.
    Overtaken {
        by: String,
        after_s: f64,
        in_run: bool,
    },
    /// Nothing had settled before, so there is nothing to compare with.
    NothingBefore {
        now_a: Option<f64>,
        differs_a: Option<f64>,
    },
    /// The car then slept, but had not been up long enough before for that to count.
    UpTooShort { up_s: f64, needed_s: f64 },
    /// The label cannot be: it was out already, or never out.
    Misnamed {
        label: String,
        out: Vec<String>,
        since_s: Option<f64>,
    },
    /// The meter saw no current.
    NoCurrent { at_a: f64 },
    /// No digit moved through it.
    Frozen { for_s: f64 },
    /// What went at once is its own; what fell later may be of the removal before it.
    Shared { own_a: f64, later_a: f64 },
    /// The current fell by itself, late; with the part back in, the car slept on at this level.
    AsleepWithIt { fell_a: f64, level_a: f64 },
    /// It fell shortly before a removal was marked, and nobody marked that: perhaps that removal,
    /// marked late. `by` is the removal where it is not this one.
    FellBefore {
        fell_a: f64,
        before_s: f64,
        by: Option<String>,
    },
    /// Own and resting change differ, and nothing lies between that explains it.
    Disagree { own_a: f64, resting_a: f64 },
}

/// Why the phase is what it is.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "code", rename_all = "kebab-case")]
pub enum NowReason {
    /// No reading yet.
    NoReading,
    /// No usable reading.
    Blind,
    /// Modules at work.
    Awake {
        at_a: f64,
        waited_s: Option<f64>,
        timeout_s: f64,
    },
    /// Just fell.
    Fell { from_a: f64, ago_s: f64 },
    /// Woke out of a settled level.
    Woke { out_of_a: f64, ago_s: f64 },
    /// Flat, sleep not proven.
    Flat {
        at_a: f64,
        for_s: f64,
        waited_s: Option<f64>,
        timeout_s: f64,
        after: Option<String>,
        needs_timeout: bool,
    },
    /// Settled.
    Settled {
        at_a: f64,
        for_s: f64,
        ground: Option<Ground>,
        past_timeout_s: Option<f64>,
        took_s: Option<f64>,
    },
}

/// Why a verdict is what it is, each with the most that it allows.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "code", rename_all = "kebab-case")]
pub enum VerdictReason {
    /// No reading yet.
    NoReading,
    /// The level and the average, against the limit.
    Measured {
        level_a: f64,
        average_a: f64,
        low_a: f64,
        high_a: f64,
        p_below: f64,
    },
    /// The level is below, the average with its wakes is not.
    Wakes {
        level_a: f64,
        average_a: f64,
        wakes: usize,
        watched_s: f64,
    },
    /// It never rested, and its long-run average is above.
    Restless {
        average_a: f64,
        u_a: f64,
        over_s: f64,
    },
    /// The time-out has not run.
    Early { waited_s: f64, timeout_s: f64 },
    /// A stated time-out may be too short.
    MayLie { until_s: f64 },
    /// A removal is not judged before the time-out has run since.
    SinceDeed { waited_s: f64, timeout_s: f64 },
    /// Nothing has settled.
    Unsettled {
        at_a: Option<f64>,
        waited_s: f64,
        timeout_s: f64,
    },
    /// Its state has no reading yet.
    NoReadingSince { deed: String },
    /// Whether wakes stopped is open.
    WakesOpen { deed: String, needed_s: f64 },
    /// The meter's accuracy was not given.
    NoAccuracy { share: f64 },
    /// Too close for this meter: what would settle it.
    TooClose { u_a: f64, remedy: Remedy },
    /// Wakes went beyond the meter's range: the average has no upper end.
    WakesOver { level_a: f64, wakes: usize },
    /// How often it wakes is not known well enough.
    FewWakes {
        wakes: usize,
        watched_s: f64,
        more_s: Option<f64>,
    },
    /// One large event that is more likely a hand than a wake is left out until answered.
    Touched {
        at_s: f64,
        for_s: f64,
        charge_as: f64,
    },
    /// Readings minutes apart: what comes and goes between two of them is not seen.
    Sparse { step_s: f64 },
    /// It rose, and has not come back: a wake, or the end of the rest.
    Risen { at_s: f64, for_s: f64 },
    /// The level moves by so much an hour.
    Moves { a_per_h: f64, is_clamp: bool },
    /// The meter shows nothing, or nothing that moves.
    Fault { fault: &'static str, for_s: f64 },
    /// It stood above the limit past its time-out before, and went by itself.
    Stood {
        level_a: f64,
        from_s: f64,
        for_s: f64,
    },
    /// The battery was being charged, by its voltage.
    Charging { at_s: f64, for_s: f64, peak_v: f64 },
    /// Evidence is missing for so long of the watch.
    Holes { blind_s: f64, of_s: f64 },
    /// A current that no parked car draws.
    Implausible {
        level_a: f64,
        u_a: f64,
        kind: Implausible,
    },
    /// No lock was marked.
    NotLocked,
    /// The stay that it speaks of ended when the car was opened.
    Until { at_s: f64 },
    /// These are out.
    With { out: Vec<String> },
}

/// What is wrong with a current that no parked car draws.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Implausible {
    /// Exactly zero, without any noise.
    Zero,
    /// Negative beyond U.
    Negative,
    /// Within U of nothing.
    Nothing,
    /// So much that it must be another unit.
    Unit,
}

impl Fault {
    /// The fault as files write it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Dead => "dead",
            Self::Frozen => "frozen",
            Self::Charged => "charged",
            Self::LeftOut => "left out",
        }
    }
}
