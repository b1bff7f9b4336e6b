//! A judgement in plain lines, for `judge` without `--json` and for `record`.

use std::io::{self, Write};

use super::record_summary::RecordSummary;
use crate::judge::words::cause;
use crate::judge::{Judgement, words};
use crate::reading::sanitize::is_harmful;
use crate::reading::{Elapsed, quantity};
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
    let clock = quantity::clock;
    let limit = words::draw::limit(judgement.limit);
    let others = words::draw::other_limits(judgement);
    let others = others.map(|others| format!("; {others}"));
    let mut lines = vec![
        format!("{}: {}", judgement.verdict.word(), judgement.verdict_why()),
        format!("limit {limit}{}", others.unwrap_or_default()),
    ];
    lines.extend(words::other_rules(judgement));
    lines.extend(judgement.by_hand.in_lines(clock));
    lines.extend(judgement.settled.map(|settled| {
        let since = clock(settled.since);
        format!("{}, since {since}", words::draw::settled(judgement))
    }));
    lines.extend(judgement.day_ah.map(words::draw::day));
    lines.extend(judgement.watch.map(words::wake::watch));
    lines.extend(judgement.standing.as_ref().map(words::draw::stands));
    lines.extend(judgement.complaint.as_ref().map(words::draw::complaint));
    lines.push(format!("at the end {}", judgement.now.in_words()));
    lines.extend(words::draw::learned(judgement).map(|learned| {
        let flag = words::draw::learned_flag(judgement).map(|flag| format!(": {flag}"));
        format!("{learned}{}", flag.unwrap_or_default())
    }));
    let trials = judgement.trials.iter();
    lines.extend(trials.map(|trial| trial.in_words(&clock(trial.t))));
    let unclaimed = judgement.unclaimed.iter();
    lines.extend(unclaimed.map(|step| step.in_words(&clock(step.t))));
    let swept = judgement.sweep.iter();
    lines.extend(swept.flat_map(|swept| indented(words::sweep::sweep(swept))));
    let volts = judgement.volts.iter();
    lines.extend(volts.flat_map(|told| indented(words::volts::lines(told))));
    lines.extend(words::pattern::lines(judgement));
    let wakes = judgement.wakes.iter().rev();
    let wakes = wakes.map(|wake| words::pattern::line(judgement, wake, &clock(wake.from)));
    lines.extend(wakes);
    let cycles = judgement.cycles.iter();
    lines.extend(cycles.map(|cycle| format!("  {}", cycle.in_words())));
    if let Some(ledger) = words::ledger::ledger(judgement) {
        lines.push(format!("{ledger}:"));
    }
    let shares = words::ledger::shares(judgement).into_iter();
    lines.extend(shares.map(|[whose, a]| format!("  {whose}: {a}")));
    let kept_others = words::ledger::kept_others(judgement);
    lines.extend(kept_others.map(|it| format!("  {it}")));
    let cause = cause::cause(judgement, str::to_owned);
    lines.extend(cause.map(|cause| format!("cause: {cause}")));
    let odd = judgement.contradictions.iter();
    lines.extend(odd.map(crate::judge::contradiction::Contradiction::in_words));
    let plan = judgement.plan.iter();
    lines.extend(plan.flat_map(|plan| indented(plan.in_lines())));
    lines.extend(judgement.stop.as_ref().map(words::stop::stop));
    lines.extend(words::left_out(judgement));
    lines.push(words::record(judgement));
    lines
}

/// What belongs to the first of these lines stands under it.
fn indented(mut lines: Vec<String>) -> Vec<String> {
    for line in lines.iter_mut().skip(1) {
        line.insert_str(0, "  ");
    }
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

    #[test]
    fn nothing_a_terminal_obeys_gets_through() {
        assert_eq!(sanitize("D6\u{1b}[2J\u{202e}\r\n"), "D6[2J");
    }
}
