//! When the technician is no longer needed beside the car: what is left to learn is only how often it
//! wakes, or each pull takes longer than anybody waits for.

use super::plan::reason::PlanReason;
use super::plan::search::Waits;
use super::plan::{Candidate, Plan};
use super::reason::VerdictReason;
use super::rules::{FEW_LEFT, LONG_WAIT_S};
use super::watch::Watch;
use crate::reading::number::f64_from_usize;

/// Why to leave the car alone.
#[derive(Clone, Debug, PartialEq)]
pub enum Stop {
    /// Only how often it wakes is open, for so much longer, in seconds.
    Overnight {
        /// See above.
        more_s: f64,
    },
    /// These few are left, and each next step takes so long to be judged, in seconds.
    Stuck {
        /// What it may still be, the likeliest first.
        left: Vec<String>,
        /// See above.
        each_s: f64,
    },
}

/// Whether to leave it; `None` while hands or a short wait still tell something.
pub fn stop(
    plan: Option<&Plan>,
    watch: Option<&Watch>,
    reasons: &[VerdictReason],
    waits: Waits,
) -> Option<Stop> {
    match plan {
        Some(plan) if plan.did.is_some() => stuck(plan, waits),
        Some(plan) if is_for_hands(&plan.reason) => None,
        Some(_) | None => overnight(watch, reasons),
    }
}

/// Whether somebody has to go to the car, though no fuse is next.
const fn is_for_hands(reason: &PlanReason) -> bool {
    match reason {
        PlanReason::DeadMeter
        | PlanReason::Likely { .. }
        | PlanReason::SecondFuse { .. }
        | PlanReason::Narrow { .. }
        | PlanReason::Parts { .. }
        | PlanReason::Found { .. }
        | PlanReason::AnotherFuse { .. } => true,
        PlanReason::Pending { .. } | PlanReason::ManySmall { .. } | PlanReason::Unfused { .. } => {
            false
        }
    }
}

fn overnight(watch: Option<&Watch>, reasons: &[VerdictReason]) -> Option<Stop> {
    // With something out the next thing is what it feeds, and not how well the car sleeps without it.
    let is_out = |reason: &VerdictReason| matches!(reason, VerdictReason::With { .. });
    let watch = watch.filter(|_| !reasons.iter().any(is_out));
    let unseen_s = watch.map(|watch| watch.needed_s - watch.watched_s);
    let open = reasons.iter().filter_map(|reason| {
        if let VerdictReason::WakesOpen { needed_s, .. } = reason {
            Some(*needed_s)
        } else if let VerdictReason::FewWakes { more_s, .. } = reason {
            *more_s
        } else {
            None
        }
    });
    let more_s = open.chain(unseen_s).reduce(f64::max)?;
    (more_s >= LONG_WAIT_S).then_some(Stop::Overnight { more_s })
}

fn stuck(plan: &Plan, waits: Waits) -> Option<Stop> {
    let each_s = if plan.did?.removes() {
        waits.pull_s
    } else {
        waits.refit_s
    };
    let is_few = !plan.rest.is_empty() && f64_from_usize(plan.rest.len()) <= FEW_LEFT;
    let left = |one: &Candidate| one.what.join("+");
    (is_few && each_s >= LONG_WAIT_S).then(|| Stop::Stuck {
        left: plan.rest.iter().map(left).collect(),
        each_s,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::kit::{HOUR, TestCar};
    use crate::judge::words;
    use crate::session::mark::Did;

    fn waits(pull_s: f64, refit_s: f64) -> Waits {
        Waits {
            handle_s: 30.0,
            pull_s,
            refit_s,
        }
    }

    fn watch(left_s: f64) -> Watch {
        Watch {
            watched_s: 600.0,
            needed_s: 600.0 + left_s,
            charge_as: 15.0,
        }
    }

    fn plan(did: Option<Did>, left: usize, reason: PlanReason) -> Plan {
        let one = |n: usize| Candidate {
            what: vec![format!("E{n}")],
            p: 0.2,
        };
        Plan {
            did,
            reason,
            rest: (1..=left).map(one).collect(),
            ..Plan::default()
        }
    }

    fn pending() -> PlanReason {
        PlanReason::Pending {
            what: vec!["E1".into()],
        }
    }

    #[test]
    fn only_a_watch_of_an_hour_or_more_is_left_overnight() {
        let quick = waits(300.0, 900.0);
        for (left_s, is_left) in [(3599.0, false), (3600.0, true)] {
            let said = stop(None, Some(&watch(left_s)), &[], quick);
            assert_eq!(said.is_some(), is_left, "{left_s}");
        }
        let open = |needed_s| VerdictReason::WakesOpen {
            deed: "pull E1".into(),
            needed_s,
        };
        let few = VerdictReason::FewWakes {
            wakes: 2,
            watched_s: 7200.0,
            more_s: Some(9000.0),
        };
        let reasons = [open(4000.0), few];
        let longest = Some(Stop::Overnight { more_s: 9000.0 });
        assert_eq!(stop(None, None, &reasons, quick), longest);
        let waiting = plan(None, 2, pending());
        assert_eq!(stop(Some(&waiting), None, &reasons, quick), longest);
        assert_eq!(stop(None, None, &[open(600.0)], quick), None);
        let out = VerdictReason::With {
            out: vec!["E1".into()],
        };
        let night = watch(9000.0);
        let with_out = |reasons: &[VerdictReason]| stop(None, Some(&night), reasons, quick);
        assert_eq!(with_out(std::slice::from_ref(&out)), None, "look behind E1");
        let both = Some(Stop::Overnight { more_s: 4000.0 });
        assert_eq!(with_out(&[out, open(4000.0)]), both);
    }

    /// Nobody is sent home with a fuse to pull, a part to mend or a meter to look at.
    #[test]
    fn whoever_has_something_to_do_is_not_sent_home() {
        let quick = waits(300.0, 900.0);
        let found = PlanReason::Found {
            part: "radio".into(),
            untried: Vec::new(),
        };
        for plan in [
            plan(Some(Did::Pull), 9, pending()),
            plan(None, 0, found),
            plan(None, 0, PlanReason::DeadMeter),
        ] {
            let said = stop(Some(&plan), Some(&watch(9000.0)), &[], quick);
            assert_eq!(said, None, "{plan:?}");
        }
    }

    #[test]
    fn a_few_left_and_an_hour_for_each_is_stuck() {
        let slow = waits(4800.0, 900.0);
        let of = |did, left| stop(Some(&plan(Some(did), left, pending())), None, &[], slow);
        let Some(Stop::Stuck { left, each_s }) = of(Did::Pull, 3) else {
            panic!("three are few")
        };
        assert_eq!((left.len(), each_s), (3, 4800.0));
        assert_eq!(of(Did::Pull, 5), None, "many are left");
        assert_eq!(of(Did::Pull, 0), None, "nobody knows how many");
        assert_eq!(of(Did::Refit, 3), None, "a refit is judged soon");
    }

    /// 8 mA below its limit, a car has to be watched for 94 min: three wakes of 15 As.
    #[test]
    fn a_car_below_is_left_to_record_while_wakes_may_matter() {
        let car = TestCar::asleep(&[(0, 0.020)]).card(|card| card.limit_a = Some(0.028));
        let judgement = car.judged(HOUR / 4);
        assert!(
            matches!(judgement.stop, Some(Stop::Overnight { more_s }) if more_s > 3600.0),
            "{:?} {:?}",
            judgement.stop,
            judgement.watch
        );
        let said = words::stop::stop(judgement.stop.as_ref().unwrap());
        assert!(
            said.starts_with("leave it recording overnight: what is left to learn"),
            "{said}"
        );
        let roomy = TestCar::asleep(&[(0, 0.020)]).judged(HOUR);
        assert_eq!(roomy.stop, None, "{:?}", roomy.watch);
    }
}
