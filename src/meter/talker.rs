//! Meters that must be asked: when to say what, and what the answers mean. Pure: the time comes
//! in from outside, the bytes to send go out as data. Who carries them is the link's business.

use super::{Decoder, Heard};
use crate::reading::Elapsed;

/// What is to be done next on the wire.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Turn {
    /// Send these bytes, then ask for the next turn.
    Send(Vec<u8>),
    /// Say nothing before this moment; whatever comes until then goes to [`Talker::feed`].
    ListenUntil(Elapsed),
    /// Say nothing at all.
    Listen,
}

/// Keeps a conversation with a meter.
///
/// All times are of one clock that runs as fast as life; where it began does not matter.
pub trait Talker: Send {
    /// What to do at `now`. Adds to `heard` what the silence so far means.
    fn turn(&mut self, now: Elapsed, heard: &mut Vec<Heard>) -> Turn;

    /// Takes bytes that came at `now` and adds what they completed to `heard`.
    fn feed(&mut self, now: Elapsed, bytes: &[u8], heard: &mut Vec<Heard>);

    /// Begins again: the connection was lost, or bytes were.
    fn reset(&mut self);

    /// As [`Decoder::join_midway`].
    fn join_midway(&mut self) {}

    /// The bytes of the last good answer, once, where they are fetched as they are.
    fn take_raw(&mut self) -> Option<Vec<u8>> {
        None
    }
}

/// A meter that speaks by itself, or whenever it gets the one byte that its format asks for.
pub struct Unasked {
    decoder: Box<dyn Decoder>,
    /// When that byte is due again.
    due: Option<Elapsed>,
}

impl Unasked {
    /// Listens through `decoder`.
    pub fn new(decoder: Box<dyn Decoder>) -> Self {
        Self { decoder, due: None }
    }
}

impl Talker for Unasked {
    fn turn(&mut self, now: Elapsed, _heard: &mut Vec<Heard>) -> Turn {
        let Some(poll) = self.decoder.poll() else {
            return Turn::Listen;
        };
        match self.due {
            Some(due) if due > now => Turn::ListenUntil(due),
            Some(_) | None => {
                self.due = Some(now.plus_secs(poll.every_s));
                Turn::Send(poll.bytes.to_vec())
            }
        }
    }

    fn feed(&mut self, _now: Elapsed, bytes: &[u8], heard: &mut Vec<Heard>) {
        self.decoder.feed(bytes, heard);
    }

    fn reset(&mut self) {
        self.decoder.reset();
    }

    fn join_midway(&mut self) {
        self.decoder.join_midway();
    }
}

/// How often a meter is asked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rate(f64);

/// A rate that no meter keeps.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("readings a second from 0.1 to 50, as in rate=2")]
pub struct RateError;

impl Rate {
    /// `per_s` questions a second.
    ///
    /// # Errors
    /// [`RateError`] outside of 0.1 to 50.
    pub fn new(per_s: f64) -> Result<Self, RateError> {
        if (0.1..=50.0).contains(&per_s) {
            Ok(Self(per_s))
        } else {
            Err(RateError)
        }
    }

    /// Seconds from one question to the next.
    pub fn period_s(self) -> f64 {
        1.0 / self.0
    }
}

impl Default for Rate {
    /// Two a second, as handheld meters show them.
    fn default() -> Self {
        Self(2.0)
    }
}

impl std::fmt::Display for Rate {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.fmt(f)
    }
}

impl std::str::FromStr for Rate {
    type Err = RateError;

    fn from_str(text: &str) -> Result<Self, RateError> {
        text.parse().map_err(|_| RateError).and_then(Self::new)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rate_is_within_what_meters_keep() {
        assert!(("4".parse::<Rate>().unwrap().period_s() - 0.25).abs() < 1e-12);
        for text in ["0", "-2", "nan", "inf", "51", "fast", ""] {
            assert_eq!(text.parse::<Rate>(), Err(RateError), "{text:?}");
        }
    }
}
