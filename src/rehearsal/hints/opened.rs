//! Hints for what can only be reached in the opened car: open, do it, lock, and wait again.

use super::seen::Seen;
use super::{Hint, Step, lines, say};
use crate::judge::finding::{Phase, Verdict};
use crate::session::mark::Did;

/// The car is open: before the first lock, or for the part.
pub(super) fn while_open(seen: &Seen<'_>) -> Hint {
    let part = seen.part().filter(|_| seen.is_behind_trim());
    let Some(part) = part.filter(|_| seen.all_found()) else {
        return say(Step::Lock, lines::lock());
    };
    match seen.part_in_open_car() {
        Some((Did::Unplug, false)) => say(Step::Swap, lines::it_is_the_part(part)),
        Some((Did::Unplug | Did::Swap, _)) => say(Step::Lock, lines::close_again()),
        Some(_) | None => say(Step::Unplug, lines::unplug(part)),
    }
}

/// The car is locked again without the part; `None` where the part is reached from outside. A lock
/// between the unplugging and the settled level starts another wait, so what counts is where the
/// car comes to rest.
pub(super) fn with_the_part_out(seen: &Seen<'_>) -> Option<Hint> {
    let part = seen.part().filter(|_| seen.is_behind_trim())?;
    if seen.phase() == Phase::Settled && seen.verdict() == Verdict::Below {
        return Some(say(Step::Unlock, lines::open_for_a_new_one(part)));
    }
    let wait = lines::waiting(seen).unwrap_or_else(lines::unplugged_wait);
    Some(say(Step::Wait, wait))
}
