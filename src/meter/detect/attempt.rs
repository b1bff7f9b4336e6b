//! One format trying to understand what is heard.

use crate::meter::text::{TextDecoder, TextOptions};
use crate::meter::{Decoder, Format, Handheld, Heard};
use crate::reading::Measured;

/// So many messages of fixed length in a row cannot be luck.
const MESSAGES: usize = 3;
/// Lines have fewer fixed places.
const LINES: usize = 5;
/// A format that understood so many of the same bytes makes it a tie.
const RIVAL: usize = 2;

/// A format on trial.
pub(super) struct FormatTrial {
    pub(super) format: Format,
    decoder: Box<dyn Decoder>,
    pub(super) in_a_row: usize,
    /// The longest run so far.
    pub(super) most: usize,
    pub(super) last: Option<Measured>,
    heard: Vec<Heard>,
}

/// Every format that speaks unasked, as far as it can be at this speed.
pub(super) fn all(baud: Option<u32>) -> Vec<FormatTrial> {
    let mut text = TextDecoder::new(TextOptions::default());
    text.join_midway();
    let text = FormatTrial::new(Format::Text, Box::new(text));
    let handhelds = Handheld::ALL
        .into_iter()
        .filter(|kind| *kind != Handheld::Ascii14)
        // Sisters of these chips send the same shape at other speeds and mean other ranges.
        .filter(|kind| baud.map_or(*kind != Handheld::Es11, |baud| baud == kind.baud()))
        .map(|kind| FormatTrial::new(Format::Handheld(kind), kind.recogniser()));
    std::iter::once(text).chain(handhelds).collect()
}

impl FormatTrial {
    pub(super) fn new(format: Format, decoder: Box<dyn Decoder>) -> Self {
        Self {
            format,
            decoder,
            in_a_row: 0,
            most: 0,
            last: None,
            heard: Vec::new(),
        }
    }

    /// Takes a byte; `ends_codes` when what it ends is a bare run of a handheld's codes.
    pub(super) fn push(&mut self, byte: u8, ends_codes: bool) {
        let mut heard = std::mem::take(&mut self.heard);
        self.decoder.feed(&[byte], &mut heard);
        let is_no_line = ends_codes && self.format == Format::Text;
        for heard in heard.drain(..) {
            if !is_no_line {
                self.judge(&heard);
            }
        }
        self.heard = heard;
    }

    fn judge(&mut self, heard: &Heard) {
        match heard {
            Heard::Value(value) => {
                self.last = Some(*value);
                self.understood();
            }
            // A whole message of fixed length is understood, whatever it shows; of a line, only a
            // current counts.
            Heard::Unusable(_) | Heard::Unsure { .. } | Heard::Voltage(_) => match self.format {
                Format::Handheld(_) => {
                    self.last = None;
                    self.understood();
                }
                Format::Text => {}
            },
            Heard::Rejected(_) => {
                self.in_a_row = 0;
                self.last = None;
            }
            Heard::Range(_) | Heard::LowCell | Heard::AutoPowerOff | Heard::Trouble(_) => {}
        }
    }

    fn understood(&mut self) {
        self.in_a_row = self.in_a_row.saturating_add(1);
        self.most = self.most.max(self.in_a_row);
    }

    pub(super) const fn is_enough(&self) -> bool {
        self.in_a_row
            >= match self.format {
                Format::Text => LINES,
                Format::Handheld(_) => MESSAGES,
            }
    }

    pub(super) const fn is_rival(&self) -> bool {
        self.in_a_row >= RIVAL
    }
}
