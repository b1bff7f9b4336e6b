//! A millivolt reading across a fuse as people type it: `E11 2.3`, or with the fuse's own
//! resistance `E11 0.40 7.7m`.

use std::str::FromStr;

use super::entry::FuseDrop;
use crate::fuse::drop::Millivolts;
use crate::reading::amount::{self, AmountError, refuse};

const DROP: &str = "a drop across a fuse: expected its label, then millivolts with every place \
    the meter shows, then its resistance if measured, as in E11 2.3 or E11 0.40 7.7m";

impl FromStr for FuseDrop {
    type Err = AmountError;

    /// ```
    /// use lullboard::session::entry::FuseDrop;
    /// let drop: FuseDrop = "E11 0.40".parse().unwrap();
    /// assert_eq!((drop.mv, drop.step_mv), (0.4, Some(0.01)));
    /// ```
    fn from_str(text: &str) -> Result<Self, AmountError> {
        read(text).ok_or_else(|| refuse(text, DROP))
    }
}

fn read(text: &str) -> Option<FuseDrop> {
    let mut words = text.split_whitespace();
    let (what, read) = (words.next()?, words.next()?);
    let read: Millivolts = read.parse().ok()?;
    let ohms = match words.next() {
        Some(ohms) => Some(amount::ohms(ohms).ok()?),
        None => None,
    };
    words.next().is_none().then(|| FuseDrop {
        what: what.to_owned(),
        mv: read.mv,
        step_mv: Some(read.step_mv),
        ohms,
        ..FuseDrop::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drop_is_label_millivolts_and_perhaps_ohms() {
        let drop: FuseDrop = " E11  -0.4mV 7.7m ".parse().unwrap();
        assert_eq!(
            (drop.what.as_str(), drop.mv, drop.step_mv),
            ("E11", -0.4, Some(0.1))
        );
        assert_eq!(drop.ohms, Some(0.0077));
        for text in ["", "E11", "E11 two", "E11 0.4 0", "E11 0.4 7.7m 3"] {
            let refused = text.parse::<FuseDrop>().unwrap_err().to_string();
            assert!(refused.contains("E11 0.40 7.7m"), "{text:?}: {refused}");
        }
    }
}
