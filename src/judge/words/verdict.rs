//! The verdict in words, and why it is what it is: the deciding reason first.

use super::counted;
use crate::judge::Judgement;
use crate::judge::finding::Verdict;
use crate::judge::reason::{Implausible, VerdictReason};
use crate::judge::wait;
use crate::reading::{Elapsed, quantity};

/// What U counts where nobody gave the meter's accuracy.
pub const NO_ACCURACY: &str =
    "the meter's accuracy was not given: counted as a plain handheld, 1.5 % + 3 counts";

/// A longer list of what is out is counted.
const NAMES_WIDE: usize = 26;

impl Judgement {
    /// All reasons of the verdict in one line.
    pub fn verdict_why(&self) -> String {
        let with = self.reasons.iter().find_map(|reason| {
            let VerdictReason::With { out } = reason else {
                return None;
            };
            Some(format!("with {} out, ", out.join("+")))
        });
        let reasons = self.reasons.iter();
        let words: Vec<String> = reasons
            .filter_map(|reason| one(self.verdict, reason, &self.reasons))
            .collect();
        format!("{}{}", with.unwrap_or_default(), words.join("; "))
    }

    /// The verdict as a badge or a cell has it, no stronger than the judgement: `below the limit so
    /// far with D11 out`. The limit may be called by its figure.
    pub fn against(&self, limit: &str, out: &[&str]) -> String {
        let word = self.verdict.word();
        let so_far = self.stands_at.map_or("", |_| " so far");
        match self.verdict {
            Verdict::Above => format!("{word} {limit}{so_far}"),
            Verdict::Below => format!("{word} {limit}{so_far}{}", with_out(out)),
            Verdict::CannotTell | Verdict::NotSettled => word.into(),
        }
    }

    /// What is below only so far.
    pub fn early_in_words(&self) -> Option<String> {
        let mut reasons = self.reasons.iter();
        let early = reasons.find(|reason| matches!(reason, VerdictReason::Early { .. }))?;
        one(self.verdict, early, &self.reasons)
    }

    /// Between which readings nothing shorter can be seen.
    pub fn sparse_in_words(&self) -> Option<String> {
        let mut reasons = self.reasons.iter();
        let sparse = reasons.find(|reason| matches!(reason, VerdictReason::Sparse { .. }))?;
        one(self.verdict, sparse, &self.reasons)
    }
}

/// A car that is below only with something out is not mended.
pub fn with_out(out: &[&str]) -> String {
    let names = out.join("+");
    match out.len() {
        0 => String::new(),
        n if names.chars().count() > NAMES_WIDE => format!(" with {n} out"),
        _ => format!(" with {names} out"),
    }
}

/// One reason; `None` where another says it.
#[expect(clippy::too_many_lines, reason = "one sentence for each reason")]
fn one(verdict: Verdict, reason: &VerdictReason, all: &[VerdictReason]) -> Option<String> {
    let current = quantity::current;
    let span = quantity::span;
    let at = |at_s: f64| quantity::clock(Elapsed::from_secs(at_s));
    Some(match reason {
        VerdictReason::NoReading => "no reading yet".into(),
        VerdictReason::Measured { .. } => {
            let says_it = |it: &VerdictReason| matches!(it, VerdictReason::NoAccuracy { .. });
            let has_other = all.iter().any(says_it);
            let known = |surely| format!("{surely}, with the meter's own error counted");
            surely(verdict, all).filter(|_| !has_other).map(known)?
        }
        VerdictReason::Wakes {
            level_a,
            average_a,
            wakes,
            watched_s,
        } => format!(
            "at rest {}, but with {} in {} it draws {} on average",
            current(*level_a),
            counted(*wakes),
            span(*watched_s),
            current(*average_a)
        ),
        VerdictReason::Restless {
            average_a, over_s, ..
        } => format!(
            "it never rests: {} on average over {}",
            current(*average_a),
            span(*over_s)
        ),
        VerdictReason::Early {
            waited_s,
            timeout_s,
        } if verdict == Verdict::Below => {
            let more = wait::to_come(timeout_s - waited_s);
            format!("so far: the time-out has not run yet; watch {more} more")
        }
        VerdictReason::Early {
            waited_s,
            timeout_s,
        } => format!(
            "it may still fall: wait {} more, until the time-out has run",
            wait::to_come(timeout_s - waited_s)
        ),
        VerdictReason::MayLie { until_s } => format!(
            "so far: the time-out may be too short; it stands after {}",
            span(*until_s)
        ),
        VerdictReason::SinceDeed {
            waited_s,
            timeout_s,
        } => format!(
            "so far: it may still fall; wait {} more",
            wait::to_come(timeout_s - waited_s)
        ),
        VerdictReason::Unsettled { waited_s, .. } if *waited_s >= 1.0 => {
            format!(
                "the current has not settled in {}: wait on",
                span(*waited_s)
            )
        }
        VerdictReason::Unsettled { .. } => "the current has not settled: wait on".into(),
        VerdictReason::NoReadingSince { deed } => format!("no reading since {deed}"),
        VerdictReason::WakesOpen { deed, needed_s } => format!(
            "whether {deed} ended the wakes is open: watch {} more",
            wait::to_come(*needed_s)
        ),
        VerdictReason::NoAccuracy { .. } if verdict == Verdict::CannotTell => {
            "this close to the limit the meter's accuracy counts: give it (--accuracy 1.0%+3)"
                .into()
        }
        VerdictReason::NoAccuracy { .. } => {
            super::join([surely(verdict, all), Some(NO_ACCURACY.into())], "; ")
        }
        VerdictReason::TooClose { u_a, remedy } => format!(
            "too close to the limit: U is {}, {}",
            current(*u_a),
            super::remedy(*remedy)
        ),
        VerdictReason::WakesOver { level_a, wakes } => format!(
            "at rest {}, but with {} beyond the meter's range: watch on in a higher range, where they can be counted",
            current(*level_a),
            counted(*wakes)
        ),
        VerdictReason::FewWakes {
            wakes,
            watched_s,
            more_s,
        } => {
            let more = more_s.map_or_else(
                || "another night".into(),
                |s| format!("about {} more", wait::to_come(s)),
            );
            format!(
                "{} in {}: too few to know how often they come: watch {more}",
                counted(*wakes),
                span(*watched_s)
            )
        }
        VerdictReason::Touched {
            at_s,
            for_s,
            charge_as,
        } => format!(
            "so far: left out are {} from {}, {}; was that a hand? If not, watch for another",
            span(*for_s),
            at(*at_s),
            super::charge(*charge_as)
        ),
        VerdictReason::Sparse { step_s } => format!(
            "read about every {}: a shorter wake cannot be seen",
            span(*step_s)
        ),
        VerdictReason::Risen { at_s, for_s } => format!(
            "so far: it rose at {}, {} ago; a wake, or no longer at rest",
            at(*at_s),
            span(*for_s)
        ),
        VerdictReason::Moves { a_per_h, is_clamp } => {
            let way = if *a_per_h < 0.0 { "falls" } else { "rises" };
            let moves = format!("it {way} by {} an hour", current(a_per_h.abs()));
            match (is_clamp, verdict) {
                (true, Verdict::CannotTell) => format!(
                    "{moves}, which a clamp's zero may do too: zero it again, or watch until it stands"
                ),
                (_, Verdict::NotSettled) => format!("{moves}: wait on"),
                _ => moves,
            }
        }
        VerdictReason::Fault { fault, for_s } => match *fault {
            "dead" => format!(
                "no current at all for {}: check the meter's fuse and leads",
                span(*for_s)
            ),
            "charged" => format!(
                "the battery was being charged for {}: take the charger off, and let the car sleep",
                span(*for_s)
            ),
            _ => format!(
                "not one digit has moved for {}: is the meter on HOLD?",
                span(*for_s)
            ),
        },
        VerdictReason::Implausible { level_a, u_a, kind } => implausible(*level_a, *u_a, *kind),
        VerdictReason::Stood {
            level_a,
            from_s,
            for_s,
        } => format!(
            "it stood at {} for {} from {}, past its time-out, and went by itself: what was done then? If nothing, watch on",
            current(*level_a),
            span(*for_s),
            at(*from_s)
        ),
        VerdictReason::Charging {
            at_s,
            for_s,
            peak_v,
        } => super::volts::charging(*at_s, *for_s, *peak_v),
        VerdictReason::Holes { blind_s, of_s } => {
            format!("no readings for {} of {}", span(*blind_s), span(*of_s))
        }
        VerdictReason::NotLocked => {
            "no lock was marked: it counts only if the car was locked".into()
        }
        VerdictReason::Until { at_s } => format!("until it was opened at {}", at(*at_s)),
        VerdictReason::With { .. } => return None,
    })
}

/// What was measured needs no word where something else decides.
fn surely(verdict: Verdict, all: &[VerdictReason]) -> Option<String> {
    let has = |which: fn(&VerdictReason) -> bool| all.iter().any(which);
    let is_measured = has(|it| matches!(it, VerdictReason::Measured { .. }))
        && matches!(verdict, Verdict::Above | Verdict::Below);
    let may_change = has(|it| {
        matches!(
            it,
            VerdictReason::Early { .. } | VerdictReason::SinceDeed { .. }
        )
    });
    let at_rest = if has(|it| matches!(it, VerdictReason::Sparse { .. })) {
        " at rest"
    } else {
        ""
    };
    let said = || format!("surely {}{at_rest}", verdict.word());
    (is_measured && !may_change).then(said)
}

fn implausible(level_a: f64, u_a: f64, kind: Implausible) -> String {
    let (shown, u) = (quantity::current(level_a), quantity::current(u_a));
    match kind {
        Implausible::Zero => {
            "exactly zero without any noise: check the meter's fuse and leads".into()
        }
        Implausible::Negative => {
            "the current is negative: turn the clamp or the leads, or take the charger off".into()
        }
        Implausible::Unit => {
            format!("{level_a:.0} A parked? A log in milliampere is read with --unit mA")
        }
        Implausible::Nothing => format!(
            "no current at all? {shown} is within U {u} of zero: check the meter's fuse and leads, then show it a known load (a 5 W lamp adds about 0.4 A)"
        ),
    }
}
