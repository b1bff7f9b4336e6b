//! What the hints say: plain words, two lines at most, the keys as the footer has
//! them. A sentence for each reason and each deed; when to say which is not decided here.

use super::lowers;
use crate::judge::finding::{Finding, Level, Manner, Now, Phase, Trial, Verdict};
use crate::judge::reason::{TrialReason, VerdictReason};
use crate::judge::{Judgement, wait};
use crate::reading::{Elapsed, quantity};
use crate::session::Did;
use crate::session::tick::Tick;

const NARROWEST: usize = 80;

/// The caution stands here, where the work begins.
pub(super) const LOCK: &str = "Press l to lock, the meter bridged: the time-out runs from there. \
    From now on open no door and never crank: that can blow a meter in series.";

pub(super) const CLOSE_AGAIN: &str = "Done in there: latches shut by hand, all doors closed. \
    Press l to lock; the time-out runs anew from there.";

pub(super) const READ_THE_PLAN: &str =
    "No fuse or part is next. Press d and read what the plan says of that.";

pub(super) const LOOK_FOR_WAKES: &str = "Settled and low, yet the battery goes flat. Keep \
    watching: a car may wake every few minutes, and the mean counts.";

/// A real car that is low enough.
pub(super) const LOW: &str = "Low enough at rest. If its battery goes flat all the same, watch for wakes for \
    hours; else e writes the report, q quits.";

/// A real car without a map.
pub(super) const PULL_ONE: &str = "Settled, and too much: something draws. Pull one fuse: p, its label, Enter \
    as it comes out; or v reads millivolts.";

pub(super) const READ_THE_VERDICT: &str = "Settled, but it cannot be told yet whether that is too much. The \
    board says what would tell it.";

/// What to look at before the lock, why, and how it is ticked.
pub(super) const fn tick(tick: Tick) -> &'static str {
    match tick {
        Tick::Battery => {
            "Test the battery first: a bad one looks like a drain. Tested? Press n, then Enter: it is noted."
        }
        Tick::Charger => {
            "Charger off and its clips away: what it puts in hides what the car draws. Off? n, Enter."
        }
        Tick::PlugIns => {
            "Everything out of sockets and the diagnostic plug: each draws by itself. Out? n, Enter."
        }
        Tick::Latches => {
            "Close every latch by hand, the bonnet switch too: an open one keeps the car awake. Closed? n, \
             Enter."
        }
        Tick::Key => {
            "The key far away, ten steps or more: one in reach keeps the car awake. Away? n, Enter, then lock."
        }
    }
}

/// A fuse is known, the part behind it not yet.
pub(super) fn unplug_on(fuse: &str) -> String {
    let fuse = shown(fuse, 24);
    format!(
        "It is on {fuse}: part its loads one by one, u, the part, Enter. Airbag plugs (yellow): only by the \
         maker's procedure."
    )
}

/// The hunt is over.
pub(super) const fn done(mended: bool) -> &'static str {
    if mended {
        "Below the limit: the repair holds. On a real car watch for hours. Press e to export the \
         proof, q to quit."
    } else {
        "Asleep again: nothing to mend in this car. Press e to export what you saw, q to quit."
    }
}

/// Labels as a hint shows them: a long list is cut, so that the sentence around it fits.
fn shown(labels: &str, longest: usize) -> String {
    if labels.chars().count() <= longest {
        return labels.to_owned();
    }
    let kept: String = labels.chars().take(longest - 1).collect();
    format!("{kept}\u{2026}")
}

pub(super) fn no_such_label(label: &str) -> String {
    let label = shown(label, 24);
    format!(
        "This car has no '{label}': nothing came of that label. Backspace strikes the mark, x \
         shows every fuse and what it feeds."
    )
}

/// Why to wait; `None` when it is settled.
pub(super) fn waiting(now: &Now, t: Elapsed) -> Option<String> {
    let line = match now.phase {
        Phase::Awake | Phase::Falling => {
            "Hands off and wait. The modules fall asleep in stages: amperes, then hundreds of \
             milliamperes, then tens."
        }
        Phase::Plateau => {
            let left_s = now.settles_at.map(|at| at.secs_since(t));
            return Some(plateau(left_s.filter(|left_s| *left_s > 0.0)));
        }
        Phase::Stirring => {
            "The car stirs. See whether this wake ends by itself before you judge anything."
        }
        Phase::Blind => {
            "No usable reading: over-range, or the meter is silent. Wait until it shows a number."
        }
        Phase::Settled => return None,
    };
    Some(line.into())
}

fn plateau(left_s: Option<f64>) -> String {
    match left_s {
        Some(left_s) => format!(
            "A plateau: flat, but perhaps only a stage on the way. If it stays, it counts as \
             settled in about {}.",
            wait::to_come(left_s)
        ),
        None => "A plateau: flat, but sleep is not proven yet. Wait a little longer.".into(),
    }
}

pub(super) fn watch_on(more_s: f64) -> String {
    format!(
        "Watch for wakes: some must have been due and not come before it means anything, {} more.",
        wait::to_come(more_s)
    )
}

/// What was done last is not judged yet.
pub(super) fn pending(did: Did, look: Option<Level>) -> String {
    let line = match (did, look) {
        (Did::Unplug, _) => {
            "An unplugged part is judged like a pulled fuse: at once means it draws, late means \
             it kept others awake. Wait."
        }
        (Did::Swap, _) => {
            "A new part may wake the car first. Now prove the repair: hands off until it is \
             settled and the verdict says below."
        }
        (did, _) if did.restores() => {
            "Put back, it draws again, and often wakes the whole car. Wait until it is settled \
             before the next trial."
        }
        (_, Some(look)) if look.a < -look.u_a => {
            return format!(
                "First look: {} less at once. Keep your hands off until it is settled: only that \
                 counts.",
                quantity::current(-look.a)
            );
        }
        (_, Some(_)) => {
            "Not much at first look, but some falls come late. Keep your hands off until it is \
             settled again."
        }
        (_, None) => {
            "A pull is judged from settled to settled. A first look comes within seconds; hands \
             off until then."
        }
    };
    line.into()
}

/// Whether the board shows all of it on its narrowest screen: two lines, `Next: ` before it.
pub(super) fn fits(text: &str) -> bool {
    textwrap::wrap(&format!("Next: {text}"), NARROWEST).len() <= 2
}

/// What is to be done and, where there is room for it, why: what the last trial told, or before
/// the first one the verdict.
pub(super) fn order(did: Did, what: &str, judged: Option<&Trial>, judgement: &Judgement) -> String {
    let deed = deed(did, &shown(what, 32));
    let told = judged.map_or_else(|| before_the_first(judgement).to_owned(), told);
    let both = format!("{told} {deed}");
    if fits(&both) { both } else { deed }
}

fn before_the_first(judgement: &Judgement) -> &'static str {
    let wakes = |reason: &VerdictReason| matches!(reason, VerdictReason::Wakes { .. });
    match judgement.verdict {
        Verdict::Above if judgement.reasons.iter().any(wakes) => {
            "It wakes every few minutes, and the mean with the wakes is what flattens it."
        }
        Verdict::Below => "Settled: this is how good sleep looks. For practice pull one fuse.",
        Verdict::Above | Verdict::CannotTell | Verdict::NotSettled => {
            "Settled, and too much: something draws."
        }
    }
}

/// The other caution stands where a hand may reach for the wrong plug.
fn deed(did: Did, what: &str) -> String {
    match did {
        Did::Pull => format!("Press p, type {what}, Enter as it comes out."),
        Did::Refit => format!("Press r, type {what}, Enter as it goes in; that may wake the car."),
        Did::Unplug => format!(
            "Now the part: press u, type {what}, Enter as you part its plug. Airbag plugs \
             (yellow): only by the maker's procedure."
        ),
        Did::Plug => format!("Press i, type {what}, Enter as you plug it in again."),
        Did::Swap => format!("Fit a new one: press s, type {what}, Enter as it goes in."),
        Did::Lock
        | Did::Unlock
        | Did::Run
        | Did::Zero
        | Did::Finish
        | Did::LeaveOut
        | Did::Note => {
            format!("Mark it: {did} {what}.")
        }
    }
}

/// The caution for hands that open a car with the meter in series.
pub(super) fn open_for(did: Did, part: &str) -> String {
    let part = shown(part, 32);
    if did == Did::Swap {
        format!(
            "Low enough without the {part}: that is the part. Bridge the meter, press o, and fit \
             a new one."
        )
    } else {
        format!(
            "The {part} sits behind trim. Bridge the meter, then press o and open the car: doors \
             and lamps are too much for it."
        )
    }
}

/// What a trial told.
fn told(trial: &Trial) -> String {
    let label = shown(&trial.what.join("+"), 24);
    let is_part = trial.did == Did::Unplug;
    if trial.did == Did::Swap {
        return if lowers(trial) {
            format!("The new {label} brought it down.")
        } else {
            format!("The new {label} did not bring it down.")
        };
    }
    if matches!(trial.reason, TrialReason::WakesStopped { .. }) && lowers(trial) {
        return format!("No wake with {label} out: what wakes the car hangs there.");
    }
    if matches!(trial.reason, TrialReason::WakesGoOn { .. }) && trial.did.removes() {
        return format!("It woke again with {label} out, so that is not it.");
    }
    match (trial.finding, trial.manner) {
        (Finding::Clears | Finding::Lowers, Some(Manner::Late | Manner::Both)) => {
            format!("It fell late and in stages: {label} kept others awake.")
        }
        (Finding::Clears, _) if is_part => {
            format!("At once: {label} draws, or is kept awake by what else hangs there.")
        }
        (Finding::Clears, _) if trial.what.len() > 1 => {
            format!("It fell at once: what draws is behind {label}.")
        }
        (Finding::Clears, _) => format!("It fell at once: what draws hangs on {label} itself."),
        (Finding::Lowers, _) => "Lower, but not low enough: more than one circuit draws.".into(),
        (Finding::NoChange, _) if is_part => format!("{label} is not the part."),
        (Finding::NoChange, _) => format!("No change: {label} is not it."),
        (Finding::Raises, _) if trial.did.restores() => match trial.change {
            Some(change) => {
                let more = quantity::current(change.a);
                format!("With {label} back it draws {more} more.")
            }
            None => format!("With {label} back it draws again."),
        },
        (Finding::Raises, _) => "The current rose: the pull disturbed something.".into(),
        (Finding::CannotTell, _) => "This meter cannot tell so small a change.".into(),
        (Finding::Spoiled | Finding::NotYet, _) => {
            "Something disturbed this trial, so it says nothing.".into()
        }
    }
}
