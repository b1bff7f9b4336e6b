//! How long to watch to be sure, and what the car draws in a day.
//!
//! A car that did not wake while it was watched may wake later. Of events that come at random none
//! is seen in 5 of 100 watches when three were expected (the rule of three: minus the logarithm of
//! 0.05), so a watch without one bounds how often they come.

use super::finding::{SettledNow, Verdict};
use super::reason::VerdictReason;
use super::rules::{SURE, TOUCH_AS};
use super::verdict::VerdictNow;
use crate::reading::band::Band;

/// How long the car has to be seen asleep before wakes that were never seen no longer matter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Watch {
    /// How long it was watched, in seconds.
    pub watched_s: f64,
    /// How long would be enough, in seconds.
    pub needed_s: f64,
    /// For wakes of this charge, in ampere-seconds.
    pub charge_as: f64,
}

/// What is still to be watched for a car that is below and never woke; `usual_as` is the charge of
/// the wakes that this car had before, if it had any.
pub fn watch(said: &VerdictNow, limit_a: f64, usual_as: Option<f64>) -> Option<Watch> {
    let settled = said.settled.filter(|_| said.verdict == Verdict::Below)?;
    let is_sparse = |reason: &VerdictReason| matches!(reason, VerdictReason::Sparse { .. });
    let average = said.average?;
    if average.level.a > settled.level.a + settled.level.u_a || said.reasons.iter().any(is_sparse) {
        return None;
    }
    let watched_s = average.over_s;
    let charge_as = usual_as.unwrap_or(TOUCH_AS);
    let left_a = limit_a - settled.average.a;
    let needed_s = unseen() * charge_as / left_a;
    (left_a > 0.0 && needed_s > watched_s).then_some(Watch {
        watched_s,
        needed_s,
        charge_as,
    })
}

/// How many wakes may be expected at most where none was seen: the rule of three ("If nothing goes
/// wrong, is everything all right? Interpreting zero numerators", JAMA 249, 1983, 1743; from memory).
pub fn unseen() -> f64 {
    -(1.0 - SURE).ln()
}

/// What the car draws in a day, in ampere-hours.
pub fn day_ah(settled: &SettledNow) -> Band {
    settled.average_band().map(|a| a.max(0.0) * 24.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::average::LongRun;
    use crate::judge::finding::Level;
    use crate::reading::Elapsed;

    fn said(a: f64, watched_s: f64) -> VerdictNow {
        let level = Level { a, u_a: 0.001 };
        let since = Elapsed::ZERO;
        VerdictNow {
            settled: Some(SettledNow {
                level,
                average: level,
                since,
                early: false,
            }),
            average: Some(LongRun {
                level,
                over_s: watched_s,
                wakes: 0,
                is_open: false,
            }),
            verdict: Verdict::Below,
            stands_at: None,
            reasons: Vec::new(),
            credible: true,
        }
    }

    /// Source: rule of three, worked by hand: 2.9957 wakes of 15 As in t seconds are 30 mA on
    /// average at t = 1498 s.
    #[test]
    fn a_quiet_watch_bounds_what_wakes_can_take() {
        let needed = watch(&said(0.020, 600.0), 0.050, None).unwrap();
        assert!((needed.needed_s - 1497.87).abs() < 0.01, "{needed:?}");
        assert_eq!(watch(&said(0.020, 1500.0), 0.050, None), None);
        let larger = watch(&said(0.020, 600.0), 0.050, Some(45.0)).unwrap();
        assert!((larger.needed_s - 3.0 * needed.needed_s).abs() < 0.01);
    }

    #[test]
    fn a_day_has_twenty_four_hours() {
        let settled = said(0.025, 600.0).settled.unwrap();
        let day = day_ah(&settled);
        assert!(
            (day.best - 0.6).abs() < 1e-9 && day.low < day.best && day.best < day.high,
            "{day:?}"
        );
    }
}
