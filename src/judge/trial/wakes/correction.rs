//! What the wakes mean for a finding, in words.

use super::{Known, Since};
use crate::judge::finding::{Finding, Trial};
use crate::judge::wait;
use crate::reading::quantity;
use crate::session::mark::Did;

/// Wakes that add less than this share of what they added are another rate.
const RARER: f64 = 0.5;
/// A circuit that draws up to this much is as it should be (workshop manual "Establishing unfused
/// components", 2000: up to 20 mA the unit is good).
const OWN_MAX_A: f64 = 0.020;

/// What is to be said of the wakes.
pub(super) struct Correction {
    pub(super) known: Known,
    /// Whether the settled level was as it should be, so that the wakes are all that is too much.
    pub(super) only_wakes: bool,
    /// Whether something else was moved since.
    pub(super) is_over: bool,
    pub(super) clear: bool,
    pub(super) limit_a: f64,
    pub(super) average_a: f64,
    pub(super) after_a: f64,
}

impl Correction {
    /// Puts it onto a trial that was judged by its settled level.
    pub(super) fn onto(&self, trial: &mut Trial, since: Since) {
        let every = quantity::span(self.known.every_s);
        let holds = if trial.did == Did::Swap {
            "holds: "
        } else {
            ""
        };
        let words = match since {
            Since::Stopped { watched_s } => {
                trial.finding = if self.clear {
                    Finding::Clears
                } else {
                    Finding::Lowers
                };
                format!(
                    "{holds}the wakes stopped: none in {}, before every {every}; {}",
                    quantity::span(watched_s),
                    self.averages(self.after_a)
                )
            }
            Since::Going { seen, extra_a } => self.going(trial, seen, extra_a),
            Since::TooSoon { watched_s } => self.too_soon(trial, watched_s),
        };
        if self.only_wakes {
            trial.manner = None;
            trial.why = words;
        } else {
            trial.why = format!("{}; {words}", trial.why);
        }
    }

    fn going(&self, trial: &mut Trial, seen: usize, extra_a: f64) -> String {
        let now_a = self.after_a + extra_a;
        let is_small = trial
            .change
            .is_some_and(|change| change.a.abs() <= OWN_MAX_A);
        let averages = self.averages(now_a);
        if extra_a < RARER * self.known.extra_a() {
            trial.finding = Finding::Lowers;
            return format!("the wakes are rarer, but still come; {averages}");
        }
        if self.only_wakes && is_small {
            trial.finding = Finding::NoChange;
        } else if trial.finding == Finding::Clears && now_a > self.limit_a {
            trial.finding = Finding::Lowers;
        }
        let every = quantity::span(self.known.charge_as / extra_a);
        let still = if seen > 1 {
            format!("still wakes every {every}, {seen} seen since")
        } else {
            "still wakes, one seen since".to_owned()
        };
        format!("{still}; {averages}")
    }

    fn too_soon(&self, trial: &mut Trial, watched_s: f64) -> String {
        let every = quantity::span(self.known.every_s);
        if self.only_wakes {
            trial.finding = if self.is_over {
                Finding::CannotTell
            } else {
                Finding::NotYet
            };
        } else if trial.finding == Finding::Clears {
            trial.finding = Finding::Lowers;
        }
        if self.is_over {
            return format!(
                "watched for {} only, and the car woke every {every} before: watch {} the next time",
                quantity::span(watched_s),
                wait::to_come(self.known.enough_s)
            );
        }
        format!(
            "it woke every {every} before: watch {} more to see whether it still does",
            wait::to_come(self.known.enough_s - watched_s)
        )
    }

    fn averages(&self, now_a: f64) -> String {
        format!(
            "on average {} -> {}",
            quantity::current(self.average_a),
            quantity::current(now_a)
        )
    }
}
