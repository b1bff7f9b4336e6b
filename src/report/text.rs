//! A judgement in plain lines, for `judge` without `--json` and for `record`.

use std::io::{self, Write};

use super::record_summary::RecordSummary;
use super::{cause, drop};
use crate::judge::finding::{Cycle, Now, Share, Trial, Unclaimed, Wake};
use crate::judge::plan::Plan;
use crate::judge::rules::AWAKE_A;
use crate::judge::words::contradiction;
use crate::judge::{Judgement, words};
use crate::reading::sanitize::is_harmful;
use crate::reading::{Elapsed, number, quantity};
use crate::session::Session;

/// Writes everything a reader needs to know, the verdict first.
///
/// # Errors
/// Whatever `out` reports.
pub fn write(session: &Session, judgement: &Judgement, mut out: impl Write) -> io::Result<()> {
    let whole = RecordSummary::new(session);
    let mut lines = lines(judgement);
    // A hole in the record belongs to the verdict; the whole of it closes the list.
    lines.splice(1..1, whole.unread_in_words());
    let end = lines.len().saturating_sub(1);
    lines.splice(end..end, whole.in_words());
    for line in lines {
        writeln!(out, "{}", sanitize(&line))?;
    }
    out.flush()
}

/// The judgement, line by line.
pub fn lines(judgement: &Judgement) -> Vec<String> {
    let limit = quantity::amount(judgement.limit.value);
    let from = judgement.limit.from.word();
    let mut lines = vec![
        format!("{}: {}", judgement.verdict.word(), judgement.verdict_why),
        match &judgement.other_limits_words {
            Some(others) => format!("limit {limit} ({from}); {others}"),
            None => format!("limit {limit} ({from})"),
        },
    ];
    lines.extend(words::other_rules(judgement));
    lines.extend(judgement.settled.iter().map(|settled| {
        let level = settled.level.in_words();
        let average = settled.average_in_words();
        let wakes = if average == level {
            String::new()
        } else {
            format!(", {average} on average with its wakes")
        };
        let since = quantity::clock(settled.since);
        format!("settled at {level} since {since}{wakes}")
    }));
    lines.extend(judgement.day_ah.map(words::day));
    lines.extend(judgement.watch.map(words::watch));
    let standing = judgement.standing.as_ref();
    lines.extend(standing.map(|standing| format!("the battery {}", standing.in_words())));
    lines.extend(judgement.implied.clone());
    let Now { phase, why, .. } = &judgement.now;
    lines.push(format!("at the end {}: {why}", phase.word()));
    lines.extend(learned(judgement));
    lines.extend(judgement.trials.iter().map(trial));
    lines.extend(judgement.unclaimed.iter().map(unclaimed));
    lines.extend(judgement.sweep.iter().flat_map(drop::sweep_lines));
    lines.extend(judgement.wakes.iter().map(wake));
    lines.extend(judgement.cycles.iter().map(cycle));
    lines.extend(ledger(judgement));
    lines.extend(judgement.ledger.iter().map(share));
    lines.extend(judgement.rest_a.map(|rest_a| rest(judgement, rest_a)));
    let cause = cause::cause(judgement, str::to_owned);
    lines.extend(cause.map(|cause| format!("cause: {cause}")));
    let odd = judgement.contradictions.iter();
    lines.extend(odd.map(|it| format!("does not fit: {}", contradiction(it))));
    lines.extend(judgement.plan.iter().flat_map(plan));
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
pub fn now(now: &Now) -> String {
    let (since, phase) = (quantity::clock(now.since), now.phase.word());
    format!("{since} {phase}: {}", now.why)
}

/// A trial in one line.
pub fn trial(trial: &Trial) -> String {
    let settled = trial
        .change
        .map(|change| quantity::change(change.a, change.u_a));
    let change = settled.or_else(|| {
        let look = trial.first_look?;
        Some(format!("first look {}", quantity::change(look.a, look.u_a)))
    });
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

/// What this car's own sleep would set as its time-out, unless that is in force already.
fn learned(judgement: &Judgement) -> Option<String> {
    let (took_s, learned_s) = (judgement.sleep_took_s?, judgement.learned_timeout_s?);
    let in_force_s = judgement.timeout.value;
    let (took, learned) = (quantity::span(took_s), quantity::span(learned_s));
    let minutes = number::round_to_i64(learned_s / 60.0);
    let offer = if learned_s < in_force_s {
        format!("{learned} would do as its time-out")
    } else if learned_s > in_force_s {
        let in_force = quantity::span(in_force_s);
        format!("{learned} would be safer than the time-out of {in_force}")
    } else {
        return None;
    };
    Some(format!(
        "this car took {took} to sleep; {offer}: --sleep-timeout {minutes}m"
    ))
}

/// A step that nobody marked, as a question.
fn unclaimed(step: &Unclaimed) -> String {
    let way = if step.to_a < step.from_a {
        "fall"
    } else {
        "rise"
    };
    let asleep = if step.from_a >= AWAKE_A && step.to_a < AWAKE_A {
        " Or did the car only then fall asleep? Then its time-out is longer"
    } else {
        ""
    };
    format!(
        "a {way} of {} at {} nobody marked: what was done then?{asleep}",
        quantity::current((step.to_a - step.from_a).abs()),
        quantity::clock(step.t)
    )
}

/// A wake in one line.
fn wake(wake: &Wake) -> String {
    format!(
        "{} wake of {}, up to {}, {:.1} As",
        quantity::clock(wake.from),
        quantity::span(wake.lasts_s()),
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
    let level = share.level.in_words();
    match share.what.as_slice() {
        [one] => format!("  {one} draws {level}"),
        many => format!(
            "  {}: {level} together, not told apart",
            many.join(" with ")
        ),
    }
}

/// Which state of the car the shares below describe.
fn ledger(judgement: &Judgement) -> Option<String> {
    let all = quantity::current(judgement.ledger_sum_a());
    let state = if judgement.is_mended() {
        ", before the new part"
    } else {
        ""
    };
    (!judgement.ledger.is_empty()).then(|| format!("with everything in{state}, {all} settled:"))
}

fn rest(judgement: &Judgement, rest_a: f64) -> String {
    let rest = quantity::current(rest_a);
    if rest_a <= judgement.limit.value {
        format!("  the rest of the car {rest}, within the limit")
    } else {
        format!("  no trial explains {rest}, more than the limit")
    }
}

/// What to do next, why, and what to know before it.
pub(super) fn plan(plan: &Plan) -> Vec<String> {
    let deed = plan
        .did
        .filter(|_| !plan.next.is_empty())
        .map(|did| format!("{did} {}: ", plan.next.join("+")));
    let left = if plan.minutes_left > 0.0 {
        format!(" (about {:.0} min left)", plan.minutes_left.ceil())
    } else {
        String::new()
    };
    let mut lines = vec![format!(
        "next: {}{}{left}",
        deed.unwrap_or_default(),
        plan.why
    )];
    if !plan.parts.is_empty() {
        lines.push(format!(
            "  to unplug, one at a time: {}",
            plan.parts.join(", ")
        ));
    }
    lines.extend(
        plan.cautions
            .iter()
            .map(|caution| format!("  caution: {caution}")),
    );
    lines
}

/// A line for the log: when, and what.
pub fn stamped(t: Elapsed, what: &str) -> String {
    format!("{} {}", quantity::clock(t), sanitize(what))
}

/// A file written by hand may hold anything: what a terminal could obey is left out.
pub fn sanitize(text: &str) -> String {
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
            what: vec!["E8".into(), "D12".into()],
            before: None,
            after: None,
            change: Some(Level {
                a: -0.163,
                u_a: 0.0021,
            }),
            first_look: None,
            finding: Finding::Clears,
            manner: Some(Manner::AtOnce),
            with: Vec::new(),
            stands_at: None,
            reason: crate::judge::reason::TrialReason::Same {
                for_s: 0.0,
                differs_a: None,
            },
            why: "below the limit after it".into(),
        };
        assert_eq!(
            trial(&pulled),
            "0:01:31 pull E8+D12: clears (-163.0 mA \u{b1} 2.1 mA, at once): \
             below the limit after it"
        );
    }

    #[test]
    fn nothing_a_terminal_obeys_gets_through() {
        assert_eq!(sanitize("D6\u{1b}[2J\u{202e}\r\n"), "D6[2J");
    }
}
