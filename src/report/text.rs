//! A judgement in plain lines, for `judge` without `--json` and for `record`.

use std::io::{self, Write};

use crate::judge::Judgement;
use crate::judge::finding::{Cycle, Now, Phase, Share, Trial, Wake};
use crate::reading::harmless::is_harmful;
use crate::reading::{Elapsed, quantity};

/// Writes everything a reader needs to know, the verdict first.
///
/// # Errors
/// Whatever `out` reports.
pub fn write(judgement: &Judgement, mut out: impl Write) -> io::Result<()> {
    for line in lines(judgement) {
        writeln!(out, "{}", harmless(&line))?;
    }
    out.flush()
}

/// The judgement, line by line.
#[must_use]
pub fn lines(judgement: &Judgement) -> Vec<String> {
    let limit = quantity::amount(judgement.limit.value);
    let from = judgement.limit.from.word();
    let mut lines = vec![
        format!("{}: {}", judgement.verdict.word(), judgement.verdict_why),
        format!("limit {limit} ({from})"),
    ];
    lines.extend(judgement.settled.iter().map(|settled| {
        format!(
            "settled at {} since {}, {} on average with its wakes",
            quantity::level(settled.level.a, settled.level.u_a),
            quantity::clock(settled.since),
            quantity::level(settled.average.a, settled.average.u_a),
        )
    }));
    lines.push(now(&judgement.now));
    lines.extend(judgement.trials.iter().map(trial));
    lines.extend(unmarked_falls(judgement));
    lines.extend(judgement.wakes.iter().map(wake));
    lines.extend(judgement.cycles.iter().map(cycle));
    lines.extend(judgement.ledger.iter().map(share));
    lines.extend(
        judgement
            .rest_a
            .map(|rest_a| format!("  no trial explains {}", quantity::current(rest_a))),
    );
    if judgement.left_out > 0 {
        let n = judgement.left_out;
        lines.push(format!(
            "{n} readings left out: their time runs backwards or leaps"
        ));
    }
    lines.push(format!(
        "{} readings over {}, judged by rules {}",
        judgement.readings,
        quantity::span(judgement.span_s),
        judgement.rules,
    ));
    lines
}

/// What the car does now, in one line.
#[must_use]
pub fn now(now: &Now) -> String {
    let (since, phase) = (quantity::clock(now.since), now.phase.word());
    format!("{since} {phase}: {}", now.why)
}

/// A trial in one line.
#[must_use]
pub fn trial(trial: &Trial) -> String {
    let change = trial
        .change
        .map(|change| quantity::change(change.a, change.u_a));
    let manner = trial.manner.map(|manner| manner.word().to_owned());
    let numbers: Vec<String> = change.into_iter().chain(manner).collect();
    let numbers = if numbers.is_empty() {
        String::new()
    } else {
        format!(" ({})", numbers.join(", "))
    };
    format!(
        "{} {} {}: {}{numbers}: {}",
        quantity::clock(trial.t),
        trial.did,
        trial.what.join("+"),
        trial.finding.word(),
        trial.why,
    )
}

/// Falls out of a settled level that no mark explains: something was done and not noted.
fn unmarked_falls(judgement: &Judgement) -> impl Iterator<Item = String> {
    let settled = |t: Elapsed| {
        let mut spans = judgement.phases.iter();
        spans.any(|span| span.phase == Phase::Settled && span.from < t && t <= span.to)
    };
    judgement
        .steps
        .iter()
        .filter(move |step| step.mark.is_none() && step.to_a < step.from_a && settled(step.t))
        .map(|step| {
            let fall = quantity::current(step.from_a - step.to_a);
            format!(
                "{} fell by {fall} without a mark: what was that?",
                quantity::clock(step.t)
            )
        })
}

/// A wake in one line.
fn wake(wake: &Wake) -> String {
    format!(
        "{} wake of {}, up to {}, {:.1} As",
        quantity::clock(wake.from),
        quantity::span(wake.to.secs_since(wake.from)),
        quantity::current(wake.peak_a),
        wake.charge_as,
    )
}

fn cycle(cycle: &Cycle) -> String {
    format!(
        "  a wake every {}: {} long, {} more, {} seen",
        quantity::span(cycle.period_s),
        quantity::span(cycle.width_s),
        quantity::current(cycle.extra_a),
        cycle.count,
    )
}

fn share(share: &Share) -> String {
    format!(
        "  {} draws {}",
        share.what.join(" or "),
        quantity::level(share.level.a, share.level.u_a)
    )
}

/// A line for the log: when, and what.
#[must_use]
pub fn stamped(t: Elapsed, what: &str) -> String {
    format!("{} {}", quantity::clock(t), harmless(what))
}

/// A file written by hand may hold anything: what a terminal could obey is left out.
#[must_use]
pub fn harmless(text: &str) -> String {
    text.chars().filter(|c| !is_harmful(*c)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::finding::{Finding, Level, Manner};
    use crate::session::mark::{Did, MarkId};

    #[test]
    fn a_trial_tells_change_manner_and_reason() {
        let pulled = Trial {
            mark: MarkId(3),
            t: Elapsed::from_secs(91.0),
            did: Did::Pull,
            what: vec!["B4".into(), "B2".into()],
            before: None,
            after: None,
            change: Some(Level {
                a: -0.152,
                u_a: 0.0021,
            }),
            first_look: None,
            finding: Finding::Clears,
            manner: Some(Manner::AtOnce),
            why: "below the limit after it".into(),
        };
        assert_eq!(
            trial(&pulled),
            "0:01:31 pull B4+B2: clears (-152.0 mA \u{b1} 2.1 mA, at once): \
             below the limit after it"
        );
    }

    #[test]
    fn nothing_a_terminal_obeys_gets_through() {
        assert_eq!(harmless("B4\u{1b}[2J\u{202e}\r\n"), "B4[2J");
    }
}
