//! A limit as it is typed: a current that a parked car can be held to.

use crate::reading::amount;

/// No car may draw more than this when parked (trade table 1.1: published limits end at 150 mA);
/// a larger number is a slip of the unit.
const LIMIT_MAX_A: f64 = 2.0;

/// Why something is not a limit.
#[derive(Debug, thiserror::Error)]
pub(in crate::shell) enum LimitError {
    /// No current at all.
    #[error(transparent)]
    Amount(#[from] amount::AmountError),
    /// A current that no car could stay below.
    #[error(
        "not a limit: expected a current above zero and at most 2 A, with its unit, as in 50mA"
    )]
    NotAboveZero,
}

pub(in crate::shell) fn limit_a(text: &str) -> Result<f64, LimitError> {
    sane_limit_a(amount::current_a(text)?)
}

/// `limit_a`, if a car can be held to it.
pub(in crate::shell) fn sane_limit_a(limit_a: f64) -> Result<f64, LimitError> {
    if limit_a > 0.0 && limit_a <= LIMIT_MAX_A {
        Ok(limit_a)
    } else {
        Err(LimitError::NotAboveZero)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_limit_is_above_zero() {
        assert!((limit_a("50mA").unwrap() - 0.05).abs() < 1e-12);
        for text in ["0", "-50mA", "fifty"] {
            assert!(limit_a(text).is_err(), "{text:?}");
        }
    }
}
