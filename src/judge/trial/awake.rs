//! A removal while the car was awake: it can only be judged by whether the car then sleeps, and
//! only if it had had its time to sleep before.

use super::{Against, Tried};
use crate::judge::finding::{Finding, Level, Manner, Trial, Verdict};
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
}

impl Awake<'_> {
    /// Fills in finding, manner and reason, now that the current has settled at `after`.
    pub(super) fn judge(&self, trial: &mut Trial, settling: &Settling, after: &Estimate) {
        let settled = quantity::current(after.a);
        let waited_s = self.waited_s();
        let before_a = self.just_before_a().unwrap_or(after.a);
        if after.a >= AWAKE_A {
            trial.finding = Finding::CannotTell;
            trial.why = format!(
                "the car stays awake without it too, at {settled}; its own share shows in the first look alone"
            );
        } else if before_a < AWAKE_A || waited_s < self.against.timeout_s {
            trial.finding = Finding::CannotTell;
            trial.why = format!(
                "not settled when this came out, {} waited, and then at {settled}: it may have slept by itself; put it back, lock, and see whether the car stays awake past the time-out",
                wait::of_whole(waited_s, self.against.timeout_s)
            );
        } else {
            let below = verdict::against_limit(after, self.against.limit_a) == Verdict::Below;
            trial.finding = if below {
                Finding::Clears
            } else {
                Finding::Lowers
            };
            let slept = quantity::span(settling.data_from.secs_since(trial.t));
            let over = quantity::span(waited_s - self.against.timeout_s);
            if fell_at_once(trial.first_look, before_a - after.a) {
                trial.manner = Some(Manner::AtOnce);
                trial.why = format!(
                    "it drew {} itself; settled after",
                    quantity::current(before_a - after.a)
                );
            } else {
                trial.manner = Some(Manner::Late);
                trial.why = format!(
                    "{} let the car fall asleep: awake {over} past the time-out with it, at {settled} {slept} after it came out; the fault may sit elsewhere on its network",
                    self.deed()
                );
            }
        }
    }

    /// How much of its time-out the car had had before the first removal of the run.
    fn waited_s(&self) -> f64 {
        let first = self.run.first();
        let since = first.and_then(|first| Some(first.placed.at().secs_since(first.left_alone?)));
        since.unwrap_or(0.0)
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

    fn deed(&self) -> String {
        let [only] = self.run else {
            let labels: Vec<String> = self.run.iter().map(Tried::labels).collect();
            return format!("taking {} out", labels.join(", "));
        };
        format!("{} this", only.doing())
    }
}

fn fell_at_once(first_look: Option<Level>, fall_a: f64) -> bool {
    first_look.is_some_and(|look| -look.a >= ALL_OF_IT * fall_a)
}
