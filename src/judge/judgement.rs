//! A whole judgement: everything that screens, reports and `judge --json` say of a session.

use chrono::{DateTime, FixedOffset};

use super::average::LongRun;
use super::by_hand::ByHand;
use super::contradiction::Contradiction;
use super::finding::{
    Cycle, LevelStep, Now, Phase, PhaseSpan, SettledNow, Share, Trial, Unclaimed, Verdict, Wake,
};
use super::limit::{self, Sourced};
use super::pattern::{self, Pattern};
use super::plan::Plan;
use super::reason::{NowReason, VerdictReason};
use super::remedy::Remedy;
use super::standing::{self, Complaint, StandingTime};
use super::stay::Stays;
use super::stop::Stop;
use super::sweep::{self, Swept};
use super::volts::{self, VoltsTold};
use super::watch::Watch;
use crate::reading::Elapsed;
use crate::reading::band::Band;
use crate::session::Session;
use crate::session::entry::Judged;
use crate::session::mark::{Did, MarkId};

/// Everything that can be said of a session.
#[derive(Clone, Debug, PartialEq)]
pub struct Judgement {
    /// Which edition of the rules judged.
    pub rules: &'static str,
    /// What was said by other rules when the record ended, where that was another verdict.
    pub by_other_rules: Option<Judged>,
    /// How many readings.
    pub readings: u64,
    /// How many were left out because their time ran backwards or leapt.
    pub left_out: u64,
    /// What somebody said is no evidence.
    pub by_hand: ByHand,
    /// From the first reading to the last, in seconds.
    pub span_s: f64,
    /// Charge drawn while there was evidence, in ampere-hours.
    pub charge_ah: f64,
    /// The limit in force, in ampere.
    pub limit: Sourced,
    /// What it would be by the rules that are not in force.
    pub other_limits: Vec<Sourced>,
    /// The sleep time-out in force, in seconds.
    pub timeout: Sourced,
    /// How long this car was seen to need to fall asleep, in seconds.
    pub sleep_took_s: Option<f64>,
    /// What would do as its time-out, in seconds: offered, never used by itself.
    pub learned_timeout_s: Option<f64>,
    /// The phases, in order, without holes.
    pub phases: Vec<PhaseSpan>,
    /// What the car does now.
    pub now: Now,
    /// Changes of level, in order.
    pub steps: Vec<LevelStep>,
    /// Lasting steps out of a settled level that nobody marked, in order.
    pub unclaimed: Vec<Unclaimed>,
    /// Trials, in order.
    pub trials: Vec<Trial>,
    /// The marks of each run of quick pulls; the change of the last one is that of them all.
    pub runs: Vec<Vec<MarkId>>,
    /// Wakes out of settled, in order.
    pub wakes: Vec<Wake>,
    /// Regular wakes.
    pub cycles: Vec<Cycle>,
    /// At which hours the car wakes; `None` when it never did.
    pub pattern: Option<Pattern>,
    /// When the record began on the clock on the wall; `None` where nobody knows.
    pub began: Option<DateTime<FixedOffset>>,
    /// The settled current split over circuits.
    pub ledger: Vec<Share>,
    /// The settled current that no trial explains, in ampere.
    pub rest_a: Option<f64>,
    /// What in the trials does not fit together.
    pub contradictions: Vec<Contradiction>,
    /// What to try next; `None` when the car was never above its limit, or is mended.
    pub plan: Option<Plan>,
    /// When there is no need to stay beside the car.
    pub stop: Option<Stop>,
    /// The settled current of the state in force.
    pub settled: Option<SettledNow>,
    /// Its long-run average: also where nothing settled.
    pub average: Option<LongRun>,
    /// Against the limit.
    pub verdict: Verdict,
    /// When the verdict stands, while it may still change.
    pub stands_at: Option<Elapsed>,
    /// Why, the deciding reason first.
    pub reasons: Vec<VerdictReason>,
    /// Whether the car slept at any time in the record.
    pub slept: bool,
    /// How much longer to watch for wakes that were never seen.
    pub watch: Option<Watch>,
    /// What the car draws in a day, in ampere-hours.
    pub day_ah: Option<Band>,
    /// How long the car stands with what was measured.
    pub standing: Option<StandingTime>,
    /// The millivolts read across fuses, as currents.
    pub sweep: Option<Swept>,
    /// What the battery's voltage says, where it was read.
    pub volts: Option<VoltsTold>,
    /// The average draw that the complaint implies, and what was measured.
    pub complaint: Option<Complaint>,
}

impl Judgement {
    /// Whether a new part was fitted in the record.
    pub fn is_mended(&self) -> bool {
        self.trials.iter().any(|trial| trial.did == Did::Swap)
    }

    /// What the ledger splits: its shares and the rest of the car, in ampere.
    pub fn ledger_sum_a(&self) -> f64 {
        let shares_a: f64 = self.ledger.iter().map(|share| share.level.a).sum();
        shares_a + self.rest_a.unwrap_or_default()
    }

    /// A wake's share of what the car draws in a day; of one in another state than now, or that is asked
    /// about and left out of it, none.
    pub fn day_share(&self, wake: &Wake) -> Option<f64> {
        let is_now = self.trials.iter().all(|trial| trial.t <= wake.from);
        let is_counted = !self.is_asked_about(wake);
        let day = self
            .day_ah
            .filter(|day| is_now && is_counted && day.best > 0.0)?;
        Some(wake.charge_as / 3600.0 / day.best)
    }

    /// Whether it may have been a hand at the car: then it is left out, and somebody has to say.
    pub fn is_asked_about(&self, wake: &Wake) -> bool {
        let (from_s, to_s) = (wake.from.secs(), wake.to.secs());
        self.reasons.iter().any(|reason| {
            matches!(reason, VerdictReason::Touched { at_s, .. } if (from_s..=to_s).contains(at_s))
        })
    }

    /// Whether the verdict sends the technician to the meter's other jack: a caution goes with it.
    pub fn advises_other_jack(&self) -> bool {
        self.reasons.iter().any(|reason| {
            matches!(
                reason,
                VerdictReason::TooClose {
                    remedy: Remedy::FinerRange { .. },
                    ..
                }
            )
        })
    }

    /// What can be said before the first reading.
    pub fn nothing_yet(session: &Session) -> Self {
        let signal = session.signal();
        let ends = signal.first_t().zip(signal.last_t());
        Self {
            rules: super::rules::EDITION,
            by_other_rules: None,
            readings: session.readings(),
            left_out: session.disordered(),
            by_hand: ByHand::of(session),
            span_s: ends.map_or(0.0, |(first, last)| last.secs_since(first)),
            charge_ah: signal.charge().charge_as / 3600.0,
            limit: limit::limit(session.card()),
            other_limits: limit::others(session.card()),
            timeout: limit::timeout(session.card()),
            sleep_took_s: None,
            learned_timeout_s: None,
            phases: Vec::new(),
            now: Now {
                phase: Phase::Blind,
                since: Elapsed::ZERO,
                level: None,
                reason: NowReason::NoReading,
                timeout_at: None,
                settles_at: None,
            },
            steps: Vec::new(),
            unclaimed: Vec::new(),
            trials: Vec::new(),
            runs: Vec::new(),
            wakes: Vec::new(),
            cycles: Vec::new(),
            pattern: None,
            began: pattern::began(session),
            ledger: Vec::new(),
            rest_a: None,
            contradictions: Vec::new(),
            plan: None,
            stop: None,
            settled: None,
            average: None,
            verdict: Verdict::NotSettled,
            stands_at: None,
            reasons: vec![VerdictReason::NoReading],
            slept: false,
            watch: None,
            day_ah: None,
            standing: None,
            sweep: sweep::sweep(session, None),
            volts: volts::read(session),
            complaint: standing::complaint(session.card(), &Stays::default(), None),
        }
    }
}
