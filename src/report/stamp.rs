//! The verdict as a badge, no stronger than the judgement: what is only so far, or only with
//! something out of the car, says so in the badge itself.

use super::case::Case;
use crate::judge::finding::Verdict;
use crate::judge::words;

/// What the badge rests on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// Against the limit.
    pub verdict: Verdict,
    /// In words, as a cell of a table has them.
    pub cell: String,
    /// Whether the car is surely below as it is driven away.
    pub is_plain: bool,
}

impl Stamp {
    /// Of a record as it ended.
    pub fn new(case: &Case) -> Self {
        let out = case.session.out_now();
        Self {
            verdict: case.judgement.verdict,
            cell: case.judgement.against(words::THE_LIMIT, &out),
            is_plain: case.judgement.stands_at.is_none() && out.is_empty(),
        }
    }

    /// As the badge has it: `BELOW WITH E3+L9 OUT`.
    pub fn badge(&self) -> String {
        self.cell.to_uppercase()
    }
}
