//! Numbers that are none, or none of a car: what instruments write for infinity and for no value, and
//! where a number stops to be a current.

use crate::reading::Amps;

/// No meter at a car reads this far, in ampere or volt: it is a time stamp, a serial number, or bytes
/// in the wrong order. Common practice, no source.
pub(super) const IMPLAUSIBLE: f64 = 100_000.0;
/// SCPI-1999 vol. 1, 7.2.1.4-5: 9.9E37 stands for infinity, 9.91E37 for not-a-number.
const INFINITY_FROM: f64 = 9.9e37;
const NOT_A_NUMBER: f64 = 9.91e37;

/// What a number says that is beyond all numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Beyond {
    Infinity,
    NotANumber,
}

/// Whether it is beyond all numbers, and what it says then.
pub(super) fn beyond(written: f64) -> Option<Beyond> {
    if written.abs() < INFINITY_FROM {
        return None;
    }
    let no_number = (written.abs() - NOT_A_NUMBER).abs() < NOT_A_NUMBER * 1e-6;
    Some(if no_number {
        Beyond::NotANumber
    } else {
        Beyond::Infinity
    })
}

/// What a meter that was asked answers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answered {
    /// A number.
    Number(Amps),
    /// Beyond the range: infinity, or the end of a register's own range.
    Over,
    /// Not a number.
    Missing,
}
