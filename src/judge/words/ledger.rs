//! The ledger in words: which state of the car it splits, who draws, and what the rest means.

use super::draw;
use crate::judge::Judgement;
use crate::judge::finding::{Manner, Share, Trial};
use crate::reading::quantity;

impl Share {
    /// Whose share it is.
    pub fn whose(&self) -> String {
        match self.what.as_slice() {
            [one] => one.clone(),
            many => format!("{}, not told apart", many.join(" with ")),
        }
    }
}

/// Which state of the car the shares describe.
pub fn ledger(judgement: &Judgement) -> Option<String> {
    if judgement.ledger.is_empty() {
        return None;
    }
    let state = if judgement.is_mended() {
        ", before the new part"
    } else {
        ""
    };
    let all = quantity::current(judgement.ledger_sum_a());
    Some(format!("with everything in{state}, {all} settled"))
}

/// What is not among the shares.
pub fn kept_others(judgement: &Judgement) -> Option<String> {
    let keepers = keepers(judgement).join(", ");
    let is_split = !keepers.is_empty() && !judgement.ledger.is_empty();
    is_split.then(|| format!("kept others awake, and is not among them: {keepers}"))
}

/// The shares and the rest: whose, and how much.
pub fn shares(judgement: &Judgement) -> Vec<[String; 2]> {
    let shares = judgement.ledger.iter();
    let rest = judgement
        .rest_a
        .map(|a| [rest(judgement, a), quantity::current(a)]);
    let shares = shares.map(|share| [share.whose(), share.level.in_words()]);
    shares.chain(rest).collect()
}

/// A rest above the limit is a task: something is still to be found.
pub fn still_to_find(judgement: &Judgement) -> Option<String> {
    let rest_a = judgement.rest_a.filter(|a| *a > judgement.limit.value)?;
    let a = quantity::current(rest_a);
    Some(format!("{}: {a}; look on", rest(judgement, rest_a)))
}

/// A sleeping car may draw: only above the limit the rest is too much.
fn rest(judgement: &Judgement, rest_a: f64) -> String {
    let limit = draw::limit_alone(judgement.limit);
    if rest_a <= judgement.limit.value {
        format!("the rest of the car, within the limit of {limit}")
    } else {
        format!("explained by no trial, above the limit of {limit}")
    }
}

/// What only kept others awake, each once.
fn keepers(judgement: &Judgement) -> Vec<&str> {
    let late = |trial: &&Trial| {
        trial.did.removes() && trial.manner == Some(Manner::Late) && trial.finding.is_fall()
    };
    let mut keepers: Vec<&str> = Vec::new();
    let trials = judgement.trials.iter().filter(late);
    for label in trials.flat_map(|trial| &trial.what) {
        if !keepers.contains(&label.as_str()) {
            keepers.push(label);
        }
    }
    keepers
}
