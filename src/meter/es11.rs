//! `es11`: eleven bytes of 3x at 2400 7O1: range, four digits, function, status, two bytes of
//! options, CR LF; 4000 counts, each message sent twice. Layout and ranges from a handheld's user
//! guide, the second byte of options from a public overview of these chips (ES51978).
//!
//! Where the point stands in the ampere and microampere ranges, and in all volt ranges but one, is
//! in no source: those are shown, not guessed. So is any bit of the first byte of options, which no
//! source explains.
//!
//! Function code F is ampere here and milliampere in `es51922`: the bytes alone never tell.

use super::display::{Annunciators, Coupling, OnDisplay, Quantity, Readout, bit};
use super::frame::{FramedMessage, Shape};
use super::seven_bit::{all_three_x, odd_parity};
use super::text::Unit;

/// The shape.
#[derive(Debug)]
pub(super) struct Es11;

const POINT: &str = "the place of the point in this meter's A and \u{b5}A ranges is not known for \
                     sure: use a mA range, or read it by eye (manual:)";
const VOLTS: &str = "the place of the point in this meter's V ranges is known for sure only in the \
                     4 V range: for a current turn the knob to DC mA, behind a clamp or shunt set \
                     the 4 V range by hand, or read it by eye (manual:)";
const FUNCTION: &str = "a function or range that this program does not know: \
                        turn the knob to a DC mA range";
const OPTION: &str = "a display option that this program does not know: \
                      release HOLD, MAX, MIN and REL";
const FULL_COUNT: [u8; 4] = [4, 0, 0, 0];

impl Shape<11> for Es11 {
    const TWINS: bool = true;

    fn read(frame: &[u8; 11]) -> Option<FramedMessage> {
        let [codes @ .., b'\r', b'\n'] = odd_parity(frame)? else {
            return None;
        };
        let [range, d3, d2, d1, d0, function, status, option, mode] = all_three_x::<9>(codes)?;
        let digits = [d3, d2, d1, d0];
        let over = bit(status, 1);
        if !over && (digits.iter().any(|&digit| digit > 9) || digits > FULL_COUNT) {
            return None;
        }
        let (quantity, decimals) = match (function, range) {
            (9, 0) => (Quantity::In(Unit::Milliampere), 2),
            (9, 1) => (Quantity::In(Unit::Milliampere), 1),
            (0xd | 0xf, _) => return Some(Err(POINT)),
            (0xb, 1) => (Quantity::In(Unit::Volt), 3),
            (0xb, _) => return Some(Err(VOLTS)),
            (1 | 2 | 3 | 5 | 6, _) => (Quantity::Other, 0),
            (_, _) => return Some(Err(FUNCTION)),
        };
        if option != 0 && quantity != Quantity::Other {
            return Some(Err(OPTION));
        }
        Some(Ok(OnDisplay {
            quantity,
            coupling: Coupling::of(bit(mode, 4), bit(mode, 8)),
            // Full count without the bit is no reading either.
            figure: Readout::of(digits, bit(status, 4), decimals)
                .unless(over || digits == FULL_COUNT),
            flags: Annunciators {
                low_cell: bit(status, 2),
                auto_power_off: bit(mode, 1),
                ..Annunciators::default()
            },
        }))
    }
}
