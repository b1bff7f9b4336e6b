//! What is being waited for: one clock, for one thing.

use super::finding::{Finding, Phase, Verdict};
use super::judgement::Judgement;
use crate::reading::Elapsed;
use crate::session::mark::Did;

/// What comes at the end of a wait.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Awaited {
    /// The sleep time-out has run: before it nothing above the limit is proven.
    Timeout,
    /// The flat level counts as settled.
    Settled,
    /// A finding stands: until then the car may still fall because of the deed.
    Finding(Did, Vec<String>),
    /// The verdict stands.
    Verdict(Verdict),
}

impl Judgement {
    /// What is waited for at `now`, and until when. A time-out that has run says so while the car
    /// does not sleep; a car at rest of which nothing is open waits for nothing.
    pub fn awaited(&self, now: Elapsed) -> Option<(Elapsed, Awaited)> {
        if self.by_hand.finished.is_some() {
            return None;
        }
        let to_come = |at: &Elapsed| *at > now;
        let last = self.trials.last();
        let is_judged = last.is_none_or(|trial| trial.finding != Finding::NotYet);
        let is_at_rest = self.now.phase == Phase::Settled && is_judged;
        let timeout = self.now.timeout_at.filter(|_| !is_at_rest);
        let settles = self.now.settles_at.filter(to_come);
        let to_run = timeout.filter(to_come);
        // What proves sleep as soon as it has run is waited for itself.
        if let Some(at) = to_run.filter(|at| settles.is_none_or(|settles| *at <= settles)) {
            return Some((at, Awaited::Timeout));
        }
        if let Some(at) = settles {
            return Some((at, Awaited::Settled));
        }
        if let Some(trial) = last
            && let Some(at) = trial.stands_at.filter(to_come)
        {
            return Some((at, Awaited::Finding(trial.did, trial.what.clone())));
        }
        if let Some(at) = self.stands_at.filter(to_come) {
            return Some((at, Awaited::Verdict(self.verdict)));
        }
        timeout.map(|at| (at, Awaited::Timeout))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::kit::{MIN, TestCar};

    fn awaited(car: &TestCar, until_s: u32) -> Option<Awaited> {
        let judged = car.judged(until_s);
        let now = Elapsed::from_secs(f64::from(until_s));
        judged.awaited(now).map(|(_, what)| what)
    }

    /// The kit has the usual time-out of 45 min.
    #[test]
    fn one_thing_at_a_time_is_waited_for_and_at_rest_nothing() {
        let levels = [(0, 3.0), (120, 0.6), (400, 0.2), (4800, 0.03)];
        let car = TestCar::of(&levels).marked(&[(60, "lock"), (4800, "pull A1")]);
        assert_eq!(awaited(&car, 50), None, "nobody has locked it");
        assert_eq!(awaited(&car, 10 * MIN), Some(Awaited::Timeout));
        assert_eq!(awaited(&car, 4801 + 60), Some(Awaited::Settled));
        assert_eq!(
            awaited(&car, 50 * MIN),
            Some(Awaited::Verdict(Verdict::Above)),
            "a stated time-out may be too short"
        );
        assert_eq!(awaited(&car, 75 * MIN), None, "it stands");
        assert_eq!(awaited(&car, 140 * MIN), None, "cleared");
    }

    #[test]
    fn above_the_limit_after_a_pull_the_finding_is_waited_for() {
        let car = TestCar::asleep(&[(0, 0.4), (600, 0.2)]).marked(&[(600, "pull A1")]);
        let expected = Awaited::Finding(Did::Pull, vec!["A1".into()]);
        assert_eq!(awaited(&car, 20 * MIN), Some(expected));
    }

    /// Up past its time-out, the clock says how long ago that was.
    #[test]
    fn a_car_that_stays_up_is_past_its_time_out() {
        let car = TestCar::of(&[(0, 3.0), (120, 0.6)]).marked(&[(60, "lock")]);
        let judged = car.judged(10 * MIN);
        assert_ne!(judged.now.phase, Phase::Settled);
        let later = Elapsed::from_secs(3600.0);
        let (at, what) = judged.awaited(later).expect("it is up");
        assert!(what == Awaited::Timeout && at < later);
    }
}
