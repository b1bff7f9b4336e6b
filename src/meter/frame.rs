//! Finds messages of one fixed length in a stream: by their length and their fixed places, never
//! by line ends, because a flag byte may hold 0D or 0A. What a message shows is its own file's
//! business.

use std::marker::PhantomData;

use super::display::OnDisplay;
use super::sample::SAMPLE;
use super::{Decoder, Heard, Poll, Unit};

/// Noise without end is told again after so many bytes.
const TELL_AGAIN: usize = 64;

/// What a message of the right shape says: what the meter's display shows; or what is not known for
/// sure, and what would do instead.
pub(super) type FramedMessage = Result<OnDisplay, &'static str>;

/// One message of `N` bytes, as a port opened 8N1 sees it.
pub(super) trait Shape<const N: usize>: Send {
    /// Whether each message is sent twice.
    const TWINS: bool = false;
    /// What makes the meter send.
    const POLL: Option<Poll> = None;

    /// What these bytes say; `None` when they are no message of this shape.
    fn read(frame: &[u8; N]) -> Option<FramedMessage>;
}

/// Reads messages of one shape out of any bytes; holds one message at most.
///
/// After bytes that are no message it tries every place anew, so that a lost or an extra byte
/// costs one message.
#[derive(Debug)]
pub(super) struct Framed<S, const N: usize> {
    window: [u8; N],
    filled: usize,
    strays: Strays,
    unit_seen: Option<Unit>,
    /// The last message, while its twin may follow.
    first_of_two: Option<[u8; N]>,
    drops_twins: bool,
    shape: PhantomData<fn() -> S>,
}

impl<S: Shape<N>, const N: usize> Default for Framed<S, N> {
    fn default() -> Self {
        Self {
            window: [0; N],
            filled: 0,
            strays: Strays::default(),
            unit_seen: None,
            first_of_two: None,
            drops_twins: S::TWINS,
            shape: PhantomData,
        }
    }
}

impl<S: Shape<N>, const N: usize> Framed<S, N> {
    /// The same, but every message counts: to recognise a format, a twin is as good as its first.
    pub(super) fn keeping_twins() -> Self {
        Self {
            drops_twins: false,
            ..Self::default()
        }
    }

    fn push(&mut self, byte: u8, heard: &mut Vec<Heard>) {
        if let Some(place) = self.window.get_mut(self.filled) {
            *place = byte;
            self.filled = self.filled.saturating_add(1);
        }
        if self.filled < N {
            return;
        }
        if let Some(message) = S::read(&self.window) {
            if self.strays.end(heard) {
                self.first_of_two = None;
            }
            self.filled = 0;
            if !self.is_twin() {
                self.tell(message, heard);
            }
        } else {
            self.window.rotate_left(1);
            self.filled = N.saturating_sub(1);
            if let Some(&dropped) = self.window.last() {
                self.strays.push(dropped, N, heard);
            }
        }
    }

    /// Whether the window repeats the message before it. Never two in a row: should a meter send
    /// each message once, equal ones are thinned, but none is lost that differs.
    fn is_twin(&mut self) -> bool {
        if !self.drops_twins {
            return false;
        }
        let twin = self.first_of_two == Some(self.window);
        self.first_of_two = (!twin).then_some(self.window);
        twin
    }

    fn tell(&mut self, message: FramedMessage, heard: &mut Vec<Heard>) {
        match message {
            Err(why) => heard.push(Heard::Unsure {
                bytes: self.window.to_vec(),
                why,
            }),
            Ok(shown) => {
                if shown.flags.low_cell {
                    heard.push(Heard::LowCell);
                }
                if shown.flags.auto_power_off {
                    heard.push(Heard::AutoPowerOff);
                }
                let unit = shown.live_unit();
                if unit.is_some_and(|unit| self.unit_seen.is_some_and(|seen| seen != unit)) {
                    heard.extend(unit.map(|unit| Heard::Range(unit.to_string())));
                }
                self.unit_seen = unit.or(self.unit_seen);
                heard.push(shown.heard(&self.window));
            }
        }
    }
}

impl<S: Shape<N>, const N: usize> Decoder for Framed<S, N> {
    fn feed(&mut self, bytes: &[u8], heard: &mut Vec<Heard>) {
        for &byte in bytes {
            self.push(byte, heard);
        }
    }

    fn reset(&mut self) {
        self.filled = 0;
        self.strays = Strays::default();
        self.first_of_two = None;
    }

    fn poll(&self) -> Option<Poll> {
        S::POLL
    }
}

/// A run of bytes that belong to no message.
#[derive(Debug, Default)]
struct Strays {
    sample: Vec<u8>,
    untold: usize,
    told: bool,
}

impl Strays {
    /// Takes one more. A run is told once it is as long as a message, and then now and again.
    fn push(&mut self, byte: u8, message: usize, heard: &mut Vec<Heard>) {
        if self.sample.len() < SAMPLE {
            self.sample.push(byte);
        }
        self.untold = self.untold.saturating_add(1);
        if self.untold >= if self.told { TELL_AGAIN } else { message } {
            self.tell(heard);
        }
    }

    /// A message follows: says whether there was a run before it.
    fn end(&mut self, heard: &mut Vec<Heard>) -> bool {
        let was_run = self.told || self.untold > 0;
        if !self.told && self.untold > 0 {
            self.tell(heard);
        }
        *self = Self::default();
        was_run
    }

    fn tell(&mut self, heard: &mut Vec<Heard>) {
        heard.push(Heard::Rejected(std::mem::take(&mut self.sample)));
        self.untold = 0;
        self.told = true;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::meter::display::{Annunciators, Coupling, Quantity, Readout};
    use crate::reading::{Amps, Measured};

    /// `<` digit `>`, in milliampere, each sent twice.
    struct Bracketed;

    impl Shape<3> for Bracketed {
        const TWINS: bool = true;

        fn read(frame: &[u8; 3]) -> Option<FramedMessage> {
            let [b'<', digit @ b'0'..=b'9', b'>'] = *frame else {
                return None;
            };
            Some(Ok(OnDisplay {
                quantity: Quantity::In(Unit::Milliampere),
                coupling: Some(Coupling::Direct),
                figure: Readout::Number {
                    digits: i64::from(digit - b'0'),
                    decimals: 0,
                },
                flags: Annunciators::default(),
            }))
        }
    }

    fn hear(text: &str) -> Vec<Heard> {
        let mut heard = Vec::new();
        Framed::<Bracketed, 3>::default().feed(text.as_bytes(), &mut heard);
        heard
    }

    fn ma(digit: i64) -> Heard {
        Heard::Value(Measured::Amps(Amps::new(digit, 3).unwrap()))
    }

    fn rejected(text: &str) -> Heard {
        Heard::Rejected(text.as_bytes().to_vec())
    }

    #[test]
    fn a_lost_or_extra_byte_costs_one_message() {
        assert_eq!(hear("<1><2<3>"), [ma(1), rejected("<2"), ma(3)]);
        assert_eq!(hear("<1>x<2>"), [ma(1), rejected("x"), ma(2)]);
        assert_eq!(
            hear("<1><<2>"),
            [ma(1), rejected("<"), ma(2)],
            "a beginning inside the noise is not missed"
        );
    }

    #[test]
    fn noise_is_told_when_it_is_as_long_as_a_message_and_its_rest_only_now_and_again() {
        assert_eq!(hear("....."), [rejected("...")]);
        assert_eq!(hear("....<1>"), [rejected("..."), ma(1)]);
        let heard = hear(&".".repeat(2 + 3 + TELL_AGAIN));
        assert_eq!(heard, [rejected("..."), rejected(&".".repeat(SAMPLE))]);
    }

    #[test]
    fn a_twin_is_dropped_and_never_two_in_a_row() {
        assert_eq!(hear("<1><1><1><1><2><2>"), [ma(1), ma(1), ma(2)]);
        assert_eq!(
            hear("<1><2><2><1><1>"),
            [ma(1), ma(2), ma(1)],
            "a lost twin"
        );
        assert_eq!(
            hear("<1>.<1>"),
            [ma(1), rejected("."), ma(1)],
            "a twin follows at once or not at all"
        );
    }
}
