//! What is being waited for, in words.

use crate::judge::awaited::Awaited;
use crate::judge::finding::Verdict;
use crate::reading::{Elapsed, quantity};

use super::said_of;

/// The wait until `at` for this, at `now`, in one line.
pub fn wait(awaited: &Awaited, at: Elapsed, now: Elapsed) -> String {
    let left_s = at.secs_since(now);
    if left_s <= 0.0 {
        return format!("sleep time-out ran out {} ago", quantity::span(-left_s));
    }
    let left = quantity::countdown(left_s);
    match awaited {
        Awaited::Timeout => format!("sleep time-out runs in {left}"),
        Awaited::Settled => format!("settled in {left} if it stays flat"),
        Awaited::Finding(did, what) => {
            let deed = said_of(*did, what);
            format!("{deed} stands in {left}: it may still fall")
        }
        Awaited::Verdict(Verdict::Above) => format!("that stands in {left}: it may still fall"),
        Awaited::Verdict(Verdict::Below | Verdict::CannotTell | Verdict::NotSettled) => {
            format!("that stands in {left}: its time has not run yet")
        }
    }
}

/// Until when a large countdown counts, in a few words; with a plus in front it counts up.
pub const fn until(awaited: &Awaited, is_over: bool) -> &'static str {
    match awaited {
        Awaited::Timeout if is_over => "+ since the sleep time-out ran out",
        Awaited::Timeout => "until the sleep time-out has run",
        Awaited::Settled => "until it is settled, if it stays flat",
        Awaited::Finding(..) => "until the finding stands",
        Awaited::Verdict(_) => "until the verdict stands",
    }
}
