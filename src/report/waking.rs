//! What the wakes of a car did after something was taken out, as its trial was judged.

use crate::judge::finding::Trial;
use crate::judge::reason::TrialReason;

/// What the wakes did after something was taken out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WakesAfter {
    /// None came any more.
    Stopped {
        /// How long it was watched for them, in seconds.
        watched_s: f64,
        /// How often they had come before, in seconds.
        every_s: f64,
    },
    /// They went on.
    WentOn,
}

/// What the wakes did after this trial; `None` where it was not judged by them.
pub const fn after(trial: &Trial) -> Option<WakesAfter> {
    if let TrialReason::WakesStopped {
        watched_s, every_s, ..
    } = trial.reason
    {
        return Some(WakesAfter::Stopped { watched_s, every_s });
    }
    if matches!(trial.reason, TrialReason::WakesGoOn { .. }) {
        Some(WakesAfter::WentOn)
    } else {
        None
    }
}
