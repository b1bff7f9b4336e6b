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
    #[must_use]
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
    #[must_use]
    pub const fn new(reason: VerdictReason, allows: Allows) -> Self {
        Self {
            reason,
            allows,
            until: None,
        }
    }

    /// One that is told and takes nothing away.
    #[must_use]
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
#[must_use]
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

    use crate::judge::stay::testkit::at;

    /// Each ruling takes away what it does not allow; the one that decided last is told first, and
    /// the verdict stands when the last of them has run out.
    #[test]
    fn the_deciding_reason_comes_first_and_the_latest_moment_counts() {
        let sparse = |step_s| VerdictReason::Sparse { step_s };
        let rulings = vec![
            Ruling::remark(sparse(1.0)).until(Some(at(900))),
            Ruling::new(sparse(2.0), Allows::NotAbove).until(Some(at(600))),
            Ruling::new(sparse(3.0), Allows::NotBelow),
            Ruling::new(sparse(4.0), Allows::NotSettled),
        ];
        let joined = join(Verdict::Above, rulings);
        assert_eq!(
            (joined.verdict, joined.stands_at),
            (Verdict::NotSettled, Some(at(900)))
        );
        assert_eq!(joined.reasons, [4.0, 2.0, 1.0, 3.0].map(sparse));
        assert_eq!(Allows::NotBelow.hold(Verdict::Below), Verdict::CannotTell);
        assert_eq!(Allows::NotAbove.hold(Verdict::Below), Verdict::Below);
    }
}
