//! Why a trial came out as it did, in words.

use super::KEPT_AWAKE;
use crate::judge::finding::{Finding, Manner, Trial};
use crate::judge::reason::TrialReason;
use crate::judge::wait;
use crate::reading::{Elapsed, quantity};
use crate::session::mark::Did;

impl Trial {
    /// The reason, and until when it may change.
    pub fn why(&self) -> String {
        let run = match self.with.as_slice() {
            [_, _, ..] => format!("run {}: ", self.with.join(", ")),
            [] | [_] => String::new(),
        };
        let until = self.stands_at.map(quantity::clock);
        let so_far = until.map(|until| format!("; so far: it may still fall until {until}"));
        format!("{run}{}{}", reason(self), so_far.unwrap_or_default())
    }
}

#[expect(clippy::too_many_lines, reason = "one sentence for each reason")]
pub(super) fn reason(trial: &Trial) -> String {
    let current = quantity::current;
    let span = quantity::span;
    match &trial.reason {
        TrialReason::Fell {
            own_a,
            later_a,
            stages,
            last_after_s,
        } => fell(trial, *own_a, *later_a, (*stages, *last_after_s)),
        TrialReason::Blind { for_s } => {
            format!(
                "blind for {} in between, so nobody saw how it came",
                span(*for_s)
            )
        }
        TrialReason::Rose { by_a, differs_a } => {
            format!(
                "{} more{}",
                current(*by_a),
                differs_a.map(back).unwrap_or_default()
            )
        }
        TrialReason::Same { for_s, differs_a } => {
            format!(
                "no change in {}{}",
                span(*for_s),
                differs_a.map(back).unwrap_or_default()
            )
        }
        TrialReason::TooLittle { .. } => "too little to matter".into(),
        TrialReason::Slept { up_s, .. } => format!(
            "with it the car stayed up for {}, without it it slept: it {KEPT_AWAKE}",
            span(*up_s)
        ),
        TrialReason::Woke { rise_a } => format!(
            "this woke the car ({} more), which then slept again: nobody saw how the fall came",
            current(*rise_a)
        ),
        TrialReason::WakesStopped {
            every_s,
            watched_s,
            average_before_a,
            average_after_a,
        } => format!(
            "the wakes stopped: none in {}, before one every {}; on average {}, before {}",
            span(*watched_s),
            span(*every_s),
            current(*average_after_a),
            current(*average_before_a)
        ),
        TrialReason::WakesGoOn {
            every_s,
            seen,
            average_after_a,
        } => format!(
            "it still wakes every {}, {seen} seen since; on average {}",
            span(*every_s),
            current(*average_after_a)
        ),
        TrialReason::WakesOpen {
            every_s,
            watched_s,
            needed_s,
        } => {
            let more = wait::to_come(needed_s - watched_s);
            let watch = if trial.finding == Finding::NotYet {
                format!("watch {more} more")
            } else {
                format!("watch {} the next time", wait::to_come(*needed_s))
            };
            format!(
                "it woke every {} before; none since, in {}: {watch}",
                span(*every_s),
                span(*watched_s)
            )
        }
        TrialReason::Blunt { below_a, remedy } => format!(
            "a change below {} cannot be told: U is {}",
            current(*below_a),
            super::remedy(*remedy)
        ),
        TrialReason::Unsettled { waited_s, at_a } => {
            let at = at_a
                .map(|a| format!(", at {}", current(a)))
                .unwrap_or_default();
            format!("not settled since, {} so far{at}", span(*waited_s))
        }
        TrialReason::Overtaken {
            by,
            after_s,
            in_run,
        } => {
            let then = if *in_run {
                "judged with the run"
            } else {
                "give it time to settle the next time"
            };
            format!(
                "{by} came {} after, before the current had settled: first look only, {then}",
                span(*after_s)
            )
        }
        TrialReason::NothingBefore { now_a, differs_a } => {
            let now = now_a.map(|a| format!("; it has now, at {}", current(a)));
            let same = differs_a.map(back).unwrap_or_default();
            format!(
                "the current had not settled before{}{same}",
                now.unwrap_or_default()
            )
        }
        TrialReason::UpTooShort { up_s, needed_s } => format!(
            "the car slept without it, but had been up for only {} with it: put it back, lock, and see whether it stays up for {}",
            span(*up_s),
            wait::to_come(*needed_s)
        ),
        TrialReason::Misnamed {
            label,
            out,
            since_s,
        } => misnamed(trial.did, label, out, *since_s),
        TrialReason::NoCurrent { at_a } => {
            let at = if *at_a == 0.0 {
                "exactly zero".into()
            } else {
                current(*at_a)
            };
            format!(
                "the meter went to {at}, which no car with its battery connected draws: check the meter's fuse and leads, then do it again"
            )
        }
        TrialReason::Frozen { for_s } => {
            format!(
                "not one digit has moved for {}: is the meter on HOLD?",
                span(*for_s)
            )
        }
        TrialReason::Shared { own_a, later_a } if trial.manner == Some(Manner::AtOnce) => format!(
            "{} went at once; {} more fell later, of this or of what came out before it",
            current(*own_a),
            current(*later_a)
        ),
        TrialReason::Shared { later_a, .. } => format!(
            "{} fell later: one of them kept others awake; put back one at a time to tell which",
            current(*later_a)
        ),
        TrialReason::AsleepWithIt { fell_a, level_a } => format!(
            "{} fell later, but with it back in the car sleeps on at {}: the car fell asleep by itself, or this reset it; pull it again when the current is back",
            current(*fell_a),
            current(*level_a)
        ),
        TrialReason::FellBefore {
            fell_a,
            before_s,
            by,
        } => {
            let (fell, before) = (current(*fell_a), span(*before_s));
            by.as_ref().map_or_else(
                || format!("{fell} fell {before} before the mark: was it this? Then move the mark to it (k), else do it again"),
                |by| format!("{fell} fell {before} before the mark of {by}: was it that? Then move that mark to it (k)"),
            )
        }
        TrialReason::Disagree { own_a, resting_a } => format!(
            "{} went at once, but the rest differs by {}: something else came or went; do it again",
            current(own_a.abs()),
            current(*resting_a)
        ),
    }
}

fn fell(
    trial: &Trial,
    own_a: Option<f64>,
    later_a: f64,
    (stages, last_after_s): (usize, f64),
) -> String {
    let current = quantity::current;
    let held = if trial.did == Did::Swap {
        "with the new part"
    } else {
        "settled to settled"
    };
    let in_run = trial.with.len() > 1;
    let which = if in_run {
        "; put back one at a time to tell which"
    } else {
        ""
    };
    match (trial.manner, own_a) {
        (Some(Manner::AtOnce), _) if in_run => "loads of their own".into(),
        (Some(Manner::AtOnce), _) => "a load of its own".into(),
        (Some(Manner::Late), _) => {
            let how = match stages {
                0 => String::new(),
                1 => format!(
                    " (one fall, {} after the mark: or was the mark too early?)",
                    quantity::span(last_after_s)
                ),
                _ => format!(" (it fell in {stages} stages)"),
            };
            let it = if in_run { "one of them" } else { "it" };
            format!("{it} {KEPT_AWAKE}{how}{which}")
        }
        (Some(Manner::Both), Some(own_a)) => format!(
            "{} of its own, and it kept {} awake{which}",
            current(own_a),
            current(later_a)
        ),
        (None, None) if stages == 1 => format!(
            "it fell between two readings, by {} after the mark: its own, or of others that it kept \
             awake; a reading right after the pull tells",
            quantity::span(last_after_s)
        ),
        (None, _) if stages == 1 => format!(
            "one fall, {} after the mark: its own if the mark was early, else it kept others awake",
            quantity::span(last_after_s)
        ),
        (Some(Manner::Both) | None, _) => held.into(),
    }
}

/// Whether what was put back brought back what was there before, as the end of a sentence.
fn back(differs_a: f64) -> String {
    if differs_a == 0.0 {
        return ", as before it came out".into();
    }
    let more = if differs_a > 0.0 { "more" } else { "less" };
    format!(
        ", {} {more} than before it came out",
        quantity::current(differs_a.abs())
    )
}

fn misnamed(did: Did, label: &str, out: &[String], since_s: Option<f64>) -> String {
    let mend = "which one was it? Strike this mark and make it again";
    if did.removes() {
        let since = since_s.map(|s| format!(", since {}", quantity::clock(Elapsed::from_secs(s))));
        return format!(
            "{label} is out already{}: {mend}",
            since.unwrap_or_default()
        );
    }
    let are_out = if out.is_empty() {
        "nothing is out".to_owned()
    } else {
        format!("out are: {}", out.join(", "))
    };
    format!("{label} was never out; {are_out}: {mend}")
}
