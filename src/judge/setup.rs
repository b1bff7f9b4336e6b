//! The state of the car: which labels are off their supply, and which parts are fitted.
//!
//! A swap makes another car: nothing learned of the old one is a ground for the new one, but the
//! old one is what it is compared with.

use std::collections::BTreeSet;

use crate::session::mark::{Did, DoneTo, Handling, Mark};

/// What is out, and which parts were replaced.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Setup {
    /// Labels that are off their supply.
    pub out: BTreeSet<String>,
    /// Labels that were announced in a run: out for all that is known, none for sure.
    pub in_run: BTreeSet<String>,
    /// How many new parts the car has had.
    pub swaps: usize,
    /// How many marks it has had that cannot be about it: since each, what is out is a guess.
    pub guesses: usize,
}

impl Setup {
    /// Makes it the state that comes after `mark`.
    pub fn change(&mut self, mark: &Mark) {
        self.guesses += usize::from(self.misnamed(mark).is_some());
        for label in &mark.what {
            self.in_run.remove(label);
        }
        if mark.did.removes() {
            self.out.extend(mark.what.iter().cloned());
        } else if mark.did.restores() {
            for label in &mark.what {
                self.out.remove(label);
            }
            self.swaps += usize::from(mark.did == Did::Swap);
        }
    }

    /// Makes it the state in which one of a run's fuses came out, nobody knows which.
    pub const fn guess(&mut self) {
        self.guesses += 1;
    }

    /// Takes the announcement of a run in.
    pub fn announce(&mut self, mark: &Mark) {
        let labels = mark.what.iter();
        let in_slot = labels.filter(|label| !self.out.contains(*label));
        self.in_run = self.in_run.iter().chain(in_slot).cloned().collect();
    }

    /// What is out for all that is known, what was announced in a run included, sorted.
    pub fn all_out(&self) -> Vec<String> {
        self.out.union(&self.in_run).cloned().collect()
    }

    /// The label that `mark` cannot be about: put back what never came out, or taken out what is
    /// out already.
    pub fn misnamed<'a>(&self, mark: &'a Mark) -> Option<&'a String> {
        let is_back = mark.did.done_to() == DoneTo::Part(Handling::Back);
        if !is_back && !mark.did.removes() {
            return None;
        }
        mark.what
            .iter()
            .filter(|label| !self.in_run.contains(*label))
            .find(|label| self.out.contains(*label) != is_back)
    }
}
