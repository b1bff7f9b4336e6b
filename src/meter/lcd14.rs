//! `lcd14`: fourteen bytes at 2400 8N1, each an index in the high nibble and four display segments
//! in the low one. Layout from a public overview of meter chips (its FS9721).
//!
//! There is no checksum: a message is believed only if its indices are in turn, every digit is a
//! legal one, and exactly one unit is lit.

use super::display::{Annunciators, Coupling, Liveness, OnDisplay, Prefix, Quantity, Readout, bit};
use super::frame::{FramedMessage, Shape};

/// The shape.
#[derive(Debug)]
pub(super) struct Lcd14;

impl Shape<14> for Lcd14 {
    fn read(frame: &[u8; 14]) -> Option<FramedMessage> {
        let in_turn = (1..).zip(frame).all(|(index, &byte)| byte >> 4 == index);
        if !in_turn {
            return None;
        }
        let nibbles = frame.map(|byte| byte & 0x0f);
        // A supplier's sheet prints the nibbles the other way round. Digits are hardly ever legal
        // both ways; when they are, nothing tells which is meant.
        match (message(nibbles), message(nibbles.map(backwards))) {
            (Some(one), Some(other)) if one != other => Some(Err(
                "legal in both orders of its segments: wait for another value",
            )),
            (found, other) => found.or(other),
        }
    }
}

const fn backwards(nibble: u8) -> u8 {
    (nibble << 3 & 8) | (nibble << 1 & 4) | (nibble >> 1 & 2) | (nibble >> 3 & 1)
}

fn message(nibbles: [u8; 14]) -> Option<FramedMessage> {
    let [
        mode,
        d1_high,
        d1_low,
        d2_high,
        d2_low,
        d3_high,
        d3_low,
        d4_high,
        d4_low,
        prefixes,
        more_prefixes,
        units,
        more_units,
        own,
    ] = nibbles;
    let glyphs = [
        Glyph::of(d1_high, d1_low)?,
        Glyph::of(d2_high, d2_low)?,
        Glyph::of(d3_high, d3_low)?,
        Glyph::of(d4_high, d4_low)?,
    ];
    let points = [d2_high, d3_high, d4_high].map(|high| bit(high, 8));
    let figure = figure(glyphs, bit(d1_high, 8), points)?;
    let quantity = match (quantity(prefixes, more_prefixes, units, more_units), own) {
        (Some(quantity), 0) => quantity,
        (None, 0) => return None,
        (_, _) => {
            return Some(Err(
                "a symbol of this maker's own is lit: read the meter by eye (manual:)",
            ));
        }
    };
    Some(Ok(OnDisplay {
        quantity,
        coupling: Coupling::of(bit(mode, 8), bit(mode, 4)),
        figure,
        flags: Annunciators {
            standing: Liveness::of(bit(units, 1), bit(units, 2)),
            low_cell: bit(more_units, 1),
            auto_power_off: false,
        },
    }))
}

/// One of the four places of the display.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Glyph {
    Digit(u8),
    Blank,
    L,
}

impl Glyph {
    /// Segments c, b, a and g, f, e, d of the place; bit 3 of `high` is a sign or a point.
    const fn of(high: u8, low: u8) -> Option<Self> {
        Some(match (high & 7) << 4 | low {
            0x00 => Self::Blank,
            0x05 => Self::Digit(1),
            0x15 => Self::Digit(7),
            0x1f => Self::Digit(3),
            0x27 => Self::Digit(4),
            0x3e => Self::Digit(5),
            0x3f => Self::Digit(9),
            0x5b => Self::Digit(2),
            0x68 => Self::L,
            0x7d => Self::Digit(0),
            0x7e => Self::Digit(6),
            0x7f => Self::Digit(8),
            _ => return None,
        })
    }
}

/// The number; the points stand before the second, third and fourth place.
fn figure(glyphs: [Glyph; 4], negative: bool, points: [bool; 3]) -> Option<Readout> {
    let decimals = match points {
        [false, false, false] => 0,
        [true, false, false] => 3,
        [false, true, false] => 2,
        [false, false, true] => 1,
        [_, _, _] => return None,
    };
    // Where the L stands is not sure; that nothing but zeros and blanks stand beside it is.
    let ls = glyphs.iter().filter(|&&glyph| glyph == Glyph::L).count();
    if ls > 0 {
        let beside = |glyph: &Glyph| matches!(glyph, Glyph::L | Glyph::Blank | Glyph::Digit(0));
        return (ls == 1 && glyphs.iter().all(beside)).then_some(Readout::Over);
    }
    let digits: Vec<u8> = glyphs
        .into_iter()
        .skip_while(|&glyph| glyph == Glyph::Blank)
        .map(|glyph| match glyph {
            Glyph::Digit(digit) => Some(digit),
            Glyph::Blank | Glyph::L => None,
        })
        .collect::<Option<_>>()?;
    // A blank stands before the number, and never behind its point.
    let places = usize::from(decimals).max(1);
    (digits.len() >= places).then(|| Readout::of(digits, negative, decimals))
}

/// What is measured, from the nibbles that light prefixes and units; `None` for two prefixes, no unit,
/// two units, or a unit that is none.
fn quantity(prefixes: u8, more_prefixes: u8, units: u8, more_units: u8) -> Option<Quantity> {
    let prefix = Prefix::only([
        (bit(prefixes, 8), Prefix::Micro),
        (bit(prefixes, 4), Prefix::Nano),
        (bit(prefixes, 2), Prefix::Kilo),
        (bit(more_prefixes, 8), Prefix::Milli),
        (bit(more_prefixes, 2), Prefix::Mega),
    ])?;
    let volt = bit(more_units, 4);
    let others = [
        bit(units, 8), // F
        bit(units, 4), // ohm
        volt,
        bit(more_units, 2),    // Hz
        bit(more_prefixes, 4), // %
    ];
    let others = others.into_iter().filter(|&lit| lit).count();
    // Diode and beep go with volts and ohms.
    let tests = bit(prefixes, 1) || bit(more_prefixes, 1);
    match (bit(more_units, 8), others) {
        (true, 0) if !tests => Some(Quantity::In(prefix.of_ampere()?)),
        (false, 1) if volt && !tests => Some(prefix.of_volt()),
        (false, 1) => Some(Quantity::Other),
        (true | false, _) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::meter::frame::Framed;
    use crate::meter::{Decoder, Heard};

    /// 12.34 mA, from the layout (in the vectors too).
    const FRAME: [u8; 14] = [
        0x17, 0x20, 0x35, 0x45, 0x5b, 0x69, 0x7f, 0x82, 0x97, 0xa0, 0xb8, 0xc0, 0xd8, 0xe0,
    ];

    fn hear(frame: [u8; 14]) -> Vec<Heard> {
        let mut heard = Vec::new();
        Framed::<Lcd14, 14>::default().feed(&frame, &mut heard);
        heard
    }

    fn with(index: usize, nibble: u8) -> [u8; 14] {
        let mut frame = FRAME;
        frame[index] = frame[index] & 0xf0 | nibble;
        frame
    }

    #[test]
    fn nibbles_the_other_way_round_are_read_when_only_that_is_legal() {
        let turned = FRAME.map(|byte| byte & 0xf0 | backwards(byte & 0x0f));
        assert_ne!(turned, FRAME);
        assert_eq!(hear(turned), hear(FRAME));
        assert!(matches!(hear(FRAME).as_slice(), [Heard::Value(_)]));
    }

    #[test]
    fn what_is_legal_both_ways_is_not_guessed() {
        // Worked out from the table: of all displays only .3 and .8 behind blanks are legal both
        // ways; here with ampere and a low cell, which change places.
        let both = [
            0x16, 0x20, 0x30, 0x40, 0x50, 0x60, 0x70, 0x8f, 0x9f, 0xa0, 0xb0, 0xc0, 0xd9, 0xe0,
        ];
        assert!(
            matches!(hear(both).as_slice(), [Heard::LowCell, Heard::Value(_)]),
            "the same in both orders is no doubt: {:?}",
            hear(both)
        );
        let mut doubtful = both;
        doubtful[0] = 0x14;
        assert!(matches!(hear(doubtful).as_slice(), [Heard::Unsure { .. }]));
    }

    #[test]
    fn a_blank_behind_the_point_or_a_letter_among_digits_is_no_number() {
        let mut blank = FRAME;
        (blank[7], blank[8]) = (0x80, 0x90);
        assert_eq!(hear(blank), []);
        let mut letter = FRAME;
        (letter[7], letter[8]) = (0x86, 0x98);
        assert_eq!(hear(letter), []);
    }

    #[test]
    fn a_makers_own_symbol_is_not_guessed() {
        assert!(matches!(
            hear(with(13, 1)).as_slice(),
            [Heard::Unsure { .. }]
        ));
    }

    #[test]
    fn a_current_marked_neither_dc_nor_ac_is_not_guessed() {
        assert!(matches!(
            hear(with(0, 3)).as_slice(),
            [Heard::Unsure { .. }]
        ));
    }
}
