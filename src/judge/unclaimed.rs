//! Steps out of a settled level that stayed and that nobody marked: something was done and not
//! noted, or the car did it. Wakes that ended by themselves are none, nor is a fall out of a level
//! that was let through early: that is the car still falling asleep.

use super::finding::{Phase, Step, Unclaimed, Wake};
use super::hand::HAND_S;
use super::phase::{Settling, Walk, stages};
use super::trial::CHANGE_MIN_A;
use super::{hold, limit, uncertainty};
use crate::reading::Elapsed;
use crate::session::Session;
use crate::session::mark::Did;

/// A step that has stayed for this long is asked about although nothing has settled yet: the
/// technician still knows what he did (common practice, no source).
const LASTING_S: f64 = 60.0;

/// Every unclaimed step of the record, in order.
#[must_use]
pub fn unclaimed(session: &Session, walk: &Walk, steps: &[Step]) -> Vec<Unclaimed> {
    let search = Search {
        session,
        walk,
        steps,
    };
    let pairs = walk.settlings.iter().zip(walk.settlings.iter().skip(1));
    let settled = pairs.filter_map(|(before, after)| search.between(before, after));
    settled.chain(search.since_the_last()).collect()
}

struct Search<'a> {
    session: &'a Session,
    walk: &'a Walk,
    steps: &'a [Step],
}

impl Search<'_> {
    fn between(&self, before: &Settling, after: &Settling) -> Option<Unclaimed> {
        if before.fuse_state != after.fuse_state {
            return None;
        }
        let fell = after.level_a < before.level_a;
        let step = self.step(before, after.proven, fell)?;
        let level = |s: &Settling| uncertainty::estimate(self.session, s.data_from, s.to);
        let (from, to) = (level(before)?, level(after)?);
        let drift_a_per_h = self.session.card().cable_drift_a_per_h();
        let change = uncertainty::change(&from, &to, drift_a_per_h);
        let real = change.a.abs() > change.u_a.max(CHANGE_MIN_A) && (change.a < 0.0) == fell;
        real.then_some(Unclaimed {
            t: step.t,
            from_a: from.a,
            to_a: to.a,
        })
    }

    /// The level was left and nothing has settled since.
    fn since_the_last(&self) -> Option<Unclaimed> {
        let end = self.session.signal().last_t()?;
        let last = self.walk.settlings.last().filter(|last| last.to < end)?;
        let level_a = self.walk.level_a?;
        let phase = self.walk.stretches.last()?.phase;
        let step = self.step(last, end, level_a < last.level_a)?;
        let lasts = phase != Phase::Stirring && end.secs_since(step.t) >= LASTING_S;
        (lasts && !hold::near(level_a, last.level_a)).then_some(Unclaimed {
            t: step.t,
            from_a: last.level_a,
            to_a: level_a,
        })
    }

    /// The first step out of `before` in this direction, if no mark explains what came until
    /// `until`.
    fn step(&self, before: &Settling, until: Elapsed, fell: bool) -> Option<&Step> {
        if fell && before.ground.may_fall() {
            return None;
        }
        let start = self.steps.partition_point(|step| step.t < before.to);
        let mut steps = self.steps.get(start..)?.iter();
        let step = steps
            .by_ref()
            .take_while(|step| step.t <= until)
            .find(|step| {
                step.mark.is_none()
                    && (step.to_a < step.from_a) == fell
                    && !self.is_in_a_wake(step.t)
            })?;
        let explained = self.session.marks().any(|placed| {
            let near = before.to.plus_secs(-HAND_S) <= placed.at() && placed.at() <= until;
            near && !matches!(placed.mark.did, Did::Note | Did::Zero)
        });
        let is_asked = !explained && (!fell || !self.is_a_stage(before));
        is_asked.then_some(step)
    }

    /// What began to fall late after a removal falls on until the time-out has run.
    fn is_a_stage(&self, before: &Settling) -> bool {
        let timeout_s = limit::timeout(self.session.card()).value;
        stages::late_since(self.session, before)
            .is_some_and(|removal| before.to <= removal.plus_secs(timeout_s))
    }

    fn is_in_a_wake(&self, t: Elapsed) -> bool {
        let after = self.walk.wakes.partition_point(|wake| wake.from <= t);
        let last = after.checked_sub(1).and_then(|i| self.walk.wakes.get(i));
        last.is_some_and(|wake: &Wake| t <= wake.to)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::hold::Ground;
    use crate::session::card::Card;
    use crate::session::entry::{Header, MeterCard};

    fn settled(ground: Ground) -> Settling {
        Settling {
            data_from: Elapsed::ZERO,
            proven: Elapsed::from_secs(120.0),
            since: Elapsed::from_secs(120.0),
            to: Elapsed::from_secs(600.0),
            level_a: 0.18,
            ground,
            fuse_state: 0,
            descent: None,
        }
    }

    /// Whether a fall at `t_s` out of a level that ended at 600 s is one to ask about, with a wake
    /// from 700 to 730 s.
    fn is_asked(t_s: f64, ground: Ground) -> bool {
        let session = Session::new(Header {
            started: "2026-01-10T08:00:00+00:00".parse().unwrap(),
            card: Card::default(),
            meter: MeterCard::default(),
        });
        let walk = Walk {
            wakes: vec![Wake {
                from: Elapsed::from_secs(700.0),
                to: Elapsed::from_secs(730.0),
                peak_a: 0.5,
                charge_as: 10.0,
            }],
            ..Walk::default()
        };
        let steps = [Step {
            t: Elapsed::from_secs(t_s),
            from_a: 0.18,
            to_a: 0.02,
            in_gap: false,
            mark: None,
        }];
        let search = Search {
            session: &session,
            walk: &walk,
            steps: &steps,
        };
        let until = Elapsed::from_secs(900.0);
        search.step(&settled(ground), until, true).is_some()
    }

    #[test]
    fn only_what_ended_a_level_for_good_is_asked_about() {
        assert!(is_asked(600.0, Ground::TimedOut));
        assert!(!is_asked(720.0, Ground::TimedOut), "the end of a wake");
        assert!(!is_asked(599.0, Ground::TimedOut), "before it ended");
        assert!(!is_asked(600.0, Ground::AtLimit), "still falling asleep");
    }
}
