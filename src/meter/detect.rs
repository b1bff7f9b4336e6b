//! Finds out what a meter speaks by listening alone: every format tries the same bytes side by
//! side, and one that understands several messages in a row, alone, is it. Pure: the port, its
//! speed and the time are `shell`'s.
//!
//! `ascii14` is not among them: it says nothing unasked, and a format that is recognised by
//! listening must never make the program send. `es11` is, but only on a line with a speed: a sister
//! chip with other ranges differs from it in nothing else.

mod attempt;
mod unnamed;

pub use unnamed::UnnamedDecoder;

use self::attempt::FormatTrial;
use super::format::Format;
use super::sample::SAMPLE;
use crate::reading::Measured;

/// How a serial line is set while listening; always 8N1, DTR on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Setting {
    /// Bits a second; `None` where there is no such thing, as on a socket or a pseudo-terminal.
    pub baud: Option<u32>,
    /// Whether RTS is on. Most optical cables are fed by DTR on and RTS off.
    pub rts: bool,
}

impl Setting {
    /// A connection without a speed.
    pub const NO_SPEED: Self = Self {
        baud: None,
        rts: false,
    };
}

/// How long to listen at each setting, in seconds: three messages of a meter that sends two a
/// second.
pub const EACH_S: f64 = 1.5;

/// The speeds of meters, those of the commonest formats first.
const SPEEDS: [u32; 6] = [2400, 19_200, 9600, 115_200, 4800, 1200];

/// The settings of one speed, or of all where it is not known; then the same with RTS on.
pub fn plan(baud: Option<u32>) -> Vec<Setting> {
    let speeds = baud.map_or(SPEEDS.to_vec(), |baud| vec![baud]);
    [false, true]
        .into_iter()
        .flat_map(|rts| speeds.iter().map(move |&baud| (baud, rts)))
        .map(|(baud, rts)| Setting {
            baud: Some(baud),
            rts,
        })
        .collect()
}

/// What speaks here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Recognised {
    /// Its format.
    pub format: Format,
    /// The line on which it was heard.
    pub setting: Setting,
    /// So many messages were understood in a row, with nothing else between them.
    pub messages: usize,
    /// The last value, if it showed a live direct current.
    pub last: Option<Measured>,
}

/// Bytes that were not recognised.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unrecognised {
    /// The line on which most was understood, or the first on which anything came.
    pub setting: Setting,
    /// The first of the bytes.
    pub sample: Vec<u8>,
    /// The format that understood most, and how many messages in a row: too few to be sure, or
    /// not the only one.
    pub guess: Option<(Format, usize)>,
}

/// What listening came to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Detection {
    /// One format, several messages in a row.
    Recognised(Recognised),
    /// Something, but too little, or not understood, or by two formats.
    Unrecognised(Unrecognised),
    /// Not a byte.
    Silent,
}

/// Listens on a line whose setting may change.
///
/// ```
/// use lullboard::meter::detect::{Listener, Setting};
/// use lullboard::meter::format::Format;
/// let mut listener = Listener::default();
/// let line = Setting { baud: Some(9600), rts: false };
/// let heard = listener.feed(line, b"tail\n1 mA\n2 mA\n3 mA\n4 mA\n5 mA\n").unwrap();
/// assert_eq!(heard.format, Format::Text);
/// ```
#[derive(Default)]
pub struct Listener {
    here: Option<Here>,
    best: Option<Unrecognised>,
    recognised: Option<Recognised>,
}

/// What was heard at one setting.
struct Here {
    setting: Setting,
    trials: Vec<FormatTrial>,
    sample: Vec<u8>,
    codes: CodeRun,
}

/// Counts codes 3x. Nine or twelve of them before a CR are a whole message of `es11` or `es51922`
/// whose LF is still to come; no current is written with so many digits and no point.
#[derive(Debug, Default)]
struct CodeRun {
    in_a_row: usize,
    are_a_message: bool,
}

impl CodeRun {
    fn push(&mut self, byte: u8) {
        self.are_a_message = byte == b'\r' && matches!(self.in_a_row, 9 | 12);
        self.in_a_row = match byte {
            0x30..=0x3f => self.in_a_row.saturating_add(1),
            _ => 0,
        };
    }
}

impl Listener {
    /// Takes more bytes, heard at this setting; says what speaks once it is known. Another setting
    /// than before begins anew.
    pub fn feed(&mut self, setting: Setting, bytes: &[u8]) -> Option<Recognised> {
        if self
            .here
            .as_ref()
            .is_none_or(|here| here.setting != setting)
        {
            self.leave();
            self.here = Some(Here::at(setting));
        }
        let here = self.here.as_mut()?;
        for &byte in bytes {
            if let Some(found) = here.push(byte) {
                self.recognised = Some(found);
                return self.recognised;
            }
        }
        None
    }

    /// Whether the last bytes at this setting made sense to a format, so that it is worth
    /// listening on.
    pub fn is_promising(&self, setting: Setting) -> bool {
        let here = self.here.iter().filter(|here| here.setting == setting);
        here.flat_map(|here| &here.trials)
            .any(|trial| trial.in_a_row > 0)
    }

    /// Whether the last bytes were a message of a handheld's format, and so no line.
    fn hears_a_handheld(&self) -> bool {
        self.here.as_ref().is_some_and(|here| {
            let understands =
                |trial: &FormatTrial| trial.format != Format::Text && trial.in_a_row > 0;
            here.codes.are_a_message || here.trials.iter().any(understands)
        })
    }

    /// What listening came to.
    pub fn outcome(mut self) -> Detection {
        self.leave();
        match (self.recognised, self.best) {
            (Some(recognised), _) => Detection::Recognised(recognised),
            (None, Some(best)) => Detection::Unrecognised(best),
            (None, None) => Detection::Silent,
        }
    }

    /// Keeps what was heard at the present setting, if it is more than at those before.
    fn leave(&mut self) {
        let left = self.here.take().map(Here::summed_up);
        let Some(left) = left.filter(|left| !left.sample.is_empty()) else {
            return;
        };
        let understood = |heard: &Unrecognised| heard.guess.map_or(0, |(_, messages)| messages);
        if self
            .best
            .as_ref()
            .is_none_or(|best| understood(&left) > understood(best))
        {
            self.best = Some(left);
        }
    }
}

impl Here {
    fn at(setting: Setting) -> Self {
        Self {
            setting,
            trials: attempt::all(setting.baud),
            sample: Vec::new(),
            codes: CodeRun::default(),
        }
    }

    fn push(&mut self, byte: u8) -> Option<Recognised> {
        if self.sample.len() < SAMPLE {
            self.sample.push(byte);
        }
        self.codes.push(byte);
        for trial in &mut self.trials {
            trial.push(byte, self.codes.are_a_message);
        }
        let mut enough = self.trials.iter().filter(|trial| trial.is_enough());
        let (sure, None) = (enough.next()?, enough.next()) else {
            return None;
        };
        let rival = |trial: &FormatTrial| trial.format != sure.format && trial.is_rival();
        (!self.trials.iter().any(rival)).then_some(Recognised {
            format: sure.format,
            setting: self.setting,
            messages: sure.in_a_row,
            last: sure.last,
        })
    }

    fn summed_up(self) -> Unrecognised {
        let best = self.trials.iter().max_by_key(|trial| trial.most);
        Unrecognised {
            setting: self.setting,
            sample: self.sample,
            guess: best
                .filter(|trial| trial.most > 0)
                .map(|trial| (trial.format, trial.most)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::meter::handheld::Handheld;
    use crate::meter::text::{TextDecoder, TextOptions};

    const LCD: [u8; 14] = [
        0x17, 0x20, 0x35, 0x45, 0x5b, 0x69, 0x7f, 0x82, 0x97, 0xa0, 0xb8, 0xc0, 0xd8, 0xe0,
    ];
    const AT_2400: Setting = Setting {
        baud: Some(2400),
        rts: false,
    };
    const AT_19200: Setting = Setting {
        baud: Some(19_200),
        rts: false,
    };
    /// 12.34 mA of a 4000-count meter.
    const ES11: &[u8] = b"01234900:\r\n";

    fn heard(setting: Setting, bytes: &[u8]) -> Detection {
        let mut listener = Listener::default();
        listener.feed(setting, bytes);
        listener.outcome()
    }

    fn kind(outcome: &Detection) -> Option<Format> {
        match outcome {
            Detection::Recognised(recognised) => Some(recognised.format),
            Detection::Unrecognised(_) | Detection::Silent => None,
        }
    }

    #[test]
    fn three_messages_in_a_row_are_enough_and_two_are_not() {
        let three = heard(AT_2400, &LCD.repeat(3));
        assert_eq!(kind(&three), Some(Format::Handheld(Handheld::Lcd14)));
        let Detection::Unrecognised(two) = heard(AT_2400, &LCD.repeat(2)) else {
            panic!("recognised");
        };
        assert_eq!(two.guess, Some((Format::Handheld(Handheld::Lcd14), 2)));
        assert_eq!(two.sample.get(..14), Some(LCD.as_slice()));
    }

    #[test]
    fn a_bad_message_between_begins_the_count_anew() {
        let mut stream = LCD.repeat(2);
        stream.push(0xff);
        stream.extend(LCD.repeat(2));
        assert_eq!(kind(&heard(AT_2400, &stream)), None);
        stream.extend(LCD);
        let third = kind(&heard(AT_2400, &stream));
        assert_eq!(third, Some(Format::Handheld(Handheld::Lcd14)));
    }

    #[test]
    fn the_tail_of_a_message_before_the_first_is_no_harm() {
        let mut stream = LCD.get(9..).unwrap().to_vec();
        stream.extend(LCD.repeat(3));
        let found = kind(&heard(AT_2400, &stream));
        assert_eq!(found, Some(Format::Handheld(Handheld::Lcd14)));
    }

    #[test]
    fn twins_count_because_each_is_a_good_message() {
        let found = kind(&heard(AT_2400, &ES11.repeat(3)));
        assert_eq!(found, Some(Format::Handheld(Handheld::Es11)));
    }

    #[test]
    fn a_sister_chip_at_another_speed_is_not_taken_for_the_one_that_is_known() {
        let Detection::Unrecognised(heard) = heard(AT_19200, &ES11.repeat(20)) else {
            panic!("recognised");
        };
        assert_eq!(heard.guess, None);
    }

    #[test]
    fn a_meter_on_hold_is_recognised_without_a_value() {
        let mut hold = LCD;
        hold[11] = 0xc1;
        let Detection::Recognised(found) = heard(AT_2400, &hold.repeat(3)) else {
            panic!("not recognised");
        };
        assert_eq!((found.messages, found.last), (3, None));
    }

    #[test]
    fn five_lines_with_volts_between_are_text_and_four_are_not() {
        let line = "Bus: 12.6 V\r\n12.34 mA\r\n";
        assert_eq!(
            kind(&heard(AT_2400, line.repeat(5).as_bytes())),
            Some(Format::Text)
        );
        let Detection::Unrecognised(four) = heard(AT_2400, line.repeat(4).as_bytes()) else {
            panic!("recognised");
        };
        assert_eq!(four.guess, Some((Format::Text, 4)));
    }

    #[test]
    fn what_two_formats_understand_is_recognised_as_neither() {
        let reads = |kind| {
            let decoder = TextDecoder::new(TextOptions::default());
            FormatTrial::new(kind, Box::new(decoder))
        };
        let stx16 = Format::Handheld(Handheld::Stx16);
        let found = |kinds: &[Format]| {
            let mut here = Here::at(AT_2400);
            here.trials = kinds.iter().copied().map(reads).collect();
            let stream = b"12 mA\n".repeat(9);
            stream.into_iter().find_map(|byte| here.push(byte))
        };
        assert_eq!(found(&[stx16]).map(|found| found.format), Some(stx16));
        assert_eq!(found(&[Format::Text, stx16]), None);
    }

    #[test]
    fn the_setting_where_most_was_understood_is_kept() {
        let mut listener = Listener::default();
        listener.feed(AT_19200, &[0xf8, 0x80, 0x00]);
        listener.feed(AT_2400, &LCD);
        assert!(listener.is_promising(AT_2400));
        let other = Setting {
            baud: Some(9600),
            rts: false,
        };
        listener.feed(other, &[0xff; 40]);
        assert!(!listener.is_promising(other) && !listener.is_promising(AT_2400));
        let Detection::Unrecognised(heard) = listener.outcome() else {
            panic!("recognised");
        };
        assert_eq!(heard.setting, AT_2400);
        assert_eq!(Listener::default().outcome(), Detection::Silent);
    }

    #[test]
    fn no_byte_at_all_is_silence() {
        assert_eq!(heard(AT_2400, b""), Detection::Silent);
    }
}
