//! `es51922`: fourteen bytes of 3x at 19200 7O1: range, five digits, function, status, four bytes
//! of options, CR LF. Layout from a public text of the ES51922 datasheet; the places of
//! the point in the milli- and microampere and the volt ranges from memory of it.

use super::display::{Annunciators, Coupling, Liveness, OnDisplay, Quantity, Readout, bit};
use super::frame::{FramedMessage, Shape};
use super::seven_bit::{all_three_x, odd_parity};
use super::text::Unit;

/// The shape.
#[derive(Debug)]
pub(super) struct Es51922;

const CLAMP: &str = "the meter says it shows a clamp's ampere, whose scale is not told: \
                     plug the leads into its current jacks";
const FUNCTION: &str = "a function or range that this program does not know: \
                        turn the knob to a DC current range";
const OPTION: &str = "a display option that this program does not know: \
                      switch recording and frequency off";

impl Shape<14> for Es51922 {
    fn read(frame: &[u8; 14]) -> Option<FramedMessage> {
        let [codes @ .., b'\r', b'\n'] = odd_parity(frame)? else {
            return None;
        };
        let [range, d4, d3, d2, d1, d0, function, status, options @ ..] = all_three_x::<12>(codes)?;
        read(range, [d4, d3, d2, d1, d0], function, status, options)
    }
}

fn read(
    range: u8,
    digits: [u8; 5],
    function: u8,
    status: u8,
    options: [u8; 4],
) -> Option<FramedMessage> {
    let [records, limits, mode, display] = options;
    let over = bit(status, 1) || bit(limits, 8);
    if !over && digits.iter().any(|&digit| digit > 9) {
        return None;
    }
    let (quantity, decimals) = match (function, range) {
        (0, 0) => (Quantity::In(Unit::Ampere), 3),
        (0xd, 0) => (Quantity::In(Unit::Microampere), 2),
        (0xd, 1) => (Quantity::In(Unit::Microampere), 1),
        (0xf, 0) => (Quantity::In(Unit::Milliampere), 3),
        (0xf, 1) => (Quantity::In(Unit::Milliampere), 2),
        (0xb, 0) => (Quantity::In(Unit::Volt), 4),
        (0xb, 1) => (Quantity::In(Unit::Volt), 3),
        (0xb, 2) => (Quantity::In(Unit::Volt), 2),
        (0xb, 3) => (Quantity::In(Unit::Volt), 1),
        (0xb, 4) => (Quantity::In(Unit::Millivolt), 2),
        (1..=6, _) => (Quantity::Other, 0),
        (_, _) => return Some(Err(FUNCTION)),
    };
    if let Quantity::In(unit) = quantity {
        if bit(display, 4) {
            let why = if unit.is_voltage() { OPTION } else { CLAMP };
            return Some(Err(why));
        }
        // RMR and VAHZ.
        if bit(records, 1) || bit(mode, 1) {
            return Some(Err(OPTION));
        }
    }
    let peak = bit(limits, 4) || bit(limits, 2);
    Some(Ok(OnDisplay {
        quantity,
        coupling: Coupling::of(bit(mode, 4), bit(mode, 8)),
        figure: Readout::of(digits, bit(status, 4), decimals).unless(over),
        flags: Annunciators {
            standing: Liveness::of(
                bit(records, 8) || bit(records, 4) || peak || bit(display, 2),
                bit(records, 2),
            ),
            low_cell: bit(status, 2),
            auto_power_off: false,
        },
    }))
}
