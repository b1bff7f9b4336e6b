//! What the customer is told: one plain sentence of what was wrong, what was done and what was
//! shown, with the days that the car stands; and what has to be known beside it.

use super::{cause, draw, join};
use crate::battery::standing;
use crate::judge::Judgement;
use crate::judge::cause::{Who, causes};
use crate::judge::finding::Verdict;
use crate::judge::reason::VerdictReason;
use crate::reading::{capitalised, quantity};

/// More names than this are no longer one sentence.
const MOST_NAMES: usize = 3;

/// What the sentence is made of.
#[derive(Clone, Debug)]
pub struct CustomerLines<'a> {
    /// The car as it is now.
    pub now: &'a Judgement,
    /// The car before its repair, where that was measured.
    pub before: Option<&'a Judgement>,
    /// The whole of an earlier record: the hunt may be in that one.
    pub earlier: Option<&'a Judgement>,
    /// The parts that were replaced.
    pub replaced: Vec<String>,
    /// The labels still out of the car.
    pub out: Vec<&'a str>,
}

impl CustomerLines<'_> {
    /// The sentence; each label is written as `named` writes it.
    pub fn sentence(&self, named: impl Fn(&str) -> String) -> String {
        let hunt = self.hunt();
        let cause = cause::cause(hunt, &named);
        let replaced = self.replaced(cause.is_some());
        let wrong = match (self.wrong(cause), replaced) {
            (Some(wrong), Some(_)) if self.is_culprit_replaced() => {
                Some(format!("{wrong}, and was replaced"))
            }
            (wrong, replaced) => {
                let said = join([wrong, replaced], "; ");
                (!said.is_empty()).then_some(said)
            }
        };
        let out = self.still_out(&named);
        let shown = join([Some(self.shown()), self.days()], ": ");
        let said = join([wrong, out, Some(shown)], "; ");
        format!("{}.", capitalised(&said))
    }

    /// What has to be known beside the sentence.
    pub fn beside(&self) -> Vec<String> {
        let early = self.now.stands_at.map(|_| {
            "\"So far\" means that the car was not watched long enough: the answer may still change."
        });
        let out = (!self.out.is_empty())
            .then_some("What is out of the car does not work until it is back in.");
        let battery = self.days().map(|_| {
            "The days are those of a sound battery: the current does not show in what state it is."
        });
        let short = self.now.watch.filter(|_| self.days().is_some());
        let short = short.map(|watch| {
            let watched = quantity::span(watch.watched_s);
            format!("It was watched asleep for {watched}: a car that wakes now and then has to be watched for longer.")
        });
        let unsized_battery = (self.now.settled.is_some() && self.now.standing.is_none())
            .then_some(
                "How many days the car stands is not told: the battery's size is not on the card.",
            );
        let behind = "What was not proved stands in the part for the next technician.";
        let told = [early, out, battery, unsized_battery, Some(behind)];
        let told = told.into_iter().flatten().map(str::to_owned);
        short.into_iter().chain(told).collect()
    }

    /// The record whose trials showed a cause.
    fn hunt(&self) -> &Judgement {
        let shows = |it: &&Judgement| !causes(it).is_empty();
        let earlier = self.earlier.filter(shows);
        Some(self.now).filter(shows).or(earlier).unwrap_or(self.now)
    }

    /// Whether the one cause is the one part that was replaced.
    fn is_culprit_replaced(&self) -> bool {
        let culprits = causes(self.hunt());
        let [culprit] = culprits.as_slice() else {
            return false;
        };
        culprit.who() == Who::Part(&self.replaced)
    }

    fn wrong(&self, cause: Option<String>) -> Option<String> {
        let was_above = self.before.is_some_and(|it| it.verdict == Verdict::Above);
        match (cause, self.now.verdict) {
            (Some(cause), _) => Some(cause),
            (None, Verdict::Above) => Some("what draws the current is not shown yet".into()),
            (None, _) if was_above => Some("what drew the current before is not shown".into()),
            (None, Verdict::Below) => Some("no fault was found".into()),
            (None, Verdict::CannotTell | Verdict::NotSettled) => None,
        }
    }

    fn replaced(&self, has_cause: bool) -> Option<String> {
        let part = |one: &String| cause::part(std::slice::from_ref(one), &|it| it.to_owned());
        let parts: Vec<String> = self.replaced.iter().map(part).collect();
        match parts.len() {
            0 => has_cause.then(|| "no part was replaced in this record".into()),
            1 => Some(format!("{} was replaced", listed(&parts))),
            n if n > MOST_NAMES => Some(format!("{n} parts were replaced")),
            _ => Some(format!("{} were replaced", listed(&parts))),
        }
    }

    fn still_out(&self, named: impl Fn(&str) -> String) -> Option<String> {
        let out: Vec<String> = self.out.iter().map(|label| named(label)).collect();
        match out.len() {
            0 => None,
            1 => Some(format!("{} is still out of the car", listed(&out))),
            n if n > MOST_NAMES => Some(format!("{n} things are still out of the car")),
            _ => Some(format!("{} are still out of the car", listed(&out))),
        }
    }

    fn shown(&self) -> String {
        let (now, limit) = (self.now, draw::limit_alone(self.now.limit));
        let limit = format!("the limit of {limit}");
        let how = if now.slept && now.stands_at.is_none() {
            "parked and asleep"
        } else {
            "left alone"
        };
        let before = self.before.and_then(plainly);
        let before = before.map_or_else(String::new, |drew| format!(" (before, {drew})"));
        let open = format!("it is not shown yet that the car keeps to {limit}");
        match (now.verdict, plainly(now), now.settled) {
            (Verdict::Above | Verdict::Below, Some(drawn), _) => format!(
                "{how}, the car now draws {drawn}{before}, which is {}",
                now.against(&limit, &self.out)
            ),
            (Verdict::Above | Verdict::Below, None, _) => {
                format!("the car is {}", now.against(&limit, &self.out))
            }
            (Verdict::CannotTell, _, Some(settled)) => format!(
                "{open}: {how}, it now draws {}{before}, and on which side of the limit that is cannot be told",
                draw::drawn(now, &settled)
            ),
            (Verdict::CannotTell, _, None) => format!("{open}: what was measured cannot tell"),
            (Verdict::NotSettled, ..) => {
                format!("{open}: its current was not seen to come to rest")
            }
        }
    }

    /// How long it stands with that; not where nothing that was measured can be relied on.
    fn days(&self) -> Option<String> {
        let is_near = self.now.reasons.iter().any(|reason| {
            matches!(
                reason,
                VerdictReason::TooClose { .. } | VerdictReason::NoAccuracy { .. }
            )
        });
        let counts = match self.now.verdict {
            Verdict::Above | Verdict::Below => true,
            Verdict::CannotTell => is_near,
            Verdict::NotSettled => false,
        };
        let time = self.now.standing.as_ref().filter(|_| counts)?;
        let before = self.before.and_then(|it| it.standing);
        let before = before.map(|it| format!("before, {}", standing::in_words(it.average_days)));
        Some(join([Some(draw::stands(time)), before], "; "))
    }
}

/// What a car draws, as a customer reads it: at rest and, where that is another, on average.
fn plainly(judgement: &Judgement) -> Option<String> {
    let on_average = |a| format!("{} on average", quantity::current(a));
    let Some(settled) = judgement.settled else {
        return judgement.average.map(|it| on_average(it.level.a));
    };
    let level = quantity::current(settled.level.a);
    let average = draw::average(judgement, &settled).map(|_| on_average(settled.average.a));
    let at_rest = average.as_ref().map_or("", |_| " at rest");
    Some(join([Some(format!("{level}{at_rest}")), average], ", "))
}

/// "the fan", "the fan and the relay", "the fan, the relay and the horn".
fn listed(names: &[String]) -> String {
    match names {
        [most @ .., last] if !most.is_empty() => format!("{} and {last}", most.join(", ")),
        names => names.concat(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::header;
    use crate::judge::finding::{Level, SettledNow};
    use crate::judge::remedy::Remedy;
    use crate::judge::standing::StandingTime;
    use crate::reading::Elapsed;
    use crate::reading::band::Band;
    use crate::session::Session;

    fn judged(verdict: Verdict, a: f64, days: f64) -> Judgement {
        let level = Level { a, u_a: 0.009 };
        let days = Band::exact(days);
        Judgement {
            verdict,
            slept: true,
            settled: Some(SettledNow {
                level,
                average: level,
                since: Elapsed::ZERO,
                early: false,
            }),
            standing: Some(StandingTime {
                average_days: days,
                level_days: days,
                from_rest: false,
            }),
            ..Judgement::nothing_yet(&Session::new(header::unknown()))
        }
    }

    fn told<'a>(now: &'a Judgement, before: Option<&'a Judgement>) -> CustomerLines<'a> {
        CustomerLines {
            now,
            before,
            earlier: None,
            replaced: Vec::new(),
            out: Vec::new(),
        }
    }

    fn said(told: &CustomerLines<'_>) -> String {
        told.sentence(str::to_owned)
    }

    #[test]
    fn what_was_shown_is_said_with_its_days() {
        let below = judged(Verdict::Below, 0.02, 40.0);
        assert_eq!(
            said(&told(&below, None)),
            "No fault was found; parked and asleep, the car now draws 20.0 mA, which is below the limit of 50 mA: with that draw the car stands 40 days from a full charge."
        );
        let above = judged(Verdict::Above, 0.4, 2.0);
        let mended = CustomerLines {
            replaced: vec!["rear fan".into(), "latch".into()],
            ..told(&below, Some(&above))
        };
        assert_eq!(
            said(&mended),
            "What drew the current before is not shown; the rear fan and the latch were replaced; parked and asleep, the car now draws 20.0 mA (before, 400 mA), which is below the limit of 50 mA: with that draw the car stands 40 days from a full charge; before, 2.0 days."
        );
        let words = said(&told(&above, None));
        assert!(
            words.starts_with("What draws the current is not shown yet; parked and asleep, the car now draws 400 mA, which is above"),
            "{words}"
        );
    }

    #[test]
    fn what_is_not_shown_is_said_to_be_open() {
        let mut near = judged(Verdict::CannotTell, 0.049, 20.0);
        near.reasons = vec![VerdictReason::TooClose {
            u_a: 0.009,
            remedy: Remedy::FinerMeter,
        }];
        assert_eq!(
            said(&told(&near, None)),
            "It is not shown yet that the car keeps to the limit of 50 mA: parked and asleep, it now draws 49 mA \u{b1} 9 mA, and on which side of the limit that is cannot be told: with that draw the car stands 20 days from a full charge."
        );
        // A dead meter's zero stands for ever, and nobody may be told so.
        near.reasons = vec![VerdictReason::Fault {
            fault: "dead",
            for_s: 600.0,
        }];
        assert!(!said(&told(&near, None)).contains("stands"));
        let open = judged(Verdict::NotSettled, 0.02, 40.0);
        assert_eq!(
            said(&told(&open, None)),
            "It is not shown yet that the car keeps to the limit of 50 mA: its current was not seen to come to rest."
        );
    }

    #[test]
    fn what_is_still_out_is_named_and_a_long_list_counted() {
        let below = judged(Verdict::Below, 0.02, 40.0);
        let mut told = told(&below, None);
        for (out, words) in [
            (vec!["L5"], "; L5 is still out of the car; "),
            (
                vec!["L5", "E4", "D1"],
                "; L5, E4 and D1 are still out of the car; ",
            ),
            (
                vec!["L5", "E4", "D1", "D2"],
                "; 4 things are still out of the car; ",
            ),
        ] {
            told.out = out;
            let said = said(&told);
            assert!(
                said.contains(words) && said.contains("50 mA with "),
                "{said}"
            );
        }
    }
}
