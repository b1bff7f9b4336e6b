//! The cause in one line, for the job card: who kept whom awake, who drew, who woke the car. Only
//! what trials showed; a car that needed no hunt has none.

use super::waking::{self, WakesAfter};
use crate::judge::Judgement;
use crate::judge::finding::{Manner, Share, Trial};
use crate::judge::rules::{SAME_CHANGE_SHARE, SUSPECT_A};
use crate::reading::quantity;
use crate::session::Did;

/// More causes than this are no longer one line.
const MOST: usize = 3;

/// The cause, each label written as `named` writes it; `None` when no trial showed one.
pub fn cause(judgement: &Judgement, named: impl Fn(&str) -> String) -> Option<String> {
    let hunt = Hunt::new(judgement, &named);
    let mut words: Vec<String> = Vec::new();
    words.extend(hunt.kept_awake());
    words.extend(hunt.drew());
    words.extend(hunt.woke());
    words.truncate(MOST);
    (!words.is_empty()).then(|| words.join("; "))
}

/// Who kept awake what these circuits feed, when a trial showed it: such a load is no fault of its
/// own.
pub fn kept_by(
    judgement: &Judgement,
    circuits: &[String],
    named: impl Fn(&str) -> String,
) -> Option<String> {
    let hunt = Hunt::new(judgement, &named);
    let is_kept = hunt
        .shares()
        .any(|share| share.what == circuits && hunt.is_kept(share));
    hunt.keeper
        .filter(|_| is_kept)
        .map(|keeper| hunt.who(keeper))
}

/// The trials before the first new part, the narrowest of each kind.
struct Hunt<'a, F> {
    judgement: &'a Judgement,
    named: &'a F,
    /// Whose removal let others fall asleep.
    keeper: Option<&'a Trial>,
    /// Whose removal took a load away at once.
    drawer: Option<&'a Trial>,
    /// Whose removal ended the wakes.
    waker: Option<(&'a Trial, f64)>,
}

impl<'a, F: Fn(&str) -> String> Hunt<'a, F> {
    fn new(judgement: &'a Judgement, named: &'a F) -> Self {
        let trials: Vec<&Trial> = judgement
            .trials
            .iter()
            .take_while(|trial| trial.did != Did::Swap)
            .filter(|trial| trial.did.removes())
            .collect();
        let fell = |manner: Option<Manner>| {
            let trials = trials.iter().copied();
            narrowest(trials.filter(move |trial| trial.manner == manner && fall_a(trial).is_some()))
        };
        let stopped = trials
            .iter()
            .copied()
            .filter(|trial| every_s(trial).is_some());
        let waker = narrowest(stopped);
        Self {
            judgement,
            named,
            keeper: fell(Some(Manner::Late)).or_else(|| fell(Some(Manner::Both))),
            drawer: fell(Some(Manner::AtOnce)),
            waker: waker.and_then(|trial| Some((trial, every_s(trial)?))),
        }
    }

    /// "the parking-aid module kept awake what E11 feeds (310 mA)".
    fn kept_awake(&self) -> Option<String> {
        let keeper = self.keeper?;
        let who = self.who(keeper);
        let fed = self.kept();
        let what: Vec<String> = fed
            .iter()
            .map(|share| {
                let draws = quantity::current(share.level.a);
                let part = self.kept_part().filter(|part| carries(&[share], part));
                let kept = part.map_or_else(|| self.feeds(share), |part| self.who(part));
                format!("{kept} ({draws})")
            })
            .collect();
        Some(if what.is_empty() {
            let fell = quantity::current(fall_a(keeper)?);
            format!("{who} kept other parts awake ({fell})")
        } else {
            format!("{who} kept awake {}", what.join(" and "))
        })
    }

    /// "the tailgate latch switch drew 270 mA through L5", "what D8 feeds drew 95 mA".
    fn drew(&self) -> Vec<String> {
        let mut others: Vec<&Share> = self.shares().filter(|share| !self.is_kept(share)).collect();
        let mut words: Vec<String> = Vec::new();
        let part = self.drawer.filter(|trial| trial.did == Did::Unplug);
        let part = part.filter(|_| self.kept_part().is_none());
        if let Some((part, fell_a)) = part.and_then(|part| Some((part, fall_a(part)?))) {
            let through = through(&others, part);
            let labels: Vec<String> = through
                .iter()
                .map(|share| self.labels(&share.what))
                .collect();
            let way = if labels.is_empty() {
                String::new()
            } else {
                format!(" through {}", labels.join(" and "))
            };
            words.push(format!(
                "{} drew {}{way}",
                self.who(part),
                quantity::current(fell_a)
            ));
            others.retain(|share| !through.contains(share));
        }
        words.extend(others.iter().map(|share| {
            let draws = quantity::current(share.level.a);
            format!("{} drew {draws}", self.feeds(share))
        }));
        words
    }

    /// "the tyre-pressure receiver woke the car every 3 min 11 s".
    fn woke(&self) -> Option<String> {
        let (trial, every_s) = self.waker?;
        let every = quantity::span(every_s);
        Some(format!("{} woke the car every {every}", self.who(trial)))
    }

    /// Shares that matter, the largest first.
    fn shares(&self) -> impl Iterator<Item = &'a Share> {
        let shares = self.judgement.ledger.iter();
        shares.filter(|share| share.level.a > SUSPECT_A)
    }

    /// Whether this share went to sleep with the keeper's removal: it is no more than what fell.
    fn is_kept(&self, share: &Share) -> bool {
        self.keeper
            .and_then(|keeper| keeper.change)
            .is_some_and(|change| share.level.a <= -change.a + share.level.u_a + change.u_a)
    }

    /// The shares that only the keeper kept awake.
    fn kept(&self) -> Vec<&'a Share> {
        self.shares().filter(|share| self.is_kept(share)).collect()
    }

    /// The part that drew only because it was kept awake.
    fn kept_part(&self) -> Option<&'a Trial> {
        let kept = self.kept();
        let part = self.drawer.filter(|trial| trial.did == Did::Unplug)?;
        (!through(&kept, part).is_empty()).then_some(part)
    }

    fn who(&self, trial: &Trial) -> String {
        if trial.did == Did::Unplug {
            taken_out(trial, self.named)
        } else {
            self.behind(trial.together())
        }
    }

    fn feeds(&self, share: &Share) -> String {
        self.behind(&share.what)
    }

    /// "what E2 feeds", "what E2 and L15 feed".
    fn behind(&self, labels: &[String]) -> String {
        let feed = if labels.len() > 1 { "feed" } else { "feeds" };
        format!("what {} {feed}", self.labels(labels))
    }

    fn labels(&self, labels: &[String]) -> String {
        let named: Vec<String> = labels.iter().map(|label| (self.named)(label)).collect();
        named.join(" and ")
    }
}

/// How far the current fell, when it fell by something that matters.
fn fall_a(trial: &Trial) -> Option<f64> {
    let is_found = trial.finding.is_fall();
    let fell_a = -trial.change.filter(|_| is_found)?.a;
    (fell_a > SUSPECT_A).then_some(fell_a)
}

fn every_s(trial: &Trial) -> Option<f64> {
    match waking::after(trial)? {
        WakesAfter::Stopped { every_s, .. } => Some(every_s),
        WakesAfter::WentOn => None,
    }
}

/// A part says more than the fuse before it, and a later trial is nearer to the cause.
fn narrowest<'a>(trials: impl Iterator<Item = &'a Trial>) -> Option<&'a Trial> {
    trials.max_by_key(|trial| (trial.did == Did::Unplug, trial.t))
}

/// The fuse, or the pair of them, that carries what this part drew.
fn through<'a>(shares: &[&'a Share], part: &Trial) -> Vec<&'a Share> {
    let ones = shares.iter().map(|one| vec![*one]);
    let pairs = shares.iter().enumerate().flat_map(|(i, one)| {
        let others = shares.iter().skip(i + 1);
        others.map(|other| vec![*one, *other]).collect::<Vec<_>>()
    });
    let mut ways = ones.chain(pairs);
    ways.find(|way| carries(way, part)).unwrap_or_default()
}

fn carries(way: &[&Share], part: &Trial) -> bool {
    let all_a: f64 = way.iter().map(|share| share.level.a).sum();
    let u_a: f64 = way.iter().map(|share| share.level.u_a).sum();
    part.change.is_some_and(|change| {
        (all_a + change.a).abs() <= (u_a + change.u_a).max(SAME_CHANGE_SHARE * all_a)
    })
}

/// What a trial took out, as a sentence has it: "the rear blower relay", "D3 and L7".
pub fn taken_out(trial: &Trial, named: impl Fn(&str) -> String) -> String {
    let labels: Vec<String> = trial.what.iter().map(|label| named(label)).collect();
    let labels = labels.join(" and ");
    // A part reads as a thing, a mark on a plan does not.
    let is_thing = labels.starts_with(char::is_lowercase) && !labels.starts_with("the ");
    if trial.did == Did::Unplug && is_thing {
        format!("the {labels}")
    } else {
        labels
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::header;
    use crate::judge::finding::{Finding, Level};
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
            why: String::new(),
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
