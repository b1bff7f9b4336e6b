//! What the hints say: plain words, at most `MAX_CHARS` characters, the keys as the footer has
//! them. When to say which is not decided here.

mod parts;

pub(super) use parts::{
    close_again, draws_or_is_kept, it_is_the_part, not_this_part, open_for, open_for_a_new_one,
    proved_both_ways, swap_instead, try_the_part_again, unplug, unplugged_wait,
};

use super::seen::Seen;
use crate::judge::finding::Phase;
use crate::reading::number;

/// Labels as a hint shows them: a long list is cut, so that the sentence around it fits.
pub(super) fn shown(labels: &str) -> String {
    const LONGEST: usize = 24;
    if labels.chars().count() <= LONGEST {
        return labels.to_owned();
    }
    let kept: String = labels.chars().take(LONGEST - 1).collect();
    format!("{kept}\u{2026}")
}

/// The caution stands here, where the work begins.
pub(super) fn lock() -> String {
    "Press l to lock: the sleep time-out runs from there. From now on open no door and never \
     crank: that can blow a meter in series."
        .into()
}

pub(super) fn no_such_label(label: &str) -> String {
    format!(
        "This car has no '{label}': nothing came of that label. Backspace strikes the mark, x \
         shows every fuse and what it feeds."
    )
}

/// Why to wait; `None` when it is settled.
pub(super) fn waiting(seen: &Seen<'_>) -> Option<String> {
    let line = match seen.phase() {
        Phase::Awake | Phase::Falling => {
            "Hands off and wait. The modules fall asleep in stages: amperes, then hundreds of \
             milliamperes, then tens."
                .into()
        }
        Phase::Plateau => plateau(seen),
        Phase::Stirring => "The car stirs. See whether this wake ends by itself before you judge \
                            anything."
            .into(),
        Phase::Blind => "No usable reading: over-range, or the meter is silent. Wait until it \
                         shows a number."
            .into(),
        Phase::Settled => return None,
    };
    Some(line)
}

fn plateau(seen: &Seen<'_>) -> String {
    match seen.timeout_left_s() {
        Some(left_s) => format!(
            "A plateau: flat, but perhaps only a stage on the way. If it stays, it counts as \
             settled in about {}.",
            minutes(left_s)
        ),
        None => "A plateau: flat, but sleep is not proven yet. Wait a little longer.".into(),
    }
}

pub(super) fn waiting_after_refit(seen: &Seen<'_>) -> Option<String> {
    match seen.phase() {
        Phase::Awake | Phase::Falling | Phase::Stirring => Some(
            "Put back, it draws again, and often wakes the whole car. Wait until it is settled \
             before the next trial."
                .into(),
        ),
        Phase::Plateau | Phase::Blind | Phase::Settled => waiting(seen),
    }
}

pub(super) fn something_draws(fuse: &str) -> String {
    format!(
        "Settled, and too much: something draws. Press p, type {fuse}, and press Enter at the \
         moment the fuse comes out."
    )
}

pub(super) fn sleeps_well(fuse: &str) -> String {
    format!(
        "Settled: this is how good sleep looks. For practice pull one fuse: press p, type \
         {fuse}, Enter as it comes out."
    )
}

pub(super) fn look_for_wakes() -> String {
    "Settled and low, yet the battery goes flat. Keep watching: a car may wake every few minutes, \
     and the mean counts."
        .into()
}

pub(super) fn it_wakes(fuse: &str) -> String {
    format!(
        "It wakes every few minutes; the mean with the wakes is what flattens it. Press p, type \
         {fuse}, Enter as it comes out."
    )
}

pub(super) fn pull_the_next(fuse: &str) -> String {
    format!("Settled again. Next fuse: press p, type {fuse}, and press Enter as it comes out.")
}

pub(super) fn first_look(change_a: Option<f64>) -> String {
    match change_a {
        Some(change_a) if change_a < -0.010 => format!(
            "First look: {} less at once. Keep your hands off until it is settled: only that \
             counts.",
            milliamperes(-change_a)
        ),
        Some(_) => "Not much at first look, but some falls come late. Keep your hands off until \
                    it is settled again."
            .into(),
        None => "A pull is judged from settled to settled. A first look comes within seconds; \
                 hands off until then."
            .into(),
    }
}

pub(super) fn no_change(label: &str) -> String {
    format!(
        "No change: {label} is not it. Press r and type {label} as you refit it; that may wake \
         the car, so the wait begins again."
    )
}

pub(super) fn cannot_tell(label: &str) -> String {
    format!(
        "This meter cannot tell so small a change. Refit {label} (r) and go on: the fault is \
         larger than that."
    )
}

pub(super) fn rose() -> String {
    "The current rose: the pull disturbed something. Wait until it is settled, then look again."
        .into()
}

pub(super) fn spoiled(label: &str) -> String {
    format!(
        "Something disturbed this trial, so it says nothing. Refit {label} (r), wait until \
         settled, and pull it again."
    )
}

pub(super) fn own_small_draw(label: &str) -> String {
    format!(
        "It fell by what {label} feeds even asleep; nothing wrong. Press r and type {label} to \
         refit it. Does that wake the car?"
    )
}

pub(super) fn wrong_suspect(label: &str) -> String {
    format!(
        "{label} takes part in the draw, but does it draw by itself, or does another part keep it awake? \
         Refit it (r) and try on."
    )
}

pub(super) fn one_of_several(label: &str, next: &str) -> String {
    format!(
        "Lower, but not low enough: more than one circuit draws. Leave {label} out, press p and \
         pull {next} as well."
    )
}

pub(super) fn kept_others_awake(label: &str) -> String {
    format!(
        "It fell late and in stages: something on {label} kept others awake. Refit it (r), and we \
         look for the part."
    )
}

pub(super) fn direct_load(label: &str) -> String {
    format!(
        "It fell at once, so what draws hangs on {label} itself. Refit it (r), and we look for \
         the part."
    )
}

pub(super) fn shared_draw() -> String {
    "Low enough only with all of them out: these circuits share one draw. Refit them (r), and we \
     look for the part on both."
        .into()
}

pub(super) fn still_wakes(label: &str) -> String {
    format!(
        "It woke again with {label} out, so that is not it. Press r and type {label} to refit; \
         the wait begins again."
    )
}

pub(super) fn watch_on(more_s: f64) -> String {
    format!(
        "Watch for wakes: two or three periods must pass without one before it means anything, \
         {} more.",
        minutes(more_s)
    )
}

pub(super) fn no_wake_without(label: &str) -> String {
    format!(
        "No wake with {label} out: what wakes the car hangs there. Refit it (r), and we look for \
         the part."
    )
}

pub(super) fn still_out(labels: &str) -> String {
    format!(
        "Still out: {labels}. Press r and put it back first, so that one thing changes at a time."
    )
}

pub(super) fn watch_the_repair() -> String {
    "A new part may wake the car first. Now prove the repair: hands off until it is settled and \
     the verdict says below."
        .into()
}

pub(super) fn repair_holds() -> String {
    "Below the limit: the repair holds. On a real car watch for hours. Press e to export the \
     proof, q to quit."
        .into()
}

pub(super) fn healthy_done() -> String {
    "Asleep again: nothing to mend in this car. Press e to export what you saw, q to quit.".into()
}

fn minutes(s: f64) -> String {
    if s < 90.0 {
        format!("{} s", number::round_to_i64(s.ceil()))
    } else {
        format!("{} min", number::round_to_i64((s / 60.0).ceil()))
    }
}

fn milliamperes(a: f64) -> String {
    format!("{} mA", number::round_to_i64(a * 1000.0))
}
