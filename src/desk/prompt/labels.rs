//! Which fuses an answer names, read as the lid prints them; what the map does not know is asked about.

use super::{Answer, Prompt};
use crate::fuse::map;
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
            | Self::Elsewhere(_)
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

    /// What is odd about the labels that are named, asked about before they are taken: a fuse that
    /// the map does not know, or what goes back and was never out.
    pub(super) fn doubted(&self, answer: &Answer) -> Option<String> {
        let (odd, what, question) = match self.off_map(answer) {
            new if !new.is_empty() => (new, "on the map", "is it printed so on the lid?"),
            _ => (
                self.never_out(answer),
                "out",
                "is it spelled as when it came out?",
            ),
        };
        let question = if self.insisted {
            "Enter takes it all the same"
        } else {
            question
        };
        (!odd.is_empty()).then(|| format!("{} is not {what}: {question}", odd.join("+")))
    }

    fn off_map(&self, answer: &Answer) -> Vec<String> {
        let mut answer = answer.clone();
        let named = answer.fuses().into_iter().flatten();
        let new = named.filter(|label| matches!(self.labels.read(label), Ok((_, true))));
        new.map(|label| label.clone()).collect()
    }

    fn never_out(&self, answer: &Answer) -> Vec<String> {
        let Answer::Mark(mark, None) = answer else {
            return Vec::new();
        };
        let is_out = |label: &String| self.labels.out.iter().any(|out| map::same(out, label));
        let goes_back = matches!(mark.did, Did::Refit | Did::Plug);
        let odd = mark.what.iter().filter(|label| goes_back && !is_out(label));
        odd.cloned().collect()
    }
}

/// Whether this is done to fuses, which a map can know.
const fn is_of_fuses(did: Did) -> bool {
    matches!(did, Did::Pull | Did::Refit)
}
