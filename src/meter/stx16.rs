//! `stx16`: sixteen characters at 9600 8N1: STX, `4`, which display, two of unit, sign, places,
//! eight digits, CR. Layout from a bridge meter's manual.
//!
//! Over-range is an arrow in the last four digits whose code no source gives: four of anything
//! but digits there are over-range. The second display is another quantity. Nothing tells HOLD.

use super::display::{Annunciators, Coupling, OnDisplay, Quantity, Readout};
use super::frame::{FramedMessage, Shape};
use super::text::Unit;

/// The shape.
#[derive(Debug)]
pub(super) struct Stx16;

const STX: u8 = 0x02;

impl Shape<16> for Stx16 {
    fn read(frame: &[u8; 16]) -> Option<FramedMessage> {
        let [
            STX,
            b'4',
            display @ (b'1' | b'2'),
            unit_1,
            unit_2,
            sign @ (b'0' | b'1'),
            places @ b'0'..=b'3',
            digits @ ..,
            b'\r',
        ] = *frame
        else {
            return None;
        };
        let figure = figure(digits, sign == b'1', places & 0x0f)?;
        let (quantity, coupling) = match (display, [unit_1, unit_2]) {
            (b'1', code) if code.iter().all(u8::is_ascii_digit) => measured(code),
            (b'2', code) if code.iter().all(u8::is_ascii_digit) => (Quantity::Other, None),
            _ => return None,
        };
        Some(Ok(OnDisplay {
            quantity,
            coupling,
            figure,
            flags: Annunciators::default(),
        }))
    }
}

const fn measured(code: [u8; 2]) -> (Quantity, Option<Coupling>) {
    use Coupling::{Alternating, Direct};
    match &code {
        b"34" => (Quantity::In(Unit::Volt), Some(Direct)),
        b"35" => (Quantity::In(Unit::Microampere), Some(Direct)),
        b"36" => (Quantity::In(Unit::Ampere), Some(Direct)),
        b"37" => (Quantity::In(Unit::Milliampere), Some(Direct)),
        b"51" => (Quantity::In(Unit::Microampere), Some(Alternating)),
        b"52" => (Quantity::In(Unit::Ampere), Some(Alternating)),
        b"53" => (Quantity::In(Unit::Milliampere), Some(Alternating)),
        _ => (Quantity::Other, None),
    }
}

fn figure(digits: [u8; 8], negative: bool, decimals: u8) -> Option<Readout> {
    let (upper, lower) = digits.split_at(4);
    let arrow = |&code: &u8| !code.is_ascii_digit() && !matches!(code, 0 | STX | b'\r');
    if upper.iter().all(u8::is_ascii_digit) && lower.iter().all(arrow) {
        return Some(Readout::Over);
    }
    Readout::of_ascii(&digits, negative, decimals)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::meter::frame::Framed;
    use crate::meter::{Decoder, Heard};

    #[test]
    fn one_spoilt_digit_is_no_over_range() {
        let mut heard = Vec::new();
        Framed::<Stx16, 16>::default().feed(b"\x02413702000012\x184\r", &mut heard);
        assert_eq!(heard, []);
        Framed::<Stx16, 16>::default().feed(b"\x024137020000\x18\x18\x18\x18\r", &mut heard);
        assert_eq!(heard, [Heard::Value(crate::reading::Measured::Over)]);
    }
}
