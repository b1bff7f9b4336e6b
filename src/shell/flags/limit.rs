//! A limit as it is typed: a current that a parked car can be held to.

use crate::reading::amount;
use crate::session::sane;

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
    let limit_a = amount::current_a(text)?;
    if sane::is_limit(limit_a) {
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
