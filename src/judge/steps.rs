//! Changes of level as steps, each with the mark that explains it.

use super::finding::LevelStep;
use super::mark_tolerance;
use super::stay::Basis;

/// The steps that the signal shows; slopes are none.
pub fn steps(basis: &Basis<'_>) -> Vec<LevelStep> {
    let steps = basis
        .session
        .signal()
        .changes()
        .iter()
        .filter(|change| !change.ramp);
    steps
        .map(|change| LevelStep {
            t: change.t,
            from_a: change.from_a,
            to_a: change.to_a,
            in_gap: change.in_gap,
            mark: mark_tolerance::deed_of(basis, change).map(|(_, placed)| placed.mark.id),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::header;
    use crate::judge::memory::Memory;
    use crate::reading::{Amps, Elapsed, Measured};
    use crate::session::Session;
    use crate::session::entry::{Entry, Fact};
    use crate::session::mark::{MarkId, parse_mark};

    /// A fall at 300 s, and what stands beside it two seconds before.
    fn explained_by(cell: &str) -> Option<MarkId> {
        let mut session = Session::new(header::unknown());
        let mut apply = |t_s: f64, fact: Fact| {
            let t = Elapsed::from_secs(t_s);
            session.apply(&Entry { t, fact });
        };
        for t in 0..600u32 {
            if t == 298 {
                let mark = parse_mark(MarkId(1), cell).unwrap();
                apply(298.0, Fact::Mark(Box::new(mark)));
            }
            let amps = if t < 300 { "0.182" } else { "0.120" };
            let amps = Measured::Amps(Amps::parse(amps).unwrap());
            apply(f64::from(t), Fact::Reading(amps));
        }
        let steps = steps(&Basis::of(&session, 0.05, 1200.0, Memory::default()));
        assert_eq!(steps.len(), 1, "{steps:?}");
        steps.first().unwrap().mark
    }

    #[test]
    fn a_pull_explains_a_step_and_a_note_beside_it_does_not() {
        assert_eq!(explained_by("pull E15"), Some(MarkId(1)));
        assert_eq!(explained_by("note run: E15+D2"), None);
    }
}
