//! `fs9922`: fourteen bytes at 2400 8N1: sign, four digits, a blank, the point, four bytes of
//! flags, a bar graph, CR LF. Layout from a public note on this protocol; the bits for prefixes and
//! units from memory of the FS9922 datasheet.
//!
//! Flag bytes may hold 0D or 0A.

use super::display::{Annunciators, Coupling, Liveness, OnDisplay, Prefix, Quantity, Readout, bit};
use super::frame::{FramedMessage, Shape};

/// The shape.
#[derive(Debug)]
pub(super) struct Fs9922;

impl Shape<14> for Fs9922 {
    fn read(frame: &[u8; 14]) -> Option<FramedMessage> {
        let [
            sign,
            d1,
            d2,
            d3,
            d4,
            b' ',
            point,
            mode,
            state,
            prefixes,
            units,
            _bar,
            b'\r',
            b'\n',
        ] = *frame
        else {
            return None;
        };
        let negative = match sign {
            b'+' => false,
            b'-' => true,
            _ => return None,
        };
        let decimals = match point {
            b'0' => 0,
            b'1' => 3,
            b'2' => 2,
            b'4' => 1,
            _ => return None,
        };
        Some(Ok(OnDisplay {
            quantity: quantity(state, prefixes, units)?,
            coupling: Coupling::of(bit(mode, 0x08), bit(mode, 0x10)),
            figure: figure([d1, d2, d3, d4], negative, decimals)?,
            flags: Annunciators {
                standing: Liveness::of(
                    bit(mode, 0x02) || bit(state, 0x20) || bit(state, 0x10),
                    bit(mode, 0x04),
                ),
                low_cell: bit(state, 0x04),
                auto_power_off: bit(state, 0x08),
            },
        }))
    }
}

fn figure(digits: [u8; 4], negative: bool, decimals: u8) -> Option<Readout> {
    if digits == *b"?0:?" {
        return Some(Readout::Over);
    }
    Readout::of_ascii(&digits, negative, decimals)
}

/// What is measured; `None` for two prefixes, no unit, or two.
fn quantity(state: u8, prefixes: u8, units: u8) -> Option<Quantity> {
    const AMPERE: u8 = 0x40;
    const VOLT: u8 = 0x80;
    let prefix = Prefix::only([
        (bit(state, 0x02), Prefix::Nano),
        (bit(prefixes, 0x80), Prefix::Micro),
        (bit(prefixes, 0x40), Prefix::Milli),
        (bit(prefixes, 0x20), Prefix::Kilo),
        (bit(prefixes, 0x10), Prefix::Mega),
    ])?;
    let percent = bit(prefixes, 0x02);
    let tests = bit(prefixes, 0x08) || bit(prefixes, 0x04);
    match (units, percent) {
        (AMPERE, false) if !tests => Some(Quantity::In(prefix.of_ampere()?)),
        (AMPERE, _) => None,
        (VOLT, false) if !tests => Some(prefix.of_volt()),
        (0, true) => Some(Quantity::Other),
        (_, false) => units.is_power_of_two().then_some(Quantity::Other),
        (_, true) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::meter::frame::Framed;
    use crate::meter::{Decoder, Heard};

    fn hear(prefixes: u8, units: u8) -> Vec<Heard> {
        let mut frame = *b"+1234 21\0\0\0\0\r\n";
        (frame[9], frame[10]) = (prefixes, units);
        let mut heard = Vec::new();
        Framed::<Fs9922, 14>::default().feed(&frame, &mut heard);
        heard
    }

    #[test]
    fn two_units_two_prefixes_or_a_megaampere_are_no_message() {
        assert!(matches!(hear(0x40, 0x40).as_slice(), [Heard::Value(_)]));
        for (prefixes, units) in [
            (0x40, 0xc0),
            (0xc0, 0x40),
            (0x10, 0x40),
            (0x40, 0),
            (0x44, 0x40),
        ] {
            assert_eq!(hear(prefixes, units), [], "{prefixes:02x} {units:02x}");
        }
    }
}
