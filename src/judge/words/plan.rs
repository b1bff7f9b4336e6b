//! The plan in words: every sentence that a plan says.

use super::{KEPT_AWAKE, join, said_of};
use crate::judge::plan::Plan;
use crate::judge::plan::reason::PlanReason;
use crate::reading::{number, quantity};
use crate::session::mark::Did;

/// A longer list is no sentence.
const MOST_SMALL: usize = 4;

impl Plan {
    /// What to do and how long it may last, in a few words: `pull D2+E19, about 12 min left`.
    pub fn in_short(&self) -> String {
        let left_s = self.minutes_left.round() * 60.0;
        let deed = self.deed();
        let left = if deed.is_none() || left_s < 60.0 {
            String::new()
        } else {
            format!(", about {} left", quantity::span(left_s))
        };
        let what = deed.unwrap_or_else(|| self.why());
        format!("{what}{left}")
    }

    fn deed(&self) -> Option<String> {
        let did = self.did.filter(|_| !self.next.is_empty())?;
        Some(said_of(did, &self.next))
    }

    /// What to do next, why, and what to know before it, line by line.
    pub fn in_lines(&self) -> Vec<String> {
        let why = self.deed().map(|_| self.why());
        let first = join([Some(self.in_short()), why], ": ");
        let first = format!("next: {first}");
        let parts = self.parts_in_words();
        let cautions = self.cautions.iter().map(|it| format!("caution: {it}"));
        std::iter::once(first)
            .chain(parts)
            .chain(cautions)
            .collect()
    }

    /// The parts that come after the fuse.
    pub fn parts_in_words(&self) -> Option<String> {
        let parts = self.parts.join(", ");
        (!parts.is_empty()).then(|| format!("to unplug, one at a time: {parts}"))
    }

    /// Why this is next.
    pub fn why(&self) -> String {
        let current = quantity::current;
        match &self.reason {
            PlanReason::DeadMeter => "check the meter's fuse and leads: it shows no current at all; put everything back and show it a known load".into(),
            PlanReason::Pending { what } => {
                format!("{} not judged yet: let it settle", what.join("+"))
            }
            PlanReason::Likely {
                taken,
                open,
                p,
                one_by_one,
                found_a,
            } => {
                let known = if *found_a > 0.0 {
                    format!("{} found, more is missing: ", current(*found_a))
                } else {
                    String::new()
                };
                let which = if *one_by_one {
                    "many circuits draw, so one at a time; ".to_owned()
                } else if taken == open {
                    "all that is left of the map; ".to_owned()
                } else {
                    format!("{taken} of {open} candidates, ")
                };
                let percent = number::round_to_i64(p * 100.0);
                format!("{known}{which}{percent} % likely to show it")
            }
            PlanReason::SecondFuse { moved, a } => format!(
                "{} draws {}, and what it feeds has another fuse",
                moved.join("+"),
                current(*a)
            ),
            PlanReason::Narrow { did, next, all, a } => {
                let (all, next) = (all.join("+"), next.join("+"));
                let draw = a.map_or_else(
                    || format!("one of {all} draws"),
                    |a| format!("{all} draw {} between them", current(a)),
                );
                let (moves, place) = if *did == Did::Refit {
                    ("rises", "back in")
                } else {
                    ("falls", "out")
                };
                format!(
                    "{draw}: if it {moves} with {next} {place}, it is there, else among the others"
                )
            }
            PlanReason::Parts { .. } => parts(&self.reason),
            PlanReason::Found { part, untried } => {
                let kept = match untried.as_slice() {
                    [] => String::new(),
                    parts => format!(
                        "; or is it kept awake? Untried beside it: {}",
                        parts.join(", ")
                    ),
                };
                format!(
                    "unplugging {part} brought it down: mend or replace it, then watch the car sleep{kept}"
                )
            }
            PlanReason::ManySmall { small } => {
                let small = small.iter().take(MOST_SMALL);
                let small: Vec<String> = small
                    .map(|(label, a)| format!("{label} {}", current(*a)))
                    .collect();
                format!(
                    "no single circuit draws too much, together they do: {}; look for what was added, and at the maker's limit",
                    small.join(", ")
                )
            }
            PlanReason::AnotherFuse { excess_a } => format!(
                "pull another fuse: none that was tried explains the {} too much; a fuse map (--fuses) would say which",
                current(*excess_a)
            ),
            PlanReason::Unfused { excess_a } => format!(
                "no fuse of the map explains the {} too much: look at what has no fuse, at fuses the map lacks, and at current flowing back with a fuse out",
                current(*excess_a)
            ),
        }
    }
}

/// The circuit is known: what it does, and how to find its part.
fn parts(reason: &PlanReason) -> String {
    let PlanReason::Parts {
        fuses,
        a,
        keeps_awake,
        is_out,
        parts,
        left,
    } = reason
    else {
        return String::new();
    };
    let labels = fuses.join("+");
    let draws = a.map(|a| {
        let draw = if fuses.len() > 1 { "draw" } else { "draws" };
        format!("{labels} {draw} {}", quantity::current(a))
    });
    let what = match (draws, keeps_awake) {
        (Some(draws), false) => draws,
        (Some(draws), true) => format!("{draws} and kept others awake"),
        (None, true) => format!("{labels}: it {KEPT_AWAKE}"),
        (None, false) => format!("with {labels} out it is below the limit"),
    };
    let then = if *is_out {
        "put the fuse back, let it settle, then unplug"
    } else {
        "unplug"
    };
    let which = match parts {
        0 => "what it feeds, one part at a time".to_owned(),
        1 => "its part".to_owned(),
        n => format!("its {n} parts, one at a time"),
    };
    let left = left.map_or_else(String::new, |left| {
        let [of, left] = [left.of_a, left.left_a].map(quantity::current);
        format!(" of {of}, which leaves {left} (a second fault, or modules that it keeps awake?)")
    });
    format!("{what}{left}; {then} {which}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plan(did: Option<Did>, minutes_left: f64) -> Plan {
        Plan {
            did,
            next: vec!["D2".into(), "E19".into()],
            reason: PlanReason::Pending {
                what: vec!["D2".into()],
            },
            minutes_left,
            ..Plan::default()
        }
    }

    #[test]
    fn the_plan_in_short_says_what_and_how_long() {
        for (did, minutes_left, said) in [
            (Some(Did::Pull), 12.4, "pull D2+E19, about 12 min left"),
            (Some(Did::Swap), 0.0, "swap D2+E19"),
            (None, 5.0, "D2 not judged yet: let it settle"),
        ] {
            assert_eq!(plan(did, minutes_left).in_short(), said);
        }
    }

    #[test]
    fn a_plan_says_its_reason_once() {
        let waits = plan(None, 5.0).in_lines();
        let words = "next: D2 not judged yet: let it settle";
        assert_eq!(waits, [words]);
        let first = &plan(Some(Did::Pull), 5.0).in_lines()[0];
        assert_eq!(
            first,
            "next: pull D2+E19, about 5 min left: D2 not judged yet: let it settle"
        );
    }
}
