//! Short hints that lead a first-time user through one whole hunt of a rehearsal.
//!
//! Pure: from the story, the session and its judgement to the one thing to do or to understand
//! now. What the lines say stands in `lines`, what can be known of the hunt so far in `seen`.

mod lines;
mod opened;
mod seen;

use super::story::Story;
use crate::judge::Judgement;
use crate::judge::finding::{Finding, Verdict};
use crate::session::mark::Did;
use crate::session::{Placed, Session};
use seen::Seen;

/// Longest hint, in characters: two lines on a narrow screen.
pub const MAX_CHARS: usize = 160;

/// Where in the hunt a hint stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Step {
    /// Lock the car.
    Lock,
    /// Open it, for what cannot be reached from outside.
    Unlock,
    /// Hands off: something has to settle or to be watched.
    Wait,
    /// Pull a fuse.
    Pull,
    /// Put a fuse back.
    Refit,
    /// Part a connector.
    Unplug,
    /// Join a connector again.
    Plug,
    /// Fit a new part.
    Swap,
    /// Finished: export and quit.
    Done,
}

/// One hint.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hint {
    /// Where in the hunt it stands.
    pub step: Step,
    /// One or two short sentences.
    pub text: String,
}

fn say(step: Step, text: String) -> Hint {
    Hint { step, text }
}

/// The hint for this moment.
///
/// It never gives the fault away before a finding does; it names the fuse to try next. `None`
/// until the meter has spoken.
#[must_use]
pub fn hint(story: &Story, session: &Session, judgement: &Judgement) -> Option<Hint> {
    let seen = Seen::new(story, session, judgement);
    if session.readings() == 0 {
        return None;
    }
    if !seen.is_locked() {
        return Some(opened::while_open(&seen));
    }
    let Some(tried) = seen.last_tried() else {
        return Some(before_the_first(&seen));
    };
    if let Some(label) = seen.stranger(tried) {
        let text = lines::no_such_label(&lines::shown(label));
        return Some(say(Step::Wait, text));
    }
    Some(after(&seen, tried))
}

fn after(seen: &Seen<'_>, tried: &Placed) -> Hint {
    match tried.mark.did {
        Did::Pull => after_a_pull(seen, tried),
        Did::Unplug => after_an_unplug(seen, tried),
        Did::Swap => after_a_swap(seen, tried),
        Did::Refit | Did::Plug | Did::Lock | Did::Unlock | Did::Zero | Did::Note => {
            after_a_refit(seen)
        }
    }
}

fn before_the_first(seen: &Seen<'_>) -> Hint {
    if let Some(wait) = lines::waiting(seen) {
        return say(Step::Wait, wait);
    }
    if seen.wakes_by_itself() {
        return if seen.has_shown_its_wakes() {
            pull_next(seen, lines::it_wakes)
        } else {
            say(Step::Wait, lines::look_for_wakes())
        };
    }
    if seen.is_healthy() {
        pull_next(seen, lines::sleeps_well)
    } else {
        pull_next(seen, lines::something_draws)
    }
}

/// Names the next fuse of the lesson; when all were tried, starts it over.
fn pull_next(seen: &Seen<'_>, line: fn(&str) -> String) -> Hint {
    say(Step::Pull, line(seen.next_try()))
}

fn after_a_pull(seen: &Seen<'_>, pulled: &Placed) -> Hint {
    let label = lines::shown(&pulled.mark.what.join("+"));
    let culprit = seen.is_culprit(pulled);
    if seen.wakes_by_itself() {
        return match seen.rest_after(pulled) {
            seen::Rest::Woke => say(Step::Refit, lines::still_wakes(&label)),
            seen::Rest::TooSoon { more_s } => say(Step::Wait, lines::watch_on(more_s)),
            seen::Rest::Quiet => say(Step::Refit, lines::no_wake_without(&label)),
        };
    }
    match seen.finding(pulled) {
        Finding::NotYet => say(Step::Wait, lines::first_look(seen.first_look_a(pulled))),
        Finding::NoChange => say(Step::Refit, lines::no_change(&label)),
        Finding::CannotTell => say(Step::Refit, lines::cannot_tell(&label)),
        Finding::Raises => say(Step::Wait, lines::rose()),
        Finding::Spoiled => say(Step::Refit, lines::spoiled(&label)),
        Finding::Clears | Finding::Lowers if seen.is_healthy() => {
            say(Step::Refit, lines::own_small_draw(&label))
        }
        Finding::Clears | Finding::Lowers if !culprit => {
            say(Step::Refit, lines::wrong_suspect(&label))
        }
        Finding::Clears | Finding::Lowers => match seen.other_culprit() {
            Some(next) => say(Step::Pull, lines::one_of_several(&label, next)),
            None if seen.came_late(pulled) => say(Step::Refit, lines::kept_others_awake(&label)),
            None if seen.is_shared() => say(Step::Refit, lines::shared_draw()),
            None => say(Step::Refit, lines::direct_load(&label)),
        },
    }
}

fn after_an_unplug(seen: &Seen<'_>, unplugged: &Placed) -> Hint {
    let label = lines::shown(&unplugged.mark.what.join("+"));
    if !seen.is_the_part(unplugged) {
        return match seen.finding(unplugged) {
            Finding::NotYet => say(Step::Wait, lines::unplugged_wait()),
            Finding::Clears | Finding::Lowers => say(Step::Plug, lines::draws_or_is_kept(&label)),
            Finding::NoChange | Finding::Raises | Finding::CannotTell | Finding::Spoiled => {
                say(Step::Plug, lines::not_this_part(&label))
            }
        };
    }
    if let Some(hint) = opened::with_the_part_out(seen) {
        return hint;
    }
    if seen.wakes_by_itself() {
        return match seen.rest_after(unplugged) {
            seen::Rest::TooSoon { more_s } => say(Step::Wait, lines::watch_on(more_s)),
            seen::Rest::Woke | seen::Rest::Quiet => say(Step::Swap, lines::it_is_the_part(&label)),
        };
    }
    match seen.finding(unplugged) {
        Finding::Clears | Finding::Lowers => say(Step::Swap, lines::it_is_the_part(&label)),
        Finding::NotYet | Finding::Raises => say(Step::Wait, lines::unplugged_wait()),
        Finding::NoChange | Finding::CannotTell | Finding::Spoiled => {
            say(Step::Plug, lines::try_the_part_again(&label))
        }
    }
}

fn after_a_refit(seen: &Seen<'_>) -> Hint {
    let found = seen.all_found();
    let out = seen.out_now();
    if found && !out.is_empty() {
        return say(Step::Refit, lines::still_out(&lines::shown(&out.join("+"))));
    }
    if let Some(wait) = lines::waiting_after_refit(seen) {
        return say(Step::Wait, wait);
    }
    match (seen.is_healthy(), seen.next_part()) {
        (true, _) => say(Step::Done, lines::healthy_done()),
        (false, Some(part)) if seen.is_part_found() => {
            say(Step::Swap, lines::proved_both_ways(part))
        }
        (false, Some(part)) if found && seen.is_behind_trim() => {
            say(Step::Unlock, lines::open_for(part))
        }
        (false, Some(part)) if found => say(Step::Unplug, lines::unplug(part)),
        (false, _) => pull_next(seen, lines::pull_the_next),
    }
}

fn after_a_swap(seen: &Seen<'_>, swapped: &Placed) -> Hint {
    let label = lines::shown(&swapped.mark.what.join("+"));
    if !seen.is_the_part(swapped) {
        return match seen.part() {
            Some(part) => say(Step::Swap, lines::swap_instead(&label, part)),
            None => say(Step::Done, lines::healthy_done()),
        };
    }
    let out = seen.out_now();
    if !out.is_empty() {
        return say(Step::Refit, lines::still_out(&lines::shown(&out.join("+"))));
    }
    if lines::waiting(seen).is_some() {
        return say(Step::Wait, lines::watch_the_repair());
    }
    if let (true, seen::Rest::TooSoon { more_s }) =
        (seen.wakes_by_itself(), seen.rest_after(swapped))
    {
        return say(Step::Wait, lines::watch_on(more_s));
    }
    match seen.verdict() {
        Verdict::Below => say(Step::Done, lines::repair_holds()),
        Verdict::Above | Verdict::CannotTell | Verdict::NotSettled => {
            say(Step::Wait, lines::watch_the_repair())
        }
    }
}

#[cfg(test)]
mod tests;
