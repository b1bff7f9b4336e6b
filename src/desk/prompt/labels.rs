//! Which fuses an answer names, read as the lid prints them; what the map does not know is asked about.

use super::{Answer, Prompt};
use crate::session::Did;

impl Answer {
    /// The fuses that are named; parts have no map.
    fn fuses(&mut self) -> Option<&mut Vec<String>> {
        match self {
            Self::Mark(mark, _) if is_of_fuses(mark.did) => Some(&mut mark.what),
            Self::Amended(amended) if is_of_fuses(amended.mark.did) => Some(&mut amended.mark.what),
            Self::Run(run) => Some(&mut run.labels),
            Self::RunOver(out) => Some(out),
            Self::Mark(..)
            | Self::Amended(_)
            | Self::Reading(_)
            | Self::Volts(_)
            | Self::Export(_)
            | Self::Strike(_)
            | Self::Field(_)
            | Self::Map(_)
            | Self::Unchanged
            | Self::Probed(..)
            | Self::Quit => None,
        }
    }
}

impl Prompt {
    /// The same answer with each fuse as the map has it.
    pub(super) fn meant(&self, mut answer: Answer) -> Result<Answer, String> {
        for label in answer.fuses().into_iter().flatten() {
            *label = self.labels.read(label)?.0;
        }
        Ok(answer)
    }

    /// What the map does not know of the fuses that are named: asked about before it is taken.
    pub(super) fn off_map(&self, answer: &Answer) -> Option<String> {
        let mut answer = answer.clone();
        let is_new = |label: &&mut String| matches!(self.labels.read(label), Ok((_, true)));
        let new: Vec<String> = answer
            .fuses()
            .into_iter()
            .flatten()
            .filter(is_new)
            .map(|label| label.clone())
            .collect();
        let all_the_same = if self.insisted {
            ": Enter takes it all the same"
        } else {
            " of this car: is it printed so on the lid?"
        };
        (!new.is_empty()).then(|| format!("No {} on the map{all_the_same}", new.join("+")))
    }
}

/// Whether this is done to fuses, which a map can know.
const fn is_of_fuses(did: Did) -> bool {
    matches!(did, Did::Pull | Did::Refit)
}
