//! The verdict as a badge, no stronger than the judgement: what is only so far, or only with
//! something out of the car, says so in the badge itself.

use super::case::Case;
use crate::judge::finding::Verdict;

/// A longer list of what is out stands in the answer, not in the badge.
const NAMES_WIDE: usize = 26;

/// What the badge rests on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// Against the limit.
    pub verdict: Verdict,
    /// Whether the sleep time-out has not run yet.
    pub early: bool,
    /// What is out of the car.
    pub out: Vec<String>,
}

impl Stamp {
    /// Of a record as it ended.
    pub fn new(case: &Case) -> Self {
        let settled = case.judgement.settled.as_ref();
        Self {
            verdict: case.judgement.verdict,
            early: settled.is_some_and(|settled| settled.early),
            out: case
                .session
                .out_now()
                .iter()
                .map(|label| (*label).to_owned())
                .collect(),
        }
    }

    /// Whether the car is surely below as it is driven away.
    pub fn is_plain(&self) -> bool {
        !self.early && self.out.is_empty()
    }

    /// As the badge has it: `BELOW WITH E3, L9 OUT`.
    pub fn badge(&self) -> String {
        match self.verdict {
            Verdict::Above => "ABOVE THE LIMIT".into(),
            Verdict::CannotTell => "CANNOT TELL".into(),
            Verdict::NotSettled => "NOT SETTLED".into(),
            Verdict::Below if self.is_plain() => "BELOW THE LIMIT".into(),
            Verdict::Below => {
                let so_far = if self.early { " SO FAR" } else { "" };
                format!("BELOW{so_far}{}", self.with_out().to_uppercase())
            }
        }
    }

    /// As a cell of a table has it: `below so far, with D11 out`.
    pub fn cell(&self) -> String {
        let word = self.verdict.word();
        if self.verdict != Verdict::Below || self.is_plain() {
            return word.into();
        }
        let so_far = if self.early { " so far" } else { "" };
        let out = self.with_out();
        let comma = if out.is_empty() { "" } else { "," };
        format!("{word}{so_far}{comma}{out}")
    }

    fn with_out(&self) -> String {
        let names = self.out.join(", ");
        match self.out.len() {
            0 => String::new(),
            n if names.chars().count() > NAMES_WIDE => format!(" with {n} out"),
            _ => format!(" with {names} out"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stamp(verdict: Verdict, early: bool, out: &[&str]) -> Stamp {
        let out = out.iter().map(|label| (*label).to_owned()).collect();
        Stamp {
            verdict,
            early,
            out,
        }
    }

    #[test]
    fn the_badge_is_no_stronger_than_the_judgement() {
        let long = ["parking-aid module", "tyre-pressure receiver"];
        for (early, out, badge, cell) in [
            (false, &[][..], "BELOW THE LIMIT", "below"),
            (true, &[], "BELOW SO FAR", "below so far"),
            (
                false,
                &["amplifier", "wipers"],
                "BELOW WITH AMPLIFIER, WIPERS OUT",
                "below, with amplifier, wipers out",
            ),
            (
                true,
                &["L7"],
                "BELOW SO FAR WITH L7 OUT",
                "below so far, with L7 out",
            ),
            (false, &long, "BELOW WITH 2 OUT", "below, with 2 out"),
        ] {
            let stamp = stamp(Verdict::Below, early, out);
            assert_eq!(
                (stamp.badge().as_str(), stamp.cell().as_str()),
                (badge, cell)
            );
        }
        assert_eq!(
            stamp(Verdict::Above, true, &["L7"]).badge(),
            "ABOVE THE LIMIT"
        );
        assert_eq!(stamp(Verdict::CannotTell, true, &[]).badge(), "CANNOT TELL");
    }
}
