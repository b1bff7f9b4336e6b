//! The document of `judge --json`. Scripts rely on its keys to the letter: add, never change.
//!
//! Numbers are rounded to what can mean something (currents to 0.1 microampere, times to the
//! millisecond), so that the same session always gives the same text.

pub mod event;
pub(super) mod figures;
mod lazy;
mod pattern;
mod volts;

use std::io::{self, Write};

use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};
use serde_json::{Value, json};

use super::drop;
use super::written::write_document;
use crate::judge::finding::{
    Cycle, Level, LevelStep, Manner, PhaseSpan, SettledNow, Share, Trial, Unclaimed, Wake,
};
use crate::judge::limit::Sourced;
use crate::judge::plan::Plan;
use crate::judge::reason::TrialReason;
use crate::judge::stop::Stop;
use crate::judge::words::cause;
use crate::judge::{Judgement, words};
use crate::reading::Elapsed;
use crate::session::Did;
use figures::{band, reason, rounded};
use lazy::{entries, list};

/// Writes the judgement as one JSON document and a line feed.
///
/// # Errors
/// Whatever `out` reports.
pub fn write(judgement: &Judgement, out: impl Write) -> io::Result<()> {
    write_beside(judgement, None, out)
}

/// The same with the judgement of an earlier record under the key `earlier`.
///
/// # Errors
/// Whatever `out` reports.
pub fn write_beside(
    judgement: &Judgement,
    earlier: Option<&Judgement>,
    out: impl Write,
) -> io::Result<()> {
    write_document(out, &Document { judgement, earlier })
}

/// The judgement as a JSON value.
pub fn document(judgement: &Judgement) -> Value {
    let document = Document {
        judgement,
        earlier: None,
    };
    // Of texts, numbers and lists of them: there is nothing that JSON does not have.
    serde_json::to_value(document).unwrap_or_default()
}

/// The judgement as it is written, one key after another: ten thousand wakes never lie in memory as JSON.
struct Document<'a> {
    judgement: &'a Judgement,
    /// That of an earlier record.
    earlier: Option<&'a Judgement>,
}

impl Serialize for Document<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let judgement = self.judgement;
        let mut map = serializer.serialize_map(None)?;
        entries!(map, {
            "rules": judgement.rules,
            "by_other_rules": judgement.by_other_rules,
            "readings": judgement.readings,
            "left_out": judgement.left_out,
            "finished_s": judgement.by_hand.finished.map(moment),
            "left_out_by_hand": list(&judgement.by_hand.left_out, |(from, to)| {
                json!({ "from_s": moment(*from), "to_s": moment(*to) })
            }),
            "span_s": seconds(judgement.span_s),
            "charge_ah": rounded(judgement.charge_ah, 9),
            "limit": json!({
                "a": amps(judgement.limit.value),
                "from": judgement.limit.from.word(),
                "others": list(&judgement.other_limits, limit),
            }),
            "timeout": json!({
                "s": seconds(judgement.timeout.value),
                "from": judgement.timeout.from.word(),
            }),
            "sleep_took_s": judgement.sleep_took_s.map(seconds),
            "learned_sleep_timeout_s": judgement.learned_timeout_s.map(seconds),
            "phases": list(&judgement.phases, phase),
            "now": json!({
                "phase": judgement.now.phase.word(),
                "since_s": moment(judgement.now.since),
                "level_a": judgement.now.level.map(level_a),
                "u_a": judgement.now.level.map(level_u_a),
                "reason": reason(&judgement.now.reason),
                "why": judgement.now.why(),
            }),
            "steps": list(&judgement.steps, step),
            "unclaimed": list(&judgement.unclaimed, unclaimed),
            "trials": list(&judgement.trials, trial),
            "runs": list(&judgement.runs, |run| run.iter().map(|mark| mark.0).collect()),
            "wakes": list(&judgement.wakes, |it| wake(judgement, it)),
            "cycles": list(&judgement.cycles, cycle),
            "pattern": judgement.pattern.as_ref().map(|it| pattern::pattern(judgement, it)),
            "ledger": list(&judgement.ledger, share),
            "kept_awake": judgement.trials.iter().filter_map(kept_awake).collect::<Vec<Value>>(),
            "rest_a": judgement.rest_a.map(amps),
            "cause": cause::cause(judgement, str::to_owned),
            "contradictions": list(&judgement.contradictions, |it| it.why().into()),
            "contradiction_reasons": reason(&judgement.contradictions),
            "plan": judgement.plan.as_ref().map(plan),
            "stop": judgement.stop.as_ref().map(stop),
            "settled": judgement.settled.as_ref().map(settled),
            "average": judgement.average.map(|average| json!({
                "a": level_a(average.level),
                "u_a": level_u_a(average.level),
                "over_s": seconds(average.over_s),
                "wakes": average.wakes,
                "open": average.is_open,
            })),
            "verdict": judgement.verdict.word(),
            "so_far": judgement.stands_at.is_some(),
            "stands_at_s": judgement.stands_at.map(moment),
            "reason": reason(&judgement.reasons.first()),
            "reasons": reason(&judgement.reasons),
            "verdict_why": judgement.verdict_why(),
            "slept": judgement.slept,
            "watch": judgement.watch.map(|watch| json!({
                "watched_s": seconds(watch.watched_s),
                "needed_s": seconds(watch.needed_s),
                "charge_as": rounded(watch.charge_as, 3),
            })),
            "day_ah": judgement.day_ah.map(|day| band(day, 4)),
            "standing_days": judgement.standing.map(|standing| band(standing.average_days, 3)),
            "implied": judgement.complaint.as_ref().map(words::draw::complaint),
            "sweep": judgement.sweep.as_ref().map(drop::sweep),
            "volts": judgement.volts.as_ref().map(volts::volts),
        });
        if let Some(judgement) = self.earlier {
            let earlier = None;
            map.serialize_entry("earlier", &Document { judgement, earlier })?;
        }
        map.end()
    }
}

fn limit(limit: &Sourced) -> Value {
    json!({"a": amps(limit.value), "from": limit.from.word()})
}

fn phase(span: &PhaseSpan) -> Value {
    json!({
        "phase": span.phase.word(),
        "from_s": moment(span.from),
        "to_s": moment(span.to),
        "level_a": span.level.map(level_a),
        "u_a": span.level.map(level_u_a),
    })
}

fn step(step: &LevelStep) -> Value {
    json!({
        "t_s": moment(step.t),
        "from_a": amps(step.from_a),
        "to_a": amps(step.to_a),
        "mark": step.mark.map(|mark| mark.0),
        "in_gap": step.in_gap,
    })
}

fn unclaimed(step: &Unclaimed) -> Value {
    json!({
        "t_s": moment(step.t),
        "from_a": amps(step.from_a),
        "to_a": amps(step.to_a),
        "among": step.among,
    })
}

fn trial(trial: &Trial) -> Value {
    json!({
        "mark": trial.mark.0,
        "t_s": moment(trial.t),
        "did": trial.did.word(),
        "what": trial.what,
        "before_a": trial.before.map(level_a),
        "after_a": trial.after.map(level_a),
        "change_a": trial.change.map(level_a),
        "u_a": trial.change.map(level_u_a),
        "first_look_a": trial.first_look.map(level_a),
        "first_look_u_a": trial.first_look.map(level_u_a),
        "finding": trial.finding.word(),
        "so_far": trial.stands_at.is_some(),
        "stands_at_s": trial.stands_at.map(moment),
        "manner": trial.manner.map(Manner::word),
        "reason": reason(&trial.reason),
        "why": trial.why(),
    })
}

/// What slept without the thing that was taken out: the part of its fall that is not its own.
fn kept_awake(trial: &Trial) -> Option<Value> {
    let change = trial.change.filter(|_| trial.did.removes())?;
    let later_a = match (trial.manner?, &trial.reason) {
        (Manner::Both, TrialReason::Fell { later_a, .. }) => *later_a,
        (Manner::Late, _) => -change.a,
        _ => return None,
    };
    Some(json!({"what": trial.together(), "a": amps(later_a), "u_a": level_u_a(change)}))
}

fn wake(judgement: &Judgement, wake: &Wake) -> Value {
    json!({
        "from_s": moment(wake.from),
        "to_s": moment(wake.to),
        "clock": pattern::clock(judgement, wake.from),
        "lasts_s": seconds(wake.lasts_s()),
        "day_share": judgement.day_share(wake).map(|share| rounded(share, 4)),
        "peak_a": amps(wake.peak_a),
        "charge_as": rounded(wake.charge_as, 6),
        "over": wake.over,
    })
}

fn cycle(cycle: &Cycle) -> Value {
    json!({
        "period_s": seconds(cycle.period_s),
        "width_s": seconds(cycle.width_s),
        "extra_a": amps(cycle.extra_a),
        "charge_as": rounded(cycle.charge_as, 6),
        "count": cycle.count,
    })
}

fn share(share: &Share) -> Value {
    json!({
        "what": share.what,
        "a": level_a(share.level),
        "u_a": level_u_a(share.level),
    })
}

fn plan(plan: &Plan) -> Value {
    json!({
        "did": plan.did.map(Did::word),
        "next": plan.next,
        "minutes": rounded(plan.minutes_left, 1),
        "why": plan.why(),
        "unplug": plan.parts,
        "cautions": plan.cautions,
        "candidates": list(&plan.rest, |one| json!({"what": one.what, "p": rounded(one.p, 3)})),
    })
}

fn stop(stop: &Stop) -> Value {
    let (code, for_s, left) = match stop {
        Stop::Overnight { more_s } => ("overnight", *more_s, &[][..]),
        Stop::Stuck { left, each_s } => ("stuck", *each_s, left.as_slice()),
    };
    let why = words::stop::stop(stop);
    json!({"code": code, "for_s": seconds(for_s), "left": left, "why": why})
}

fn settled(now: &SettledNow) -> Value {
    json!({
        "level_a": level_a(now.level),
        "u_a": level_u_a(now.level),
        "average_a": level_a(now.average),
        "average_u_a": level_u_a(now.average),
        "since_s": moment(now.since),
    })
}

fn level_a(level: Level) -> Value {
    amps(level.a)
}

fn level_u_a(level: Level) -> Value {
    amps(level.u_a)
}

fn amps(value_a: f64) -> Value {
    rounded(value_a, 7)
}

fn seconds(value_s: f64) -> Value {
    rounded(value_s, 3)
}

fn moment(t: Elapsed) -> Value {
    seconds(t.secs())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::header;
    use crate::judge::finding::{Finding, Phase, Verdict};
    use crate::session::Session;
    use crate::session::mark::MarkId;

    fn sample() -> Judgement {
        let level = Some(Level {
            a: 0.052_000_000_01,
            u_a: 0.001,
        });
        let mut judgement = Judgement::nothing_yet(&Session::new(header::unknown()));
        judgement.phases.push(PhaseSpan {
            phase: Phase::Blind,
            from: Elapsed::ZERO,
            to: Elapsed::from_ms(1500),
            level: None,
        });
        judgement.steps.push(LevelStep {
            t: Elapsed::from_ms(91_000),
            from_a: 0.3,
            to_a: 0.1 + 0.2,
            in_gap: false,
            mark: None,
        });
        judgement.trials.push(Trial {
            mark: MarkId(3),
            t: Elapsed::from_ms(91_000),
            did: Did::Pull,
            what: vec!["L5".into(), "=1+1".into()],
            before: level,
            after: None,
            change: None,
            first_look: level,
            finding: Finding::NotYet,
            manner: Some(Manner::AtOnce),
            with: Vec::new(),
            stands_at: None,
            reason: crate::judge::reason::TrialReason::Same {
                for_s: 0.0,
                differs_a: None,
            },
        });
        judgement.charge_ah = f64::NAN;
        judgement.verdict = Verdict::CannotTell;
        judgement
    }

    #[test]
    fn the_keys_are_those_of_the_contract() {
        // DESIGN of the contract: the keys scripts rely on, in its order.
        let document = document(&sample());
        let keys: Vec<&String> = document.as_object().unwrap().keys().collect();
        let contract = [
            "rules",
            "readings",
            "span_s",
            "charge_ah",
            "limit",
            "phases",
            "steps",
            "trials",
            "wakes",
            "cycles",
            "ledger",
            "rest_a",
            "settled",
            "verdict",
            "slept",
            "standing_days",
        ];
        for key in contract {
            assert!(keys.iter().any(|found| *found == key), "{key}");
        }
        let trial = document["trials"][0].as_object().unwrap();
        for key in [
            "mark", "t_s", "did", "what", "before_a", "after_a", "change_a", "u_a", "finding",
            "manner", "why",
        ] {
            assert!(trial.contains_key(key), "{key}");
        }
    }

    #[test]
    fn numbers_are_rounded_and_what_is_unknown_is_null() {
        let document = document(&sample());
        assert_eq!(document["trials"][0]["before_a"], json!(0.052));
        assert_eq!(document["trials"][0]["after_a"], Value::Null);
        assert_eq!(document["trials"][0]["manner"], json!("at once"));
        assert_eq!(document["trials"][0]["what"], json!(["L5", "=1+1"]));
        assert_eq!(document["steps"][0]["to_a"], json!(0.3));
        assert_eq!(document["steps"][0]["mark"], Value::Null);
        assert_eq!(document["phases"][0]["level_a"], Value::Null);
        assert_eq!(document["phases"][0]["to_s"], json!(1.5));
        assert_eq!(document["charge_ah"], Value::Null);
        assert_eq!(document["settled"], Value::Null);
        assert_eq!(document["verdict"], json!("cannot tell"));
        assert_eq!(rounded(-1e-12, 7).to_string(), "0.0");
    }

    #[test]
    fn the_document_is_json_text_with_a_line_end() {
        let mut out = Vec::new();
        write(&sample(), &mut out).unwrap();
        assert!(out.ends_with(b"}\n"));
        let read: Value = serde_json::from_slice(&out).unwrap();
        assert_eq!(read, document(&sample()));
    }
}
