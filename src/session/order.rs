//! Which entries have a time that cannot be: one wrong stamp must not move the rest.

use super::{Entry, Fact, Session};
use crate::reading::Elapsed;

/// A reading this long after everything before it, without a resume between them, has a wrong
/// time: no single recording is left alone for a month.
const LEAP_MAX_S: f64 = 30.0 * 86_400.0;

impl Session {
    /// Time in a record runs forward, and never leaps: one wrong stamp must not move the rest.
    pub(super) fn is_out_of_order(&self, entry: &Entry) -> bool {
        let leaps = |t: Elapsed| t.secs_since(self.last_t).abs() > LEAP_MAX_S;
        match &entry.fact {
            Fact::Reading(_) => self
                .last_reading
                .is_some_and(|(last_t, _)| entry.t < last_t || leaps(entry.t)),
            // What was done may be noted late; long before the session or long after it cannot be.
            Fact::Mark(mark) => {
                let cannot_be = |at: Elapsed| {
                    at.secs() < -LEAP_MAX_S || at.secs_since(self.last_t) > LEAP_MAX_S
                };
                leaps(entry.t) || mark.at.is_some_and(cannot_be)
            }
            // A session may go on after a long time.
            Fact::Resumed(_) => false,
            Fact::Strike(_)
            | Fact::Drop(_)
            | Fact::Set(_)
            | Fact::Meter(_)
            | Fact::Judged(_)
            | Fact::Seal(_)
            | Fact::Unknown => leaps(entry.t),
        }
    }
}
