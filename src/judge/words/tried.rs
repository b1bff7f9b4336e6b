//! A trial in words: what was done, how it came out, and what that shows.

use super::trial::reason;
use super::{join, said_of};
use crate::judge::finding::{Level, Manner, Trial};
use crate::judge::reason::TrialReason;
use crate::judge::rules::SUSPECT_A;
use crate::reading::quantity;

/// Below this a circuit is as it should be, and the fault sits elsewhere.
const OWN_AND_NO_MORE: &str = "that is what it draws, and no more";

impl Trial {
    /// What was done: `pull E8+D12`; all of a run where its change is that of them all.
    pub fn deed(&self) -> String {
        said_of(self.did, self.of_whom())
    }

    /// What was done `when`, how it came out and why.
    pub fn in_words(&self, when: &str) -> String {
        format!("{when} {}: {}: {}", self.deed(), self.result(), self.why())
    }

    /// How it came out: `clears (-163.0 mA ± 2.1 mA, at once)`.
    pub fn result(&self) -> String {
        let manner = self.manner.map(|manner| manner.word().to_owned());
        let figures = join([self.change_in_words(), manner], ", ");
        let word = self.finding.word();
        if figures.is_empty() {
            word.into()
        } else {
            format!("{word} ({figures})")
        }
    }

    /// The change; a first look says that it is one.
    pub fn change_in_words(&self) -> Option<String> {
        let said = |level: Level| quantity::change(level.a, level.u_a);
        let first = || Some(format!("first look {}", said(self.first_look?)));
        self.change.map(said).or_else(first)
    }

    /// What a removal showed of what it took out, called `what`; `None` when it showed nothing.
    pub fn showed(&self, what: &str, kept_by: Option<String>) -> Option<String> {
        let fell = self.change.filter(|_| self.finding.is_fall());
        let fell = fell.map(|change| {
            let by = quantity::level(-change.a, change.u_a);
            let manner = match self.manner {
                Some(Manner::AtOnce) => " at once",
                Some(Manner::Late) => " late",
                Some(Manner::Both) => ", part at once and part late",
                None => "",
            };
            format!("the current fell by {by}{manner}")
        });
        let is_small = fell_a(self).is_some_and(|a| a <= SUSPECT_A);
        let why = match (&self.reason, self.manner) {
            (TrialReason::WakesStopped { .. } | TrialReason::WakesGoOn { .. }, _) => {
                return self
                    .did
                    .removes()
                    .then(|| format!("with {what} out {}", reason(self)));
            }
            (_, Some(Manner::AtOnce)) if is_small => Some(OWN_AND_NO_MORE.to_owned()),
            (_, Some(_)) => Some(reason(self)),
            (_, None) => None,
        };
        let why = kept_by
            .map(|keeper| format!("kept awake by {keeper}"))
            .or(why);
        let fell = fell.filter(|_| self.did.removes())?;
        Some(format!("with {what} out {}", join([Some(fell), why], ": ")))
    }
}

fn fell_a(trial: &Trial) -> Option<f64> {
    Some(-trial.change?.a)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::finding::Finding;
    use crate::reading::Elapsed;
    use crate::session::mark::{Did, MarkId};

    #[test]
    fn a_trial_tells_change_manner_and_reason() {
        let pulled = Trial {
            mark: MarkId(3),
            t: Elapsed::from_secs(91.0),
            did: Did::Pull,
            what: vec!["E8".into(), "D12".into()],
            before: None,
            after: None,
            change: Some(Level {
                a: -0.163,
                u_a: 0.0021,
            }),
            first_look: None,
            finding: Finding::Clears,
            manner: Some(Manner::AtOnce),
            with: Vec::new(),
            stands_at: None,
            reason: TrialReason::Fell {
                own_a: Some(0.163),
                later_a: 0.0,
                stages: 0,
                last_after_s: 0.0,
            },
        };
        assert_eq!(
            pulled.in_words("0:01:31"),
            "0:01:31 pull E8+D12: clears (-163.0 mA \u{b1} 2.1 mA, at once): a load of its own"
        );
        let by = "with E8 and D12 out the current fell by 163.0 mA \u{b1} 2.1 mA at once: ";
        for (keeper, why) in [
            (None, "a load of its own"),
            (Some("E11"), "kept awake by E11"),
        ] {
            let said = pulled.showed("E8 and D12", keeper.map(str::to_owned));
            assert_eq!(said, Some(format!("{by}{why}")));
        }
        let small = Trial {
            change: Some(Level {
                a: -0.011,
                u_a: 0.001,
            }),
            ..pulled
        };
        let said = small.showed("E8", None).unwrap();
        assert!(said.ends_with(OWN_AND_NO_MORE), "{said}");
    }
}
