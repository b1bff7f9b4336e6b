//! A removal while the car was awake: it can only be judged by whether the car then sleeps, and
//! only if it had had its time to sleep before.

use super::{Against, Tried};
use crate::judge::finding::{Finding, Manner, Trial, Verdict};
use crate::judge::hold::AWAKE_A;
use crate::judge::phase::Settling;
use crate::judge::uncertainty::Estimate;
use crate::judge::{verdict, wait};
use crate::reading::number::f64_from_usize;
use crate::reading::quantity;
use crate::session::Session;

/// The level just before is the mean of this long.
const JUST_BEFORE_S: f64 = 20.0;
/// A first look that is this share of the whole fall leaves nothing for others to have slept.
const ALL_OF_IT: f64 = 0.90;

/// What the judging of such a trial needs to know.
pub(super) struct Awake<'a> {
    pub(super) session: &'a Session,
    pub(super) against: Against,
    /// The removals of the run, this one last.
    pub(super) run: &'a [Tried<'a>],
    /// What the first looks at all of them show together.
    pub(super) look_a: Option<f64>,
}

impl Awake<'_> {
    /// Fills in finding, manner and reason, now that the current has settled at `after`.
    pub(super) fn judge(&self, trial: &mut Trial, settling: &Settling, after: &Estimate) {
        let settled = quantity::current(after.a);
        let over_s = self.left_alone_s().map(|s| s - self.against.timeout_s);
        let before_a = self.just_before_a().unwrap_or(after.a);
        let fall = quantity::current(before_a - after.a);
        let at_once = fell_at_once(self.look_a, before_a - after.a);
        trial.finding = Finding::CannotTell;
        if after.a >= AWAKE_A {
            trial.why = format!(
                "the car stays awake without it too, at {settled}; its own share shows in the first look alone"
            );
        } else if let Some(over_s) = over_s.filter(|s| before_a >= AWAKE_A && *s >= 0.0) {
            let below = verdict::against_limit(after, self.against.limit_a) == Verdict::Below;
            trial.finding = if below {
                Finding::Clears
            } else {
                Finding::Lowers
            };
            trial.manner = Some(if at_once {
                Manner::AtOnce
            } else {
                Manner::Late
            });
            let over = quantity::span(over_s);
            let slept = quantity::span(settling.data_from.secs_since(trial.t));
            trial.why = if at_once {
                format!("it drew {fall} itself; without it the car is asleep at {settled}")
            } else {
                format!(
                    "{} let the car fall asleep: awake {over} past the time-out with it, at {settled} {slept} after it came out; the fault may sit elsewhere on its network",
                    super::settled::doing(self.run)
                )
            };
        } else if at_once {
            trial.why = format!(
                "it drew {fall} itself by the first look, but nothing had settled before: put it back, let the car sleep and take it out again"
            );
        } else {
            let waited = self.waited();
            trial.why = format!(
                "not settled when this came out, {waited}, and then at {settled}: it may have slept by itself; put it back, lock, and see whether the car stays awake past the time-out"
            );
        }
    }

    /// For how long the car had been left alone before the first removal of the run; `None` when
    /// nobody saw.
    fn left_alone_s(&self) -> Option<f64> {
        let first = self.run.first()?;
        Some(first.placed.at().secs_since(first.left_alone?))
    }

    fn waited(&self) -> String {
        let timeout_s = self.against.timeout_s;
        match self.left_alone_s() {
            None => "and nobody saw for how long it had been left alone".into(),
            Some(waited_s) if waited_s < timeout_s => {
                format!("{} waited", wait::of_whole(waited_s, timeout_s))
            }
            Some(_) => "though its time-out was over".into(),
        }
    }

    fn just_before_a(&self) -> Option<f64> {
        let at = self.run.first()?.placed.at();
        let track = self.session.signal().track();
        let blocks = track.between(at.plus_secs(-JUST_BEFORE_S), at.plus_secs(-1.0));
        let values = blocks.iter().filter(|block| block.count > 0);
        let (sum_a, n) = values.fold((0.0, 0usize), |(sum_a, n), block| {
            (sum_a + f64::from(block.mean_a), n + 1)
        });
        (n > 0).then(|| sum_a / f64_from_usize(n))
    }
}

fn fell_at_once(look_a: Option<f64>, fall_a: f64) -> bool {
    look_a.is_some_and(|look_a| -look_a >= ALL_OF_IT * fall_a)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_first_look_of_the_whole_fall_is_a_load_of_its_own() {
        assert!(fell_at_once(Some(-1.9), 1.95));
        assert!(!fell_at_once(Some(-0.4), 1.95));
        assert!(!fell_at_once(None, 1.95));
    }
}
