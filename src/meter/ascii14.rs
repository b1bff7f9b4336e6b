//! `ascii14`: fourteen characters at 1200 7N2 (some meters faster): mode, value, unit, CR; sent
//! only after a `D`. Layout from a book page and the README of a small script; the words of
//! over-range from memory. Nothing tells HOLD or a low cell.
//!
//! Value and unit are aligned in more than one way: read by trimming, not by column.

use super::display::{Annunciators, Coupling, OnDisplay, Quantity, Readout};
use super::frame::{FramedMessage, Shape};
use super::seven_bit::two_stop_bits;
use super::{Poll, Unit};

/// The shape.
#[derive(Debug)]
pub(super) struct Ascii14;

impl Shape<14> for Ascii14 {
    /// `D` with its first stop bit in bit 7, as it must leave a port opened 8N1.
    const POLL: Option<Poll> = Some(Poll {
        bytes: &[0xc4],
        every_s: 1.0,
    });

    fn read(frame: &[u8; 14]) -> Option<FramedMessage> {
        let [mode_1, mode_2, value @ .., u1, u2, u3, u4, b'\r'] = two_stop_bits(frame)? else {
            return None;
        };
        let value: [u8; 7] = value;
        let unit = [u1, u2, u3, u4];
        let printable = |byte: &u8| matches!(byte, b' '..=b'~');
        let mode_is_word = mode_1.is_ascii_alphabetic() && mode_2.is_ascii_alphabetic();
        if !mode_is_word || !value.iter().chain(&unit).all(printable) {
            return None;
        }
        let figure = figure(value.trim_ascii())?;
        let quantity = quantity(unit.trim_ascii())?;
        let (quantity, coupling) = match &[mode_1, mode_2] {
            b"DC" => (quantity, Some(Coupling::Direct)),
            b"AC" => (quantity, Some(Coupling::Alternating)),
            _ => (Quantity::Other, None),
        };
        Some(Ok(OnDisplay {
            quantity,
            coupling,
            figure,
            flags: Annunciators::default(),
        }))
    }
}

/// A sign, perhaps blanks, then digits with at most one point; or a word for over-range.
fn figure(value: &[u8]) -> Option<Readout> {
    let (negative, value) = match value {
        [b'-', rest @ ..] => (true, rest.trim_ascii_start()),
        [b'+', rest @ ..] => (false, rest.trim_ascii_start()),
        _ => (false, value),
    };
    let word: Vec<u8> = value
        .iter()
        .filter(|byte| !matches!(byte, b'.' | b' '))
        .map(u8::to_ascii_uppercase)
        .collect();
    if matches!(word.as_slice(), b"OL" | b"0L") {
        return Some(Readout::Over);
    }
    let mut parts = value.split(|&byte| byte == b'.');
    let (whole, fraction) = (parts.next()?, parts.next().unwrap_or_default());
    let digits = [whole, fraction].concat();
    if parts.next().is_some() || digits.is_empty() {
        return None;
    }
    Readout::of_ascii(&digits, negative, u8::try_from(fraction.len()).ok()?)
}

/// What the unit names; `None` for no word.
fn quantity(unit: &[u8]) -> Option<Quantity> {
    Some(match unit {
        b"A" => Quantity::In(Unit::Ampere),
        b"mA" => Quantity::In(Unit::Milliampere),
        b"uA" => Quantity::In(Unit::Microampere),
        b"V" => Quantity::In(Unit::Volt),
        b"mV" => Quantity::In(Unit::Millivolt),
        [] => return None,
        _ => Quantity::Other,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::meter::frame::Framed;
    use crate::meter::{Decoder, Heard};

    fn hear(frame: &[u8; 14]) -> Vec<Heard> {
        let mut heard = Vec::new();
        Framed::<Ascii14, 14>::default().feed(frame, &mut heard);
        heard
    }

    #[test]
    fn two_points_a_gap_among_digits_or_no_unit_are_no_message() {
        assert!(matches!(
            hear(b"DC - 1.23  mA\r").as_slice(),
            [Heard::Value(_)]
        ));
        for frame in [
            b"DC  1.2.3  mA\r",
            b"DC  1 2.3  mA\r",
            b"DC   1.23    \r",
            b"DC     .   mA\r",
            b"D1   1.23  mA\r",
        ] {
            assert_eq!(hear(frame), [], "{}", frame.escape_ascii());
        }
    }

    #[test]
    fn the_poll_is_the_letter_with_its_stop_bit() {
        let poll = Framed::<Ascii14, 14>::default().poll().unwrap();
        assert_eq!(poll.bytes, [b'D' | 0x80]);
    }
}
