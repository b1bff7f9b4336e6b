//! The cause in one line, for the job card.

use crate::judge::Judgement;
use crate::judge::cause::{Cause, Who, causes};
use crate::judge::finding::Trial;
use crate::reading::quantity;
use crate::session::mark::Did;

/// More causes than this are no longer one line.
const MOST: usize = 3;

/// The cause, each label written as `named` writes it; `None` when no trial showed one.
pub fn cause(judgement: &Judgement, named: impl Fn(&str) -> String) -> Option<String> {
    let causes = causes(judgement);
    let words: Vec<String> = causes
        .iter()
        .take(MOST)
        .map(|one| line(one, &named))
        .collect();
    (!words.is_empty()).then(|| words.join("; "))
}

/// "the parking-aid module kept awake what E11 feeds (310 mA)", "the tailgate latch switch drew
/// 270 mA through L5", "the tyre-pressure receiver woke the car every 3 min 11 s".
fn line(cause: &Cause<'_>, named: &impl Fn(&str) -> String) -> String {
    let current = quantity::current;
    match cause {
        Cause::KeptAwake {
            who: keeper,
            what,
            fell_a,
        } => {
            let keeper = who(*keeper, named);
            let kept = what
                .iter()
                .map(|(one, a)| format!("{} ({})", who(*one, named), current(*a)));
            match kept.collect::<Vec<_>>().as_slice() {
                [] => format!("{keeper} kept others awake ({})", current(*fell_a)),
                kept => format!("{keeper} kept awake {}", kept.join(" and ")),
            }
        }
        Cause::Drew {
            who: drawer,
            a,
            through,
        } => {
            let fuses: Vec<String> = through.iter().map(|what| labels(what, named)).collect();
            let way = match fuses.as_slice() {
                [] => String::new(),
                fuses => format!(" through {}", fuses.join(" and ")),
            };
            format!("{} drew {}{way}", who(*drawer, named), current(*a))
        }
        Cause::Took { who: taker, a } => format!(
            "{} drew {}, or kept awake what did",
            who(*taker, named),
            current(*a)
        ),
        Cause::Woke {
            who: waker,
            every_s,
        } => format!(
            "{} woke the car every {}",
            who(*waker, named),
            quantity::span(*every_s)
        ),
    }
}

/// "the rear blower relay", "what E2 feeds", "what E2 and L15 feed".
pub fn who(who: Who<'_>, named: &impl Fn(&str) -> String) -> String {
    match who {
        Who::Part(what) => part(what, named),
        Who::Behind(fuses) => {
            let feed = if fuses.len() > 1 { "feed" } else { "feeds" };
            format!("what {} {feed}", labels(fuses, named))
        }
    }
}

/// What a trial took out, as a sentence has it: "the rear blower relay", "D3 and L7".
pub fn taken_out(trial: &Trial, named: &impl Fn(&str) -> String) -> String {
    if trial.did == Did::Unplug {
        part(trial.of_whom(), named)
    } else {
        labels(trial.of_whom(), named)
    }
}

/// A part reads as a thing, a mark on a plan does not.
pub(super) fn part(what: &[String], named: &impl Fn(&str) -> String) -> String {
    let labels = labels(what, named);
    if labels.starts_with(char::is_lowercase) && !labels.starts_with("the ") {
        format!("the {labels}")
    } else {
        labels
    }
}

fn labels(labels: &[String], named: &impl Fn(&str) -> String) -> String {
    let named: Vec<String> = labels.iter().map(|label| named(label)).collect();
    named.join(" and ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::header;
    use crate::judge::finding::{Finding, Level, Manner, Share};
    use crate::judge::reason::TrialReason;
    use crate::reading::Elapsed;
    use crate::session::Session;
    use crate::session::mark::MarkId;

    fn level(a: f64) -> Level {
        Level { a, u_a: 0.003 }
    }

    fn trial(t_s: f64, did: Did, what: &str, change_a: f64, manner: Option<Manner>) -> Trial {
        Trial {
            mark: MarkId(1),
            t: Elapsed::from_secs(t_s),
            did,
            what: vec![what.into()],
            before: None,
            after: None,
            change: Some(level(change_a)),
            first_look: None,
            finding: Finding::Clears,
            manner,
            with: Vec::new(),
            stands_at: None,
            reason: TrialReason::Same {
                for_s: 0.0,
                differs_a: None,
            },
        }
    }

    fn judged(trials: Vec<Trial>, ledger: &[(&str, f64)]) -> Judgement {
        Judgement {
            trials,
            ledger: ledger
                .iter()
                .map(|(what, a)| Share {
                    what: vec![(*what).to_owned()],
                    level: level(*a),
                })
                .collect(),
            ..Judgement::nothing_yet(&Session::new(header::unknown()))
        }
    }

    fn said(judgement: &Judgement) -> Option<String> {
        cause(judgement, str::to_owned)
    }

    #[test]
    fn who_kept_others_awake_is_named_with_what_it_kept_awake() {
        let mut trials = vec![
            trial(100.0, Did::Pull, "E11", -0.31, Some(Manner::AtOnce)),
            trial(200.0, Did::Pull, "D5", -0.329, Some(Manner::Late)),
        ];
        let judgement = judged(trials.clone(), &[("E11", 0.31), ("L2", 0.0)]);
        let words = "what D5 feeds kept awake what E11 feeds (310 mA)";
        assert_eq!(said(&judgement).as_deref(), Some(words));
        trials.push(trial(
            300.0,
            Did::Unplug,
            "parking-aid module",
            -0.329,
            Some(Manner::Late),
        ));
        let judgement = judged(trials, &[("E11", 0.31), ("L18", 0.82)]);
        let words =
            "the parking-aid module kept awake what E11 feeds (310 mA); what L18 feeds drew 820 mA";
        assert_eq!(said(&judgement).as_deref(), Some(words));
    }

    #[test]
    fn a_part_that_was_kept_awake_is_named_once() {
        let at_once = Some(Manner::AtOnce);
        let trials = vec![
            trial(100.0, Did::Pull, "L7", -0.347, at_once),
            trial(200.0, Did::Unplug, "trailer module", -0.347, at_once),
            trial(
                300.0,
                Did::Unplug,
                "latch switch",
                -0.343,
                Some(Manner::Late),
            ),
        ];
        let judgement = judged(trials, &[("L7", 0.347), ("D9", 0.9)]);
        let words =
            "the latch switch kept awake the trailer module (347 mA); what D9 feeds drew 900 mA";
        assert_eq!(said(&judgement).as_deref(), Some(words));
    }

    #[test]
    fn a_part_that_drew_is_named_with_its_fuse() {
        let trials = vec![
            trial(100.0, Did::Pull, "L5", -0.27, Some(Manner::AtOnce)),
            trial(
                200.0,
                Did::Unplug,
                "tailgate latch switch",
                -0.2696,
                Some(Manner::AtOnce),
            ),
        ];
        let fuse = judged(trials[..1].to_vec(), &[("L5", 0.27)]);
        assert_eq!(said(&fuse).as_deref(), Some("what L5 feeds drew 270 mA"));
        let unseen = vec![trial(1.0, Did::Pull, "L5", -0.27, None)];
        let unseen = judged(unseen, &[("L5", 0.27)]);
        let words = "what L5 feeds drew 270 mA, or kept awake what did";
        assert_eq!(said(&unseen).as_deref(), Some(words));
        let part = judged(trials, &[("L5", 0.27), ("E4", 0.0)]);
        let words = "the tailgate latch switch drew 270 mA through L5";
        assert_eq!(said(&part).as_deref(), Some(words));
        let both = vec![trial(
            1.0,
            Did::Unplug,
            "trailer module",
            -0.194,
            Some(Manner::AtOnce),
        )];
        let both = judged(both, &[("D9", 0.121), ("L5", 0.073), ("E17", 0.034)]);
        let words = "the trailer module drew 194 mA through D9 and L5; what E17 feeds drew 34.0 mA";
        assert_eq!(said(&both).as_deref(), Some(words));
    }

    /// Wakes every 100 s for 10 s until the pull at 1000 s, watched for `watched_s` after it.
    fn waking(reason: TrialReason) -> Judgement {
        let mut unplugged = trial(1000.0, Did::Unplug, "tyre-pressure receiver", -0.004, None);
        unplugged.reason = reason;
        judged(vec![unplugged], &[])
    }

    #[test]
    fn who_woke_the_car_is_told_by_the_silence_after_it() {
        let words = "the tyre-pressure receiver woke the car every 1 min 40 s";
        let stopped = TrialReason::WakesStopped {
            every_s: 100.0,
            watched_s: 250.0,
            average_before_a: 0.1,
            average_after_a: 0.02,
        };
        assert_eq!(said(&waking(stopped)).as_deref(), Some(words));
        let open = TrialReason::WakesOpen {
            every_s: 100.0,
            watched_s: 90.0,
            needed_s: 150.0,
        };
        assert_eq!(said(&waking(open)), None);
        let on = TrialReason::WakesGoOn {
            every_s: 100.0,
            seen: 1,
            average_after_a: 0.1,
        };
        assert_eq!(said(&waking(on)), None);
    }

    #[test]
    fn a_car_as_it_should_be_has_no_cause() {
        let small = trial(100.0, Did::Pull, "D1", -0.014, Some(Manner::AtOnce));
        assert_eq!(said(&judged(vec![small], &[("D1", 0.014)])), None);
        assert_eq!(said(&judged(Vec::new(), &[])), None);
    }
}
