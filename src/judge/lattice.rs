//! How rulings are joined to a verdict: each takes away what it does not allow, none overwrites
//! another.

use super::finding::Verdict;
use super::reason::VerdictReason;
use crate::reading::Elapsed;

/// The most that a ruling allows: verdicts are joined by taking from each what it does not allow.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Allows {
    /// Whatever was measured.
    All,
    /// Not `above`: it may still fall.
    NotAbove,
    /// Not `below`.
    NotBelow,
    /// Only that nobody can tell.
    CannotTell,
    /// Only that nothing has settled.
    NotSettled,
}

impl Allows {
    /// `verdict`, as far as this allows it.
    pub const fn hold(self, verdict: Verdict) -> Verdict {
        match (self, verdict) {
            (Self::NotSettled, _) | (_, Verdict::NotSettled) => Verdict::NotSettled,
            (Self::CannotTell, _)
            | (Self::NotAbove, Verdict::Above)
            | (Self::NotBelow, Verdict::Below) => Verdict::CannotTell,
            (Self::All | Self::NotAbove | Self::NotBelow, verdict) => verdict,
        }
    }
}

/// A reason with what it allows, and until when that may change.
#[derive(Clone, Debug, PartialEq)]
pub struct Ruling {
    /// Why.
    pub reason: VerdictReason,
    /// The most that it allows.
    pub allows: Allows,
    /// When it has run out, while it has not: until then the verdict is so far.
    pub until: Option<Elapsed>,
}

impl Ruling {
    /// A ruling that no waiting changes.
    pub const fn new(reason: VerdictReason, allows: Allows) -> Self {
        Self {
            reason,
            allows,
            until: None,
        }
    }

    /// One that is told and takes nothing away.
    pub const fn remark(reason: VerdictReason) -> Self {
        Self::new(reason, Allows::All)
    }

    /// The same while it may change.
    #[must_use]
    pub fn until(self, until: Option<Elapsed>) -> Self {
        Self { until, ..self }
    }
}

/// What all rulings leave of what was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Joined {
    /// The verdict.
    pub verdict: Verdict,
    /// When it stands, while it may still change.
    pub stands_at: Option<Elapsed>,
    /// Why, the deciding reason first.
    pub reasons: Vec<VerdictReason>,
}

/// Joins rulings: no order of them changes the verdict or when it stands.
pub fn join(measured: Verdict, rulings: Vec<Ruling>) -> Joined {
    let mut verdict = measured;
    let stands_at = rulings.iter().filter_map(|ruling| ruling.until).max();
    let mut deciding = Vec::new();
    let mut others = Vec::new();
    for ruling in rulings {
        let held = ruling.allows.hold(verdict);
        if held == verdict {
            others.push(ruling.reason);
        } else {
            verdict = held;
            deciding.insert(0, ruling.reason);
        }
    }
    deciding.extend(others);
    Joined {
        verdict,
        stands_at,
        reasons: deciding,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_order_of_rulings_never_changes_the_verdict() {
        let all = [
            Allows::All,
            Allows::NotAbove,
            Allows::NotBelow,
            Allows::CannotTell,
            Allows::NotSettled,
        ];
        for verdict in [
            Verdict::Above,
            Verdict::Below,
            Verdict::CannotTell,
            Verdict::NotSettled,
        ] {
            for one in all {
                for other in all {
                    assert_eq!(other.hold(one.hold(verdict)), one.hold(other.hold(verdict)));
                }
                assert_eq!(one.hold(one.hold(verdict)), one.hold(verdict));
            }
        }
    }

    /// What each allows, of what was measured: above, below, nobody can tell, not settled.
    #[test]
    fn each_ruling_takes_away_what_it_does_not_allow() {
        use Verdict::{Above, Below, CannotTell, NotSettled};
        for (allows, expected) in [
            (Allows::All, [Above, Below, CannotTell, NotSettled]),
            (
                Allows::NotAbove,
                [CannotTell, Below, CannotTell, NotSettled],
            ),
            (
                Allows::NotBelow,
                [Above, CannotTell, CannotTell, NotSettled],
            ),
            (
                Allows::CannotTell,
                [CannotTell, CannotTell, CannotTell, NotSettled],
            ),
            (Allows::NotSettled, [NotSettled; 4]),
        ] {
            let held = [Above, Below, CannotTell, NotSettled].map(|measured| allows.hold(measured));
            assert_eq!(held, expected, "{allows:?}");
        }
    }

    #[test]
    fn what_decided_stands_first_and_the_latest_moment_counts() {
        let at = |s: f64| Some(Elapsed::from_secs(s));
        let sparse = VerdictReason::Sparse { step_s: 60.0 };
        let rulings = vec![
            Ruling::remark(VerdictReason::NotLocked).until(at(900.0)),
            Ruling::new(sparse.clone(), Allows::NotAbove).until(at(300.0)),
            Ruling::new(VerdictReason::NoReading, Allows::NotBelow),
        ];
        let joined = join(Verdict::Above, rulings);
        assert_eq!(
            (joined.verdict, joined.stands_at),
            (Verdict::CannotTell, at(900.0))
        );
        let reasons = [sparse, VerdictReason::NotLocked, VerdictReason::NoReading];
        assert_eq!(joined.reasons, reasons);
    }
}
